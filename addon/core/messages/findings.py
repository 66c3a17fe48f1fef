"""Findings and input errors: what is wrong, stated so that it can be corrected."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from ..arrays import Floats, Ints
from .sentence import Sentence, subjects_of
from .subjects import Subject

Severity = Literal["warning", "note"]
Element = Literal["", "vertex", "edge", "face"]


class BadInputError(ValueError):
    """One line: which object or key, what is wrong, what would be right."""

    @property
    def line(self) -> str:
        """That line, a `Sentence` where it can be written in other units."""
        line: str = self.args[0]
        return line

    @property
    def subjects(self) -> tuple[Subject, ...]:
        """What it is about, such as the part at fault, the first above all."""
        return subjects_of(self.line)


def _no_elements() -> Ints:
    return np.zeros(0, np.int64)


@dataclass(frozen=True)
class Finding:
    """Something that the user should know, by its `code`, and where it is.

    `elements` are indices in the mesh as it was given (vertices (k,), edges as vertex pairs
    (k, 2), faces (k,)); `points` (k, 3) are the places in the coordinates of that mesh.
    """

    severity: Severity
    code: str
    text: Sentence
    element: Element = ""
    elements: Ints = field(default_factory=_no_elements)
    points: Floats = field(default_factory=lambda: np.zeros((0, 3)))

    @property
    def subjects(self) -> tuple[Subject, ...]:
        """What it is about: parts, conditions and criteria by kind and name."""
        return self.text.subjects

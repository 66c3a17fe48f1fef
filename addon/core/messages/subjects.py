"""What a message is about: a part, a loading condition or a criterion, by kind and name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

SubjectKind = Literal[
    "hull",
    "weight",
    "tank",
    "opening",
    "windage",
    "boundary",
    "compartment",
    "door",
    "breach",
    "group",
    "condition",
    "criterion",
    "vessel",
    "object",
]
"""A vessel goes by its title; of an object no more is known than its name."""


@dataclass(frozen=True)
class Subject:
    """What a message is about; as text its name, so that it fills a place of a `Sentence`."""

    kind: SubjectKind
    name: str

    def __str__(self) -> str:
        return self.name

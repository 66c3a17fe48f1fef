"""Kinds of parts that are dropped at the mouse."""

from __future__ import annotations

from typing import NamedTuple

from bpy.app.translations import pgettext_n as n_

from ..properties.names import Role
from ..viewport.shapes import MarkKind


class Kind(NamedTuple):
    """A kind of part to drop: its name, empty, mark, role and group."""

    name: str
    display: str
    mark: MarkKind
    role: Role = Role.WEIGHT
    group: str = ""

    @property
    def heavy(self) -> bool:
        """Whether it has a mass."""
        return self.role == Role.WEIGHT


KINDS = {
    "WEIGHT": Kind(n_("Weight"), "SPHERE", "weight"),
    "BALLAST": Kind(n_("Ballast"), "SPHERE", "weight", group="ballast"),
    "OPENING": Kind(n_("Opening"), "PLAIN_AXES", "opening", Role.OPENING),
    "BREACH": Kind(n_("Breach"), "CIRCLE", "opening", Role.BREACH),
}

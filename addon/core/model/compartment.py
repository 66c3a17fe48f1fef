"""Compartments: the spaces into which boundaries divide a hull, and their properties.

Permeability is the share of a compartment that water can take. By use it is that of SOLAS II-1
regulation 7-3: stores 0.60, accommodation 0.95, machinery 0.85, void spaces 0.95, spaces for
liquids 0 or 0.95, whichever is the worse, here 0.95. Dry cargo has 0.70, 0.80 and 0.95 from the
deepest draft to the light one (7-3.2, from memory); here the worst of them at any draft.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, get_args

import numpy as np

from ..arrays import Floats, Ints
from ..buoyancy.attitude import UPRIGHT_UP, Attitude
from ..buoyancy.moment_tree import MomentTree
from ..messages.findings import BadInputError, Finding
from ..messages.sentence import Sentence
from ..messages.subjects import Subject
from .tanks import MIN_PERMEABILITY

Use = Literal["void", "accommodation", "machinery", "stores", "cargo", "liquids"]

PERMEABILITY_BY_USE: dict[str, float] = {
    "void": 0.95,
    "accommodation": 0.95,
    "machinery": 0.85,
    "stores": 0.60,
    "cargo": 0.95,
    "liquids": 0.95,
}
"""Share of a compartment that water can take, by its use."""
SEA = ""
"""The name of the outside in place of a compartment's."""


@dataclass(frozen=True)
class CompartmentMark:
    """A compartment as the user declares it: its name, and where it is.

    `at` (3,) is a point within it, bounded by the boundaries there; or `body` (n, 3, 3) are the
    triangles of a closed surface, whose part in the hull is the compartment. One of the two is
    given. `permeability` is that of its use when None.
    """

    name: str
    at: Floats | None = None
    body: Floats | None = None
    use: Use = "void"
    permeability: float | None = None

    def __post_init__(self) -> None:
        if self.use not in get_args(Use):
            raise BadInputError(
                Sentence(
                    "compartment '{compartment}': the use is '{use}'; give one of {known}",
                    compartment=Subject("compartment", self.name),
                    use=self.use,
                    known=", ".join(get_args(Use)),
                )
            )
        if not MIN_PERMEABILITY <= self.share <= 1:
            raise BadInputError(
                Sentence(
                    "compartment '{compartment}': the permeability is {share}; give a share "
                    "from {least} to 1",
                    compartment=Subject("compartment", self.name),
                    share=f"{self.share:g}",
                    least=f"{MIN_PERMEABILITY:g}",
                )
            )

    @property
    def share(self) -> float:
        """Permeability."""
        return PERMEABILITY_BY_USE[self.use] if self.permeability is None else self.permeability


@dataclass(frozen=True)
class Compartment:
    """A compartment within the hull, in ship axes.

    `body` is its closed surface, its triangles (n, 3) over `vertices` (m, 3) turned outward.
    `watertight` is false where it joins the outside through gaps in boundaries or the hull's open
    edges. `boundaries` names the meshes that bound it, the hull's first.
    """

    name: str
    body: MomentTree
    vertices: Floats
    triangles: Ints
    use: Use = "void"
    permeability: float = PERMEABILITY_BY_USE["void"]
    watertight: bool = True
    boundaries: tuple[str, ...] = ()

    @property
    def volume(self) -> float:
        """Volume within its boundaries (m3)."""
        return self.body.volume

    @cached_property
    def center(self) -> Floats:
        """Centroid of its volume (3,)."""
        above = Attitude(UPRIGHT_UP, float(self.body.high[2]) + self.body.size)
        return self.body.below(above).buoyancy

    @property
    def floor(self) -> float:
        """Height of its lowest point (m)."""
        return float(self.body.low[2])

    @property
    def top(self) -> float:
        """Height of its highest point (m)."""
        return float(self.body.high[2])


@dataclass(frozen=True)
class Gap:
    """A place without a boundary between two spaces that boundaries otherwise separate.

    `compartments` names both, `SEA` for the outside. `edges` (k, 2, 3) are those round it, free
    edges of the mesh `boundary` and its intersections with others; `area` is what water can pass
    through (m2) and `lowest` (3,) the lowest point of the edges.
    """

    compartments: tuple[str, str]
    boundary: str
    edges: Floats
    area: float
    lowest: Floats


@dataclass(frozen=True)
class Leak:
    """A flooding path from outside into a compartment that should be dry: gaps from the sea
    inward."""

    compartment: str
    path: tuple[Gap, ...]


@dataclass(frozen=True)
class CompartmentPlan:
    """The compartments of a hull, those that share a boundary, and the gaps between them.

    `boundary_volume` is the volume of boundary material (m3); the compartments and it add up to the
    hull. `material` (n, 3, 3) are the triangles that bound it, turned outward.
    """

    compartments: tuple[Compartment, ...]
    neighbors: tuple[tuple[str, str], ...] = ()
    gaps: tuple[Gap, ...] = ()
    leaks: tuple[Leak, ...] = ()
    boundary_volume: float = 0.0
    findings: tuple[Finding, ...] = ()
    material: Floats = field(default_factory=lambda: np.zeros((0, 3, 3)))

    @property
    def covers_hull_openings(self) -> bool:
        """Whether it includes what the open edges of the hull lead into."""
        return any(SEA in gap.compartments for gap in self.gaps)

    def compartment(self, name: str) -> Compartment | None:
        """The compartment of that name."""
        return next(
            (compartment for compartment in self.compartments if compartment.name == name), None
        )

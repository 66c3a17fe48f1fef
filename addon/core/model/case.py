"""The whole input: a hull, the water, and what is on board."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from ..arrays import Floats
from ..geometry.mesh import WELD_SHARE, Mesh
from ..geometry.shared_volume import shared_volumes
from ..messages.findings import BadInputError, Finding
from ..messages.sentence import Sentence, cubic_meters
from ..messages.subjects import Subject
from .compartment import CompartmentMark
from .conditions import Condition
from .hull import Hull
from .load import Load
from .names import check_names
from .openings import Door, Opening
from .service import Service
from .tanks import Tank
from .user_criteria import CustomCriterion
from .weights import Weight

SEA_WATER = 1025.0
"""Density of sea water (kg/m3), common practice."""
FRESH_WATER = 1000.0
"""Density of fresh water (kg/m3), common practice."""


@dataclass(frozen=True)
class Case:
    """A vessel in a loading condition, in ship axes and SI units.

    `windage` holds the triangles (m, 3, 3) above deck that catch the wind beside the hull. `codes`
    names the codes of criteria to check, all known ones when None. `boundaries` are decks and
    bulkheads in ship axes, `compartment_marks` the user's compartments, `doors` paths between
    compartments, and `flooded` names the compartments open to the sea.
    """

    title: str
    hull: Hull
    weights: tuple[Weight, ...] = ()
    water_density: float = SEA_WATER
    tanks: tuple[Tank, ...] = ()
    openings: tuple[Opening, ...] = ()
    windage: Floats = field(default_factory=lambda: np.zeros((0, 3, 3)))
    service: Service = Service()
    codes: tuple[str, ...] | None = None
    custom_criteria: tuple[CustomCriterion, ...] = ()
    conditions: tuple[Condition, ...] = ()
    boundaries: tuple[Mesh, ...] = ()
    compartment_marks: tuple[CompartmentMark, ...] = ()
    doors: tuple[Door, ...] = ()
    flooded: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not (np.isfinite(self.water_density) and self.water_density > 0):
            raise BadInputError(
                Sentence(
                    "water: the density is {density} kg/m3; sea water has {sea}, "
                    "fresh water {fresh}",
                    density=f"{self.water_density:g}",
                    sea=f"{SEA_WATER:g}",
                    fresh=f"{FRESH_WATER:g}",
                )
            )
        check_names("weight", self.weights)
        check_names("tank", self.tanks)
        check_names("opening", self.openings)
        check_names("criterion", self.custom_criteria)
        check_names("boundary", self.boundaries)
        check_names("compartment", self.compartment_marks)
        check_names("door", self.doors)
        check_names("condition", self.conditions)

    @property
    def active_openings(self) -> tuple[Opening, ...]:
        """Openings except those into compartments that are flooded already."""
        return tuple(
            each
            for each in self.openings
            if not (each.compartments and {*each.compartments} <= {*self.flooded})
        )

    @cached_property
    def overlaps(self) -> tuple[Finding, ...]:
        """Tanks that overlap, whose content there counts twice."""
        bodies = [tank.body.faces() for tank in self.tanks]
        return tuple(
            Finding(
                "warning",
                "tanks-overlap",
                Sentence(
                    "tanks '{one}' and '{other}' share {volume}, which counts twice; "
                    "draw them side by side",
                    one=Subject("tank", self.tanks[one].name),
                    other=Subject("tank", self.tanks[other].name),
                    volume=cubic_meters(volume, ".3g"),
                ),
                points=middle[None],
            )
            for one, other, volume, middle in shared_volumes(
                bodies, WELD_SHARE * self.hull.tree.size
            )
        )

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Findings on the model, those of the hull surface last."""
        return (*self.overlaps, *self.hull.findings)

    @cached_property
    def load(self) -> Load:
        """Everything on board."""
        return Load(self.weights, self.tanks, self.water_density)

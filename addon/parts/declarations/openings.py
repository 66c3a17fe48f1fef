"""Where water passes: openings, doors and breaches."""

from __future__ import annotations

from dataclasses import dataclass

from ...core.damage.breach import Breach
from ...core.model.openings import DISCHARGE_COEFFICIENT, Door, Opening
from ..declare import choice, flag, mirrored, named, names, number, placed
from ..places import Place, at_point, by_mesh
from ..specification import Choice, Part, Unit

PROTECTIONS = (
    Choice("unprotected", "Unprotected", "Water gets in as soon as it is immersed", False),
    Choice(
        "weathertight",
        "Weathertight",
        "Closed at sea and tight against it: immersion does not count as downflooding",
        True,
    ),
)
KINDS = (
    Choice("vent", "Vent", "A pipe or a louver that lets air in"),
    Choice("hatch", "Hatch", "An opening in a deck"),
    Choice("door", "Door", "A doorway in a bulkhead or a deckhouse"),
    Choice("open top", "Open Top", "Open from above, as a cockpit"),
)
COEFFICIENT = "Share of the ideal flow that passes"
ACROSS = "a flat surface across the passage"


@dataclass(frozen=True)
class OpeningEntry:
    """A place where water gets in once it is immersed"""

    name: str = named("engine vent")
    place: Place = placed(
        at_point("where water first gets in"), by_mesh(ACROSS), example=(3.5, 1.2, 2.4)
    )
    protection: str = choice(
        "How tight it is at sea",
        PROTECTIONS,
        "unprotected",
        core="weathertight",
        example="unprotected",
    )
    kind: str = choice("What kind of opening it is", KINDS, "vent")
    area: float | None = number(
        "Area that water can pass through; that of the mesh, or not known, unless it is given",
        Unit.AREA,
        None,
        above=0.0,
        zero_is_unset=True,
    )
    height: float | None = number(
        "Height above its point, 0 for a horizontal one",
        Unit.LENGTH,
        None,
        minimum=0.0,
    )
    compartments: tuple[str, ...] = names(
        "The compartment that it leads into; found from its place unless it is given",
        count=1,
        core="compartments",
    )
    both_sides: bool = mirrored()


@dataclass(frozen=True)
class DoorEntry:
    """A connection from one compartment to another"""

    name: str = named("engine room door")
    place: Place = placed(
        at_point("the middle of the sill"), by_mesh(ACROSS), example=(5.0, 0.0, 0.9)
    )
    area: float | None = number(
        "Area that water can pass through; that of the mesh unless it is given",
        Unit.AREA,
        None,
        above=0.0,
        hint="such as 1.5",
        example=1.1,
    )
    height: float | None = number(
        "Height above its sill, 0 for a horizontal hatch",
        Unit.LENGTH,
        None,
        minimum=0.0,
        example=1.7,
    )
    compartments: tuple[str, ...] = names(
        "The two compartments that it connects; found from its place unless they are given",
        count=2,
        core="compartments",
    )
    closed: bool = flag("Closed and watertight", core="closed", example=True)
    discharge_coefficient: float | None = number(
        f"{COEFFICIENT} a duct or a pipe, whose compartments need not be adjacent",
        default=None,
        above=0.0,
        maximum=1.0,
        core="discharge_coefficient",
        hint=f"such as {DISCHARGE_COEFFICIENT:g} for a sharp edge",
    )
    both_sides: bool = mirrored()


@dataclass(frozen=True)
class BreachEntry:
    """Damage through which the sea gets in, to find the time to flood"""

    name: str = named(core="")
    place: Place = placed(at_point("the lowest point of the breach"))
    area: float = number(
        "Area that water can pass through", Unit.AREA, 0.01, above=0.0, hint="such as 0.05"
    )
    discharge_coefficient: float = number(
        f"{COEFFICIENT}; about {DISCHARGE_COEFFICIENT:g} for a sharp edge, common practice",
        default=DISCHARGE_COEFFICIENT,
        above=0.0,
        maximum=1.0,
        core="discharge_coefficient",
    )


OPENING = Part("opening", "Opening", OpeningEntry, Opening)
DOOR = Part(
    "door",
    "Door",
    DoorEntry,
    Door,
    (("position_m", "area_m2"), ("mesh",), ("mesh", "area_m2")),
)
BREACH = Part("breach", "Breach", BreachEntry, Breach)

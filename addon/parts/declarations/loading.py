"""Loading: weights, tanks, and the conditions of loading."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ...core.model.conditions import Condition
from ...core.model.tanks import MIN_PERMEABILITY, Tank
from ...core.model.weights import Weight
from ..declare import flag, mirrored, named, names, number, numbers, placed, text
from ..places import Box, Place, at_point, by_mesh, in_box
from ..specification import Part, Unit

GROUP = "Group that it belongs to, such as machinery; any name"


@dataclass(frozen=True)
class WeightEntry:
    """A mass on board: at a point, or that of a mesh as a skin or as a solid"""

    name: str = named("passengers")
    place: Place = placed(
        at_point("its center"),
        by_mesh("a skin or a solid"),
        example=(4.0, 0.0, 1.5),
    )
    mass: float | None = number("Mass of a point", Unit.MASS, None, above=0.0, example=300.0)
    areal_density: float | None = number(
        "Mass per area of the mesh as a skin; steel plate of 1 mm has about 7.85",
        Unit.AREAL_DENSITY,
        None,
        above=0.0,
        core="",
        label="Mass per Area",
    )
    solid_density: float | None = number(
        "Density of the closed mesh as a solid; lead has about 11340, concrete 2400",
        Unit.DENSITY,
        None,
        above=0.0,
        core="",
        label="Density",
    )
    group: str = text(GROUP, example="crew")
    fixed: bool | None = flag(
        "It belongs to the hull, and nothing suggests to move it; so does a weight by the mesh of "
        "the hull unless this is false",
        None,
    )
    both_sides: bool = mirrored()


@dataclass(frozen=True)
class TankEntry:
    """A closed body that holds a liquid, which moves to the low side"""

    name: str = named("fuel")
    place: Place = placed(
        by_mesh("a closed surface"), in_box(), example=Box((3.0, -0.8, 0.4), (4.0, 0.8, 1.0))
    )
    density: float = number(
        "Density of the content",
        Unit.DENSITY,
        above=0.0,
        hint="such as 1000 for fresh water",
        example=850.0,
    )
    fill: float = number(
        "Filled share of the tank's capacity",
        Unit.PERCENT,
        0.0,
        minimum=0.0,
        maximum=1.0,
        hint="such as 0.5 for half full",
        example=0.98,
    )
    permeability: float = number(
        "Share of the tank's volume that liquid can take; frames and pipes take the rest",
        default=1.0,
        minimum=MIN_PERMEABILITY,
        maximum=1.0,
    )
    group: str = text(GROUP)
    both_sides: bool = mirrored()


@dataclass(frozen=True)
class ConditionEntry:
    """A loading condition, by what differs from the case as modeled"""

    name: str = named("arrival")
    fill: Mapping[str, float] = numbers(
        "Filled shares of the capacity of tanks, by their names",
        core="fills",
        unit=Unit.PERCENT,
        minimum=0.0,
        maximum=1.0,
        example={"fuel": 0.1},
    )
    without: tuple[str, ...] = names(
        "Weights and tanks that are not loaded", example=("passengers",)
    )
    without_groups: tuple[str, ...] = names("Groups of weights and tanks that are not loaded")
    mass_margin: float = number(
        "Mass margin, as a share of the mass of the weights, at their common center",
        Unit.PERCENT,
        0.0,
        above=-1.0,
        hint="such as 0.05",
        example=0.05,
    )
    kg_margin: float = number(
        "Margin on KG: rise of all weights",
        Unit.LENGTH,
        0.0,
        core="kg_margin",
        label="KG Margin",
        example=0.1,
    )
    flooded: tuple[str, ...] = names("Compartments open to the sea", example=("engine room",))


WEIGHT = Part(
    "weight",
    "Weight",
    WeightEntry,
    Weight,
    (
        ("mass_kg", "position_m"),
        ("mesh", "areal_density_kg_m2"),
        ("mesh", "solid_density_kg_m3"),
    ),
)
TANK = Part("tank", "Tank", TankEntry, Tank)
CONDITION = Part("condition", "Loading Condition", ConditionEntry, Condition)

"""Subdivision of the hull: boundaries, compartments, and their flooding in time."""

from __future__ import annotations

from dataclasses import dataclass

from ...core.model.compartment import PERMEABILITY_BY_USE, CompartmentMark
from ...core.model.tanks import MIN_PERMEABILITY
from ..declare import choice, flag, mirrored, named, number, placed
from ..places import Place, Plane, at_point, by_mesh, in_box, on_plane
from ..specification import Choice, Part, Unit

USES = tuple(
    Choice(use, label, f"{doc}; water can take {PERMEABILITY_BY_USE[use]:.2f} of it")
    for use, label, doc in (
        ("void", "Void", "Empty"),
        ("accommodation", "Accommodation", "Cabins and saloons"),
        ("machinery", "Machinery", "Engines and pumps"),
        ("stores", "Stores", "Stores"),
        ("cargo", "Cargo", "Cargo of any kind; full of dry goods it takes less water"),
        ("liquids", "Liquids", "Water, oil or fuel"),
    )
)
"""Uses with their permeabilities, those of SOLAS II-1 regulation 7-3."""


@dataclass(frozen=True)
class BoundaryEntry:
    """A bulkhead or a deck, which divides the hull into compartments"""

    name: str = named("collision bulkhead")
    place: Place = placed(
        by_mesh("a surface"),
        on_plane(0, "a transverse bulkhead"),
        on_plane(1, "a longitudinal bulkhead"),
        on_plane(2, "a deck"),
        example=Plane(0, 10.0),
    )
    both_sides: bool = mirrored()


@dataclass(frozen=True)
class CompartmentEntry:
    """The name and the use of a compartment"""

    name: str = named("engine room")
    place: Place = placed(
        at_point("any point within its boundaries"),
        by_mesh("a closed surface around it"),
        in_box(),
        example=(4.0, 0.0, 0.5),
    )
    use: str = choice(
        "Its use, which determines its permeability",
        USES,
        "void",
        example="machinery",
    )
    permeability: float | None = number(
        "Share of the compartment's volume that water can take; that of its use unless it is given",
        default=None,
        minimum=MIN_PERMEABILITY,
        maximum=1.0,
    )
    both_sides: bool = mirrored()


@dataclass(frozen=True)
class InflowEntry:
    """Trapped air and a pump of a compartment during flooding"""

    air_trapped: bool = flag(
        "Air cannot leave the compartment, so that water comes in only as far as it compresses it",
        core="",
    )
    pump: float = number(
        "What is pumped out of the compartment, 0 for no pump",
        Unit.FLOW,
        0.0,
        minimum=0.0,
        core="",
    )
    pump_delay: float = number(
        "How long after the breach the pump starts", Unit.TIME, 0.0, minimum=0.0, core=""
    )


BOUNDARY = Part("boundary", "Boundary", BoundaryEntry)
COMPARTMENT = Part("compartment", "Compartment", CompartmentEntry, CompartmentMark)
INFLOW = Part("inflow", "Inflow", InflowEntry)

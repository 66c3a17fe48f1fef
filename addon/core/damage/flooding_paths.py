"""Flooding paths: from the sea into a compartment, and between compartments."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from ..arrays import Floats
from ..buoyancy.attitude import Attitude
from ..compartments.adjacent_compartments import compartments_beside
from ..compartments.leaks import gaps_without_doors
from ..messages.findings import BadInputError, Finding
from ..messages.sentence import UNIT_OF_AREA, Sentence, called, coordinates
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.compartment import SEA, CompartmentPlan, Gap
from ..model.names import check_known
from ..model.openings import DISCHARGE_COEFFICIENT, Door, Opening

PathKind = Literal["breach", "opening", "door", "gap"]


@dataclass(frozen=True)
class FloodingPath:
    """A flooding path from one compartment to another, `SEA` for the outside, open to water above
    one of its `points` (k, 3).

    The first of them is the sill, above which it extends by `height` (m); `area` is its discharge
    coefficient times its area (m2), zero where unknown. A weathertight one is `weathertight`.
    """

    kind: PathKind
    name: str
    compartments: tuple[str, str]
    points: Floats
    area: float = 0.0
    height: float = 0.0
    weathertight: bool = False

    @property
    def label(self) -> str:
        """Its description."""
        return path_label(self.kind, self.name)

    @property
    def sill(self) -> Floats:
        """Position (3,) of the sill."""
        sill: Floats = self.points[0]
        return sill

    def height_above_water(self, attitude: Attitude) -> float:
        """Height of its lowest point above water (m)."""
        return float(attitude.heights(self.points).min())

    def with_sea_merged(self, flooded: Sequence[str]) -> FloodingPath:
        """The path with the flooded compartments made one with the sea."""
        first, second = (SEA if name in flooded else name for name in self.compartments)
        return replace(self, compartments=(first, second))


def path_label(kind: PathKind, name: str) -> str:
    """Description of a flooding path: "door 'aft'", "gap in 'deck'"."""
    if kind == "opening":
        return called(Subject("opening", name))
    return called(Subject("door", name)) if kind == "door" else name


def spreads_flooding(compartments: Iterable[str], flooded: Sequence[str]) -> bool:
    """Whether a path between these compartments carries water from a flooded one or the sea into a
    dry one."""
    return len({compartment == SEA or compartment in flooded for compartment in compartments}) > 1


def find_flooding_paths(case: Case, plan: CompartmentPlan) -> tuple[FloodingPath, ...]:
    """Openings, doors that are not closed, and gaps in boundaries less the doors that stand in
    them.

    Those that do not name their compartments lead to the nearest ones, by `compartments_beside`.
    Raises BadInputError as `check_flooding_paths`, and for a door that joins no two compartments.
    """
    check_flooding_paths(case, plan)
    open_doors = [door for door in case.doors if not door.closed]
    return (
        *(path for each in case.openings for path in _paths_of_opening(each, plan)),
        *(_path_of_door(each, plan) for each in open_doors),
        *(_path_of_gap(each) for each in gaps_without_doors(plan.gaps, open_doors)),
    )


def check_flooding_paths(case: Case, plan: CompartmentPlan) -> None:
    """Raises BadInputError for an opening or a door, closed or not, that names an unknown
    compartment, and for a door that is no duct between two compartments without a boundary or gap
    between them."""
    named = [(path_label("opening", each.name), each.compartments) for each in case.openings]
    named += [(path_label("door", each.name), each.compartments) for each in case.doors]
    for whose, compartments in named:
        for name in compartments:
            check_compartment(whose, name, plan)
    met = {frozenset(pair) for pair in plan.neighbors}
    met |= {frozenset(gap.compartments) for gap in plan.gaps}
    for door in case.doors:
        joined = frozenset(door.compartments)
        if door.discharge_coefficient is not None or len(joined) < 2 or joined in met:
            continue
        if joined != {*_compartments_beside(door, plan)}:
            first, second = door.compartments
            raise BadInputError(
                Sentence(
                    "door '{door}': compartments '{first}' and '{second}' share no boundary; "
                    "name two that do, none to have them found from its place, or the "
                    "discharge of a duct",
                    door=Subject("door", door.name),
                    first=Subject("compartment", first),
                    second=Subject("compartment", second),
                )
            )


def opening_paths(
    plan: CompartmentPlan, compartments: tuple[str, ...], opening: Opening
) -> tuple[FloodingPath, ...]:
    """An opening left open. Raises BadInputError for one without an area, and for compartments that
    it does not lead into."""
    if not opening.area > 0:
        raise BadInputError(
            Sentence(
                "opening '{opening}' has no area, so the rate of inflow is not known; give its "
                "area in {unit}",
                opening=Subject("opening", opening.name),
                unit=UNIT_OF_AREA,
            )
        )
    paths = tuple(_paths_of_opening(opening, plan))
    found = [path.compartments[1] for path in paths]
    for name in compartments:
        if name not in found:
            raise BadInputError(
                Sentence(
                    "opening '{opening}' leads into compartment '{actual}', not "
                    "'{compartment}'; give that compartment, "
                    "or say which it leads into",
                    opening=Subject("opening", opening.name),
                    actual=Subject("compartment", found[0]),
                    compartment=Subject("compartment", name),
                )
            )
    return paths


def with_opening_compartments(case: Case, plan: CompartmentPlan) -> Case:
    """The case with openings that all name the compartments that they lead into. Raises
    BadInputError as `check_flooding_paths`."""
    check_flooding_paths(case, plan)
    openings = tuple(
        replace(each, compartments=compartments_behind(each, plan)) for each in case.openings
    )
    return replace(case, openings=openings)


def with_door_findings(case: Case, plan: CompartmentPlan) -> CompartmentPlan:
    """The compartments with a finding for each door, closed or not, that joins no two of them."""
    astray = []
    for door in case.doors:
        first, second = compartments_of_door(door, plan)
        if SEA not in (first, second) and first != second:
            continue
        text = _joins_no_two(door) if first == second else _leads_outside(door, first or second)
        astray.append(Finding("warning", "door-astray", text, points=door.point[None]))
    return replace(plan, findings=(*plan.findings, *astray))


def openings_without_area(case: Case) -> Iterator[Finding]:
    """Openings that pass no water as their area is not given."""
    for opening in case.openings:
        if not (opening.weathertight or opening.area > 0):
            yield Finding(
                "note",
                "no-area",
                Sentence(
                    "Opening '{opening}' has no area, so no water is counted through it; give its "
                    "area in {unit}",
                    opening=Subject("opening", opening.name),
                    unit=UNIT_OF_AREA,
                ),
                points=opening.point[None],
            )


def reachable_compartments(paths: Iterable[FloodingPath]) -> set[str]:
    """Names of the compartments that water can reach from the sea."""
    paths, found = tuple(paths), {SEA}
    while True:
        more = {
            name for path in paths if found & set(path.compartments) for name in path.compartments
        } - found
        if not more:
            return found - {SEA}
        found |= more


def _paths_of_opening(opening: Opening, plan: CompartmentPlan) -> Iterator[FloodingPath]:
    """The paths from an opening into each of its compartments."""
    compartments = compartments_behind(opening, plan)
    area = DISCHARGE_COEFFICIENT * opening.area / max(len(compartments), 1)
    for name in compartments:
        points, closed = opening.points, opening.weathertight
        yield FloodingPath(
            "opening", opening.name, (SEA, name), points, area, opening.height, closed
        )


def compartments_behind(opening: Opening, plan: CompartmentPlan) -> tuple[str, ...]:
    """The compartments that an opening names, or the nearest one."""
    found = opening.compartments or compartments_beside(plan, opening.point)[:1]
    return tuple(name for name in found if name != SEA)


def _path_of_door(door: Door, plan: CompartmentPlan) -> FloodingPath:
    """The path through a door."""
    first, second = compartments_of_door(door, plan)
    if first == second:
        raise BadInputError(_joins_no_two(door))
    area = door.area * (
        DISCHARGE_COEFFICIENT if door.discharge_coefficient is None else door.discharge_coefficient
    )
    return FloodingPath("door", door.name, (first, second), door.point[None], area, door.height)


def compartments_of_door(door: Door, plan: CompartmentPlan) -> tuple[str, str]:
    """The two compartments that a door names, else those on both sides of the nearest boundary."""
    first, second = (
        door.compartments if len(door.compartments) == 2 else _compartments_beside(door, plan)
    )
    return first, second


def _joins_no_two(door: Door) -> Sentence:
    return Sentence(
        "door '{door}' at {place} joins no two compartments; put it in a boundary "
        "between two, or name them",
        door=Subject("door", door.name),
        place=coordinates(door.point),
    )


def _leads_outside(door: Door, compartment: str) -> Sentence:
    return Sentence(
        "door '{door}' at {place} leads from '{compartment}' to the sea; put it in a boundary "
        "between two compartments, name them, or make it an opening",
        door=Subject("door", door.name),
        place=coordinates(door.point),
        compartment=Subject("compartment", compartment),
    )


def _compartments_beside(door: Door, plan: CompartmentPlan) -> tuple[str, str]:
    """The compartments on both sides of the boundary nearest to a door."""
    return compartments_beside(plan, door.middle)


def _path_of_gap(gap: Gap) -> FloodingPath:
    """The path through a gap, as high as its edges extend."""
    points = np.concatenate([gap.lowest[None], gap.edges.reshape(-1, 3)])
    height = float(np.ptp(points[:, 2]))
    name = Sentence("gap in '{boundary}'", boundary=Subject("boundary", gap.boundary))
    return FloodingPath(
        "gap", name, gap.compartments, points, DISCHARGE_COEFFICIENT * gap.area, height
    )


def check_compartment(whose: str, name: str, plan: CompartmentPlan) -> None:
    check_known(whose, "compartment", name, [compartment.name for compartment in plan.compartments])

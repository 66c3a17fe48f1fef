"""What is shown inside a vessel: its compartments or the water in them, the liquids in its tanks,
names, and flooding paths."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

import numpy as np

from ...core.arrays import Floats
from ...core.buoyancy.attitude import UPRIGHT_UP, Attitude
from ...core.compartments.leaks import downflooding_sill
from ...core.damage.flooding_result import FloodingResult
from ...core.hydrostatics.floating_position import FloatingPosition
from ...core.model.compartment import CompartmentPlan, Gap, Leak
from ...units.lengths import Lengths
from .compartment_bodies import NO_FACES, NO_LINES, CompartmentBody, water_body
from .shapes import Drawing, Levels, Mark, Path, Tag, Tone
from .vessel_shapes import attitude_of

REACH = 0.10  # from a gap to where its path begins outside, in diagonals of the hull


@dataclass(frozen=True, eq=False)
class CompartmentState:
    """What is to be shown inside a vessel: the compartments of a `plan`, the one `chosen`, and if
    wanted the `liquids` in the tanks and `names`.

    `floating` is its floating position, None where unknown. `levels` are those of the water in
    flooded compartments; None for an intact vessel.
    """

    plan: CompartmentPlan
    floating: FloatingPosition | None = None
    levels: Levels | None = None
    chosen: str = ""
    liquids: bool = True
    names: bool = True
    length_text: Lengths = Lengths()

    @property
    def attitude(self) -> Attitude:
        """The attitude; upright over the water where it is unknown."""
        return attitude_of(self.floating) if self.floating else Attitude(UPRIGHT_UP, -np.inf)

    def is_like(self, other: CompartmentState) -> bool:
        """Whether the other shows the same; results are compared by what they are."""
        results = self.plan is other.plan and self.floating is other.floating
        return results and all(
            getattr(self, part.name) == getattr(other, part.name)
            for part in fields(self)
            if part.name not in {"plan", "floating"}
        )


def flooded_to(flooded: FloodingResult) -> Levels:
    """The water levels in the compartments open to the sea: that of the sea."""
    level = attitude_of(flooded.floating).level
    return tuple((name, level) for name in flooded.compartments)


def shown_bodies(
    within: CompartmentState, compartments: tuple[CompartmentBody, ...]
) -> tuple[CompartmentBody, ...]:
    """The see-through bodies of a vessel of these `compartments`: all of them if it is intact, else
    their outlines and the water in them; and the liquids in the tanks where wanted."""
    shown = [*compartments]
    if within.levels is not None:
        lined = (compartment for compartment in compartments if len(compartment.outline))
        shown = [
            CompartmentBody(compartment.name, compartment.tint, NO_FACES, compartment.outline)
            for compartment in lined
        ]
        shown += _waters(compartments, dict(within.levels), within.attitude.up)
    if within.liquids and within.floating:
        wet = dict(within.levels or ())
        shown += (each for each in _liquids(within.floating) if each.name not in wet)
    return tuple(shown)


def _waters(
    compartments: tuple[CompartmentBody, ...], levels: dict[str, float], up: Floats
) -> Iterator[CompartmentBody]:
    for compartment in (compartment for compartment in compartments if compartment.name in levels):
        water = water_body(
            compartment.name, "flood", compartment.body, Attitude(up, levels[compartment.name])
        )
        if water:
            yield water


def _liquids(ship: FloatingPosition) -> Iterator[CompartmentBody]:
    up = attitude_of(ship).up
    for tank in ship.case.tanks:
        if tank.fill > 0:
            surface = Attitude(up, tank.liquid(up).level)
            liquid = water_body(tank.name, "content", tank.body, surface)
            if liquid:
                yield liquid


def inner_drawing(within: CompartmentState) -> Drawing:
    """Names of compartments where they are, with their volumes, and the flooding paths into those
    not watertight: into the one chosen, or into all of them."""
    plan, attitude = within.plan, within.attitude
    tags = tuple(_tags(within)) if within.names else ()
    if within.levels is not None:
        return Drawing(attitude, tags=tags)
    chosen = [leak for leak in plan.leaks if leak.compartment == within.chosen]
    leaks = chosen or plan.leaks
    paths = tuple(leak_path(leak, plan) for leak in leaks)
    sills = [_sill_mark(leak, within) for leak in leaks] if within.floating else []
    marks = {(*sill.at, sill.letter): sill for sill in sills}
    return Drawing(attitude, marks=tuple(marks.values()), tags=tags, paths=paths)


def _tags(within: CompartmentState) -> Iterator[Tag]:
    breached, wet = within.levels is not None, dict(within.levels or ())
    for compartment in within.plan.compartments:
        chosen = compartment.name == within.chosen
        if breached and compartment.name not in wet:
            continue
        center, volume = compartment.center, compartment.volume
        if breached:
            water = compartment.body.below(Attitude(within.attitude.up, wet[compartment.name]))
            if not water.volume > 0:
                continue
            center, volume = water.buoyancy, compartment.permeability * water.volume
        leaks = () if compartment.watertight or breached else ("not watertight",)
        words = " · ".join((compartment.name, within.length_text.volume(volume), *leaks))
        tone: Tone = "plain" if compartment.watertight or breached else "warning"
        yield Tag(center, (words, " · ".join((compartment.name, *leaks))), tone, chosen)


def _sill_mark(leak: Leak, within: CompartmentState) -> Mark:
    """The mark of the sill over which water gets into a compartment."""
    place, height = downflooding_sill(leak, within.attitude)
    over = f"{within.length_text(height)} above water" if height > 0 else "under water"
    return Mark("flooding", place, f"sill {over}" if within.names else "")


def leak_path(leak: Leak, plan: CompartmentPlan) -> Path:
    """From outside through the middle of each gap into the compartment."""
    middles = [gap.edges.mean(axis=(0, 1)) for gap in leak.path]
    compartment = plan.compartment(leak.compartment)
    inmost = [compartment.center] if compartment else []
    points = np.array([*middles, *inmost])
    rims = np.concatenate([NO_LINES, *(gap.edges for gap in leak.path)])
    size = max((compartment.body.size for compartment in plan.compartments), default=0.0)
    outside = middles[0] + REACH * size * _outward(leak.path[0], points)
    return Path(np.array([outside, *points]), rims)


def _outward(gap: Gap, points: Floats) -> Floats:
    """Unit direction (3,) square to a gap, away from the next of the points (n, 3) of its path."""
    around = gap.edges.reshape(-1, 3) - points[0]
    square = np.linalg.svd(around)[2][-1]
    return square if (points[0] - points[1]) @ square >= 0 else -square

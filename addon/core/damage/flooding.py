"""Damaged equilibrium: compartments open to the sea, the spread of the water, and the residual
stability.

A compartment open to the sea carries no buoyancy and adds no weight: the body is the hull less the
flooded compartments times their permeability (lost buoyancy), free to sink, heel and trim from the
intact equilibrium. In equilibrium, every flooding path that is under water and leads from the sea
or a flooded compartment into a dry one floods that too: openings that are not weathertight, doors
that are not closed, gaps in boundaries. This repeats until no such path is under water, or the
vessel sinks or capsizes. The rule is conservative throughout: a path under water in equilibrium
floods the compartment wholly and at once, whatever its area.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import count

import numpy as np

from ..buoyancy.attitude import Attitude
from ..buoyancy.body import LostBuoyancy
from ..hydrostatics.equilibrium import find_equilibrium
from ..hydrostatics.floating_position import FloatingPosition, find_floating_position
from ..hydrostatics.lateral_area import lateral_profile
from ..hydrostatics.upright import UPRIGHT_TOLERANCE
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.compartment import SEA, Compartment, CompartmentPlan
from ..model.openings import Opening
from ..stability.both_sides import Stability, stability
from .damaged_case import compartments_named, damaged
from .flooding_paths import (
    FloodingPath,
    find_flooding_paths,
    spreads_flooding,
    with_opening_compartments,
)
from .flooding_result import FloodingResult
from .outcome import (
    MAX_TRIM,
    Outcome,
    Progression,
    ending_of,
    explanation,
    is_on_end,
    is_overturned,
    residual_freeboard,
)
from .residual_gz import (
    ResidualGZ,
    is_body_symmetric,
    is_load_symmetric,
    residual_gz_from,
    residual_gz_of_side,
)
from .s_factor import FINAL_STAGE, heeling_moment, s_factor, sufficient_GZ


def float_before(case: Case) -> FloatingPosition:
    """The intact equilibrium. Raises BadInputError where the vessel is lost before anything
    floods."""
    floating = find_floating_position(case, seek_others=False)
    if floating.state == "sunk":
        words = "{ship}: the vessel sinks before anything floods; take weight off"
        raise BadInputError(Sentence(words, ship=Subject("vessel", case.title)))
    if is_overturned(floating):
        words = "{ship}: the vessel capsizes before anything floods; lower weights"
        raise BadInputError(Sentence(words, ship=Subject("vessel", case.title)))
    return floating


def flood(
    case: Case,
    plan: CompartmentPlan,
    names: Iterable[str],
    on_progress: Callable[[int], None] | None = None,
    whole_curve: bool = True,
) -> FloodingResult:
    """The vessel with compartments open to the sea, and the spread of the water; `on_progress`
    receives each stage.

    Without `whole_curve` the GZ curve is computed only as far as the s-factor needs it. Raises
    BadInputError for unknown compartments, for a door that joins no two, for a case without
    weights, and for a vessel that sinks or capsizes intact.
    """
    return _DamageCases(with_opening_compartments(case, plan), plan).run(
        tuple(names), on_progress, whole_curve
    )


def flood_each(
    case: Case,
    plan: CompartmentPlan,
    pairs: bool = False,
    on_progress: Callable[[int], None] | None = None,
) -> tuple[FloodingResult, ...]:
    """Each dry compartment opened to the sea alone, or each two that share a boundary.

    GZ curves go as far as the s-factor needs; `on_progress` receives the number done. Raises
    BadInputError as `flood`, and where there is nothing to open.
    """
    dry = [
        compartment.name
        for compartment in plan.compartments
        if compartment.name not in case.flooded
    ]
    singles = [(name,) for name in dry]
    doubles = [pair for pair in plan.neighbors if set(pair) <= set(dry)]
    chosen: Sequence[tuple[str, ...]] = doubles if pairs else singles
    if not chosen:
        raise BadInputError(
            Sentence(
                "{ship}: there are no two dry compartments that share a boundary; add bulkheads or "
                "decks that divide the hull"
                if pairs
                else "{ship}: there are no dry compartments; add bulkheads or decks "
                "that divide the hull",
                ship=Subject("vessel", case.title),
            )
        )
    trials = _DamageCases(with_opening_compartments(case, plan), plan)
    found = []
    for names in chosen:
        found.append(trials.run(names, None, False))
        if on_progress:
            on_progress(len(found))
    return tuple(found)


@dataclass(frozen=True)
class _DamageCases:
    """What several damage cases of one vessel share."""

    case: Case
    plan: CompartmentPlan

    @cached_property
    def intact(self) -> FloatingPosition:
        """The intact equilibrium. Raises BadInputError as `float_before`."""
        return float_before(self.case)

    @cached_property
    def paths(self) -> tuple[FloodingPath, ...]:
        """Flooding paths."""
        return find_flooding_paths(self.case, self.plan)

    @cached_property
    def moment(self) -> float:
        """The heeling moment (kg m) that a damaged passenger vessel must withstand."""
        service, equilibrium = self.case.service, self.intact.equilibrium
        if service.kind != "passenger" or not equilibrium:
            return 0.0
        hull = self.case.hull
        profile_faces = np.concatenate([hull.vertices[hull.triangles], self.case.windage])
        profile = lateral_profile(profile_faces, equilibrium.attitude)
        lever = profile.center_above + equilibrium.attitude.draft_at(hull.midship_x) / 2
        area = profile.area_above if np.isfinite(lever) else 0.0
        return heeling_moment(service.passengers, hull.breadth, area, float(np.nan_to_num(lever)))

    @cached_property
    def is_hull_symmetric(self) -> bool:
        """Whether the hull is symmetric."""
        tree, equilibrium = self.case.hull.tree, self.intact.equilibrium
        whole = tree.whole if isinstance(tree, LostBuoyancy) else tree
        return bool(equilibrium and is_body_symmetric(whole, equilibrium.attitude))

    def run(
        self, names: tuple[str, ...], on_progress: Callable[[int], None] | None, whole_curve: bool
    ) -> FloodingResult:
        """Opens the compartments of these names and follows the flooding to its end."""
        ship = damaged(self.case, self.plan, names)
        floating = find_floating_position(ship, self.intact, seek_others=False)
        progression: list[Progression] = []
        breached = ship.flooded
        for stage in count(1):
            if on_progress:
                on_progress(stage)
            more = self._progression(ship, floating)
            if not more:
                break
            progression += more
            compartments = (*ship.flooded, *(each.compartment for each in more))
            ship = damaged(self.case, self.plan, compartments)
            floating = find_floating_position(ship, floating, seek_others=False)
        return self._result(breached, ship, floating, tuple(progression), whole_curve)

    def _under(self, ship: Case, attitude: Attitude) -> list[FloodingPath]:
        """Flooding paths under water that lead on, the deepest first, weathertight openings
        included."""
        paths = [path for path in self.paths if spreads_flooding(path.compartments, ship.flooded)]
        heights = {id(path): path.height_above_water(attitude) for path in paths}
        under = [path for path in paths if heights[id(path)] <= 0]
        return sorted(under, key=lambda path: heights[id(path)])

    def _progression(self, ship: Case, floating: FloatingPosition) -> tuple[Progression, ...]:
        """Compartments that flood next from an equilibrium, each by its deepest path."""
        if not floating.equilibrium or is_on_end(floating) or is_overturned(floating):
            return ()
        found: dict[str, Progression] = {}
        for path in self._under(ship, floating.equilibrium.attitude):
            if path.weathertight:
                continue
            for compartment in path.compartments:
                if compartment != SEA and compartment not in ship.flooded:
                    found.setdefault(compartment, Progression(compartment, path.name, path.kind))
        return tuple(found.values())

    def _result(
        self,
        breached: tuple[str, ...],
        ship: Case,
        floating: FloatingPosition,
        progression: tuple[Progression, ...],
        whole_curve: bool,
    ) -> FloodingResult:
        equilibrium = floating.equilibrium
        under = self._under(ship, equilibrium.attitude) if equilibrium else []
        full_stability, residual = None, None
        outcome: Outcome = "afloat"
        over_end = self._trim_over_end(ship) if is_overturned(floating) else 0.0
        if is_on_end(floating) or over_end:
            outcome = "sunk"
        elif is_overturned(floating):
            outcome = "capsized"
        elif floating.state != "afloat":
            outcome = "sunk"
        if equilibrium and (whole_curve or outcome == "afloat"):
            vessel = replace(floating, case=self._with_active_openings(ship))
            if whole_curve:
                full_stability = stability(vessel.case, floating=vessel)
            if outcome == "afloat":
                residual = self._residual(vessel, full_stability)
                if not residual.range > 0:
                    outcome = "capsized"
        survives = bool(outcome == "afloat" and equilibrium and equilibrium.converged)
        s = 0.0
        if survives and residual and not under:
            s = s_factor(residual, ship.service.kind, ship.load.mass, self.moment)
        compartments = compartments_named(ship, self.plan, ship.flooded)
        ending = ending_of(floating, outcome, over_end)
        return FloodingResult(
            ship,
            breached,
            ship.flooded,
            progression,
            outcome,
            survives,
            ending,
            explanation(floating, ending, under, progression),
            floating,
            full_stability,
            residual,
            sum(
                compartment.permeability * _water_volume(compartment, floating)
                for compartment in compartments
            ),
            s,
            residual_freeboard(floating),
            tuple(
                (o.name, float(equilibrium.attitude.heights(o.points).min())) for o in ship.openings
            )
            if equilibrium
            else (),
        )

    def _trim_over_end(self, ship: Case) -> float:
        """The trim (rad) at which the vessel plunges: no equilibrium is found up to `MAX_TRIM` with
        the heel held as intact. Zero where one is found."""
        assert self.intact.equilibrium
        start, load = self.intact.equilibrium.attitude, ship.load
        held_position = find_equilibrium(
            ship.hull.tree, load.volume, load.gravity_at, start, fixed_heel=True
        ).attitude
        over = held_position.upside_down or abs(held_position.trim_rad) > MAX_TRIM
        return held_position.trim_rad if over else 0.0

    def _with_active_openings(self, ship: Case) -> Case:
        """The vessel with exactly the flooding paths that lead on as its openings."""
        leading = [path for path in self.paths if spreads_flooding(path.compartments, ship.flooded)]
        names = {path.name for path in leading if path.kind == "opening"}
        openings = tuple(each for each in ship.openings if each.name in names)
        doors = tuple(
            Opening(path.name, path.sill, kind="door") for path in leading if path.kind == "door"
        )
        return replace(ship, openings=openings + doors)

    def _residual(self, floating: FloatingPosition, full_stability: Stability | None) -> ResidualGZ:
        """Residual GZ on the side of the heel, or on the worse side of an upright vessel."""
        assert floating.equilibrium
        ship = floating.case
        heel = floating.equilibrium.attitude.heel_rad
        sides: tuple[int, ...] = (int(np.sign(heel)) or 1,)
        if abs(heel) <= UPRIGHT_TOLERANCE and not self._is_symmetric(floating):
            sides = (1, -1)
        if full_stability:
            found = [
                residual_gz_of_side(full_stability.starboard if sign > 0 else full_stability.port)
                for sign in sides
            ]
        else:
            arm = sufficient_GZ(ship.load.mass, self.moment)
            found = [residual_gz_from(floating, sign, FINAL_STAGE[1], arm) for sign in sides]
        kind, mass = ship.service.kind, ship.load.mass
        return min(
            found,
            key=lambda each: (s_factor(each, kind, mass, self.moment), each.max_gz),
        )

    def _is_symmetric(self, floating: FloatingPosition) -> bool:
        """Whether the GZ curve of an upright damaged vessel is the same to both sides."""
        assert floating.equilibrium
        attitude, tree = floating.equilibrium.attitude, floating.case.hull.tree
        compartments = tree.lost if isinstance(tree, LostBuoyancy) else ()
        return (
            self.is_hull_symmetric
            and all(is_body_symmetric(each.tree, attitude) for each in compartments)
            and is_load_symmetric(floating.case, attitude)
        )


def _water_volume(compartment: Compartment, floating: FloatingPosition) -> float:
    """The part of a compartment below the sea (m3), all of it where the vessel is lost."""
    if not floating.equilibrium:
        return compartment.volume
    return compartment.body.below(floating.equilibrium.attitude).volume

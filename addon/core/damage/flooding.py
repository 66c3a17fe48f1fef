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
from numpy.typing import NDArray

from ..buoyancy.attitude import Attitude
from ..buoyancy.body import Less, LostBuoyancy
from ..buoyancy.moment_tree import MomentTree
from ..hydrostatics.equilibrium import settle
from ..hydrostatics.floating_position import UPRIGHT, Floating, float_ship
from ..hydrostatics.lateral_area import lateral_profile
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.compartment import SEA, Division, Room
from ..model.names import check_known
from ..model.openings import Opening
from ..stability.both_sides import Stability, stability
from .flooding_paths import Way, leads_on, ways_of, with_rooms_named
from .outcome import (
    STEEPEST,
    Ending,
    Outcome,
    Spread,
    ending_of,
    is_on_end,
    margin_line,
    turned_over,
    why,
)
from .residual_gz import Residual, hangs_even, is_even, residual_from, residual_of
from .s_factor import FINAL, arm_enough, heeling_moment, s_factor

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Flooded:
    """A ship with rooms open to the sea, at rest, or lost.

    `case` is the damaged ship, `opened` the rooms holed and `rooms` all open to the sea in the
    end, by way of `spread`. She is `sunk` where the rest of her cannot carry her, where she comes
    to stand on her end or goes over it, or fills over an open edge; `capsized` where she rests
    past 90 degrees of heel otherwise, or without righting arms. She `survives` afloat at a rest
    that was found. `ending` is how it ends, and `why` says it in one sentence, the worst first.

    `water` is what is in the rooms (m3), `margin_line` how far its lowest point, 76 mm below the
    deck edge, stands above water (m), and `freeboards` holds each opening with its height (m).
    `residual` are the righting arms left on the side to which she heels; `stability` has all of
    them where they were asked for.
    """

    case: Case
    opened: tuple[str, ...]
    rooms: tuple[str, ...]
    spread: tuple[Spread, ...]
    outcome: Outcome
    survives: bool
    ending: Ending
    why: Sentence
    floating: Floating
    stability: Stability | None
    residual: Residual | None
    water: float
    s_factor: float
    margin_line: float
    freeboards: tuple[tuple[str, float], ...]

    @property
    def awash(self) -> bool:
        """Whether the vessel survives with its margin line immersed."""
        return self.survives and self.margin_line < 0


def damaged(case: Case, division: Division, names: Iterable[str]) -> Case:
    """The vessel with compartments open to the sea, including those that the case names as flooded.

    A tank that is one of these compartments loses its content. Of the open edges of the hull only
    those remain that lead into dry compartments, and openings name the compartments that they lead
    into. Raises BadInputError for an unknown compartment.
    """
    rooms = _rooms(case, division, (*case.flooded, *names))
    tree = case.hull.tree
    whole, lost = (tree.whole, tree.lost) if isinstance(tree, LostBuoyancy) else (tree, ())
    assert isinstance(whole, MomentTree)
    known = {id(each.tree) for each in lost}
    fresh = [room for room in rooms if id(room.body) not in known]
    if not fresh:
        return case
    lost += tuple(Less(room.body, room.permeability) for room in fresh)
    flooded = tuple(room.name for room in rooms)
    said = ", ".join(f"'{room.name}'" for room in fresh)
    return replace(
        with_rooms_named(case, division),
        title=f"{case.title}, {said} flooded",
        hull=replace(
            case.hull, tree=LostBuoyancy(whole, lost), rims=_rims(case, division, flooded)
        ),
        tanks=tuple(
            tank.filled(0.0)
            if any(room.name == tank.name or room.body is tank.body for room in rooms)
            else tank
            for tank in case.tanks
        ),
        flooded=flooded,
    )


def float_before(case: Case) -> Floating:
    """The intact equilibrium. Raises BadInputError where the vessel is lost before anything
    floods."""
    floating = float_ship(case, seek_others=False)
    if floating.state == "sunk":
        words = "{ship}: she sinks before anything floods; take weight off"
        raise BadInputError(Sentence(words, ship=Subject("vessel", case.title)))
    if turned_over(floating):
        words = "{ship}: she capsizes before anything floods; lower her weights"
        raise BadInputError(Sentence(words, ship=Subject("vessel", case.title)))
    return floating


def flood(
    case: Case,
    division: Division,
    names: Iterable[str],
    tell: Callable[[int], None] | None = None,
    whole_curve: bool = True,
) -> Flooded:
    """The vessel with compartments open to the sea, and the spread of the water; `tell` receives
    each stage.

    Without `whole_curve` the GZ curve is computed only as far as the s-factor needs it. Raises
    BadInputError for unknown compartments, for a door that joins no two, for a case without
    weights, and for a vessel that sinks or capsizes intact.
    """
    return _Trials(with_rooms_named(case, division), division).run(tuple(names), tell, whole_curve)


def flood_each(
    case: Case,
    division: Division,
    pairs: bool = False,
    tell: Callable[[int], None] | None = None,
) -> tuple[Flooded, ...]:
    """Each dry compartment opened to the sea alone, or each two that share a boundary.

    GZ curves go as far as the s-factor needs; `tell` receives the number done. Raises BadInputError
    as `flood`, and where there is nothing to open.
    """
    dry = [room.name for room in division.rooms if room.name not in case.flooded]
    singles = [(name,) for name in dry]
    doubles = [pair for pair in division.neighbours if set(pair) <= set(dry)]
    chosen: Sequence[tuple[str, ...]] = doubles if pairs else singles
    if not chosen:
        raise BadInputError(
            Sentence(
                "{ship}: there are no two dry rooms that share a wall; add walls that part her "
                "hull into rooms"
                if pairs
                else "{ship}: there are no rooms that are dry; add walls that part her hull into "
                "rooms",
                ship=Subject("vessel", case.title),
            )
        )
    trials = _Trials(with_rooms_named(case, division), division)
    found = []
    for names in chosen:
        found.append(trials.run(names, None, False))
        if tell:
            tell(len(found))
    return tuple(found)


def worst(floodings: Iterable[Flooded]) -> Flooded:
    """The worst flooding: lost, then margin line immersed, then not; among these by s-factor,
    residual freeboard and residual GZ, which may be known only as far as the s-factor needs."""

    def rank(each: Flooded) -> tuple[bool, bool, float, float, float]:
        arm = each.residual.greatest_arm if each.residual else 0.0
        line = -np.inf if np.isnan(each.margin_line) else each.margin_line
        return each.survives, not each.awash, each.s_factor, line, arm

    return min(floodings, key=rank)


@dataclass(frozen=True)
class _Trials:
    """What several damage cases of one vessel share."""

    case: Case
    division: Division

    @cached_property
    def intact(self) -> Floating:
        """The intact equilibrium. Raises BadInputError as `float_before`."""
        return float_before(self.case)

    @cached_property
    def ways(self) -> tuple[Way, ...]:
        """Flooding paths."""
        return ways_of(self.case, self.division)

    @cached_property
    def moment(self) -> float:
        """The heeling moment (kg m) that a damaged passenger vessel must withstand."""
        service, rest = self.case.service, self.intact.rest
        if service.kind != "passenger" or not rest:
            return 0.0
        hull = self.case.hull
        skin = np.concatenate([hull.vertices[hull.triangles], self.case.windage])
        profile = lateral_profile(skin, rest.attitude)
        lever = profile.centre_above + rest.attitude.draft_at(hull.midship_x) / 2
        area = profile.area_above if np.isfinite(lever) else 0.0
        return heeling_moment(service.passengers, hull.breadth, area, float(np.nan_to_num(lever)))

    @cached_property
    def even_hull(self) -> bool:
        """Whether the hull is symmetric."""
        tree, rest = self.case.hull.tree, self.intact.rest
        whole = tree.whole if isinstance(tree, LostBuoyancy) else tree
        return bool(rest and is_even(whole, rest.attitude))

    def run(
        self, names: tuple[str, ...], tell: Callable[[int], None] | None, whole_curve: bool
    ) -> Flooded:
        """Opens the compartments of these names and follows the flooding to its end."""
        ship = damaged(self.case, self.division, names)
        floating = float_ship(ship, self.intact, seek_others=False)
        spread: list[Spread] = []
        opened = ship.flooded
        for stage in count(1):
            if tell:
                tell(stage)
            more = self._spread(ship, floating)
            if not more:
                break
            spread += more
            rooms = (*ship.flooded, *(each.room for each in more))
            ship = damaged(self.case, self.division, rooms)
            floating = float_ship(ship, floating, seek_others=False)
        return self._judged(opened, ship, floating, tuple(spread), whole_curve)

    def _under(self, ship: Case, attitude: Attitude) -> list[Way]:
        """Flooding paths under water that lead on, the deepest first, weathertight openings
        included."""
        ways = [way for way in self.ways if leads_on(way.rooms, ship.flooded)]
        heights = {id(way): way.clear(attitude) for way in ways}
        under = [way for way in ways if heights[id(way)] <= 0]
        return sorted(under, key=lambda way: heights[id(way)])

    def _spread(self, ship: Case, floating: Floating) -> tuple[Spread, ...]:
        """Compartments that flood next from an equilibrium, each by its deepest path."""
        if not floating.rest or is_on_end(floating) or turned_over(floating):
            return ()
        found: dict[str, Spread] = {}
        for way in self._under(ship, floating.rest.attitude):
            if way.tight:
                continue
            for room in way.rooms:
                if room != SEA and room not in ship.flooded:
                    found.setdefault(room, Spread(room, way.name, way.kind))
        return tuple(found.values())

    def _judged(
        self,
        opened: tuple[str, ...],
        ship: Case,
        floating: Floating,
        spread: tuple[Spread, ...],
        whole_curve: bool,
    ) -> Flooded:
        rest = floating.rest
        under = self._under(ship, rest.attitude) if rest else []
        arms, residual = None, None
        outcome: Outcome = "afloat"
        over_end = self._trim_over_end(ship) if turned_over(floating) else 0.0
        if is_on_end(floating) or over_end:
            outcome = "sunk"
        elif turned_over(floating):
            outcome = "capsized"
        elif floating.state != "afloat":
            outcome = "sunk"
        if rest and (whole_curve or outcome == "afloat"):
            led = replace(floating, case=self._with_ways(ship))
            if whole_curve:
                arms = stability(led.case, floating=led)
            if outcome == "afloat":
                residual = self._residual(led, arms)
                if not residual.range > 0:
                    outcome = "capsized"
        survives = bool(outcome == "afloat" and rest and rest.settled)
        s = 0.0
        if survives and residual and not under:
            s = s_factor(residual, ship.service.kind, ship.load.mass, self.moment)
        rooms = _rooms(ship, self.division, ship.flooded)
        ending = ending_of(floating, outcome, over_end)
        return Flooded(
            ship,
            opened,
            ship.flooded,
            spread,
            outcome,
            survives,
            ending,
            why(floating, ending, under, spread),
            floating,
            arms,
            residual,
            sum(room.permeability * _volume_in(room, floating) for room in rooms),
            s,
            margin_line(floating),
            tuple((o.name, float(rest.attitude.heights(o.points).min())) for o in ship.openings)
            if rest
            else (),
        )

    def _trim_over_end(self, ship: Case) -> float:
        """The trim (rad) at which the vessel plunges: no equilibrium is found up to `STEEPEST` with
        the heel held as intact. Zero where one is found."""
        assert self.intact.rest
        start, load = self.intact.rest.attitude, ship.load
        held = settle(ship.hull.tree, load.volume, load.hang, start, held=True).attitude
        over = held.upside_down or abs(held.trim_rad) > STEEPEST
        return held.trim_rad if over else 0.0

    def _with_ways(self, ship: Case) -> Case:
        """The vessel with exactly the flooding paths that lead on as its openings."""
        leading = [way for way in self.ways if leads_on(way.rooms, ship.flooded)]
        names = {way.name for way in leading if way.kind == "opening"}
        openings = tuple(each for each in ship.openings if each.name in names)
        doors = tuple(
            Opening(way.name, way.sill, kind="door") for way in leading if way.kind == "door"
        )
        return replace(ship, openings=openings + doors)

    def _residual(self, floating: Floating, arms: Stability | None) -> Residual:
        """Residual GZ on the side of the heel, or on the worse side of an upright vessel."""
        assert floating.rest
        ship = floating.case
        heel = floating.rest.attitude.heel_rad
        sides: tuple[int, ...] = (int(np.sign(heel)) or 1,)
        if abs(heel) <= UPRIGHT and not self._is_even(floating):
            sides = (1, -1)
        if arms:
            found = [residual_of(arms.starboard if sign > 0 else arms.port) for sign in sides]
        else:
            arm = arm_enough(ship.load.mass, self.moment)
            found = [residual_from(floating, sign, FINAL[1], arm) for sign in sides]
        kind, mass = ship.service.kind, ship.load.mass
        return min(
            found,
            key=lambda each: (s_factor(each, kind, mass, self.moment), each.greatest_arm),
        )

    def _is_even(self, floating: Floating) -> bool:
        """Whether the GZ curve of an upright damaged vessel is the same to both sides."""
        assert floating.rest
        attitude, tree = floating.rest.attitude, floating.case.hull.tree
        rooms = tree.lost if isinstance(tree, LostBuoyancy) else ()
        return (
            self.even_hull
            and all(is_even(each.tree, attitude) for each in rooms)
            and hangs_even(floating.case, attitude)
        )


def _rooms(case: Case, division: Division, names: Iterable[str]) -> list[Room]:
    """The compartments of these names, each once."""
    known = {room.name: room for room in division.rooms}
    names = tuple(dict.fromkeys(names))
    for name in names:
        check_known(case.title, "room", name, known)
    return [known[name] for name in names]


def _rims(case: Case, division: Division, flooded: Sequence[str]) -> tuple[Array, ...]:
    """Open edges (k, 2, 3) over which water enters dry compartments; those of the hull where the
    compartments behind them are unknown."""
    leading = (gap.edges for gap in division.gaps if leads_on(gap.rooms, flooded))
    return (*(() if division.knows_rims else case.hull.rims), *leading)


def _volume_in(room: Room, floating: Floating) -> float:
    """The part of a compartment below the sea (m3), all of it where the vessel is lost."""
    if not floating.rest:
        return room.volume
    return room.body.below(floating.rest.attitude).volume

"""Measures of the GZ curve and of the vessel used by criteria.

GZ does not count beyond the downflooding angle, so neither area nor lever does. Areas begin
upright: what a list takes off them counts against the vessel.
"""

from __future__ import annotations

from math import atan, degrees, inf, isinf, isnan, nan, pi, tan

from ..messages.sentence import Sentence, metres
from ..messages.subjects import Subject
from ..stability.heeling_levers import Lever
from .criteria_inputs import Particulars

NO_DECK_EDGE = Sentence(
    "no deck edge was found on the hull to tell the freeboard by; model her deck"
)
NO_WINDAGE = Sentence("nothing of her stands above the water to catch the wind")
AREA, ARM = Sentence("area"), Sentence("arm")


def area(ship: Particulars, start: float, end: float) -> float:
    """Area (m rad) under GZ between two heels (rad), up to downflooding; NaN beyond the curve."""
    end = min(end, ship.flooding)
    return ship.arms.area(start, end) if start < end else 0.0


def cut_short(ship: Particulars, end: float, what: Sentence = AREA) -> Sentence:
    """Where a range up to a heel (rad) ends before it, in words; empty where it does not."""
    if not ship.flooding < end:
        return Sentence("")
    words = "{water}, and no {what} counts beyond"
    return Sentence(words, water=comes_in(ship), what=what)


def greatest_arm(ship: Particulars, start: float) -> float:
    """The maximum GZ (m) from a heel (rad) on, up to downflooding and vanishing stability.

    GZ at `start` where stability has vanished before; NaN where downflooding comes before, or
    beyond the curve.
    """
    if ship.flooding < start or ship.end < start:
        return nan
    return ship.arms.greatest(start, max(start, min(ship.flooding, ship.vanishing)))[1]


def greatest_heel(ship: Particulars) -> float:
    """Heel (rad) of the maximum GZ within the range of stability, up to downflooding; NaN without a
    range."""
    end = min(ship.vanishing, ship.flooding)
    if not ship.rest_heel < end:
        return nan
    return ship.arms.greatest(ship.rest_heel, end)[0]


def stability_range(ship: Particulars) -> float:
    """Heels (rad) from equilibrium to downflooding, vanishing stability, or the end of the
    curve."""
    return max(min(ship.vanishing, ship.end, ship.flooding) - ship.rest_heel, 0.0)


def equilibrium(ship: Particulars, lever: Lever) -> float:
    """Equilibrium heel (rad) under a heeling lever: where GZ first rises through it beyond the heel
    without it. NaN where the vessel capsizes."""
    if not ship.rest_heel < ship.vanishing:
        return nan
    if lever.upright <= 0:
        return ship.rest_heel
    for crossing in ship.arms.less(lever).crossings:
        if crossing.rising and ship.rest_heel < crossing.heel < ship.vanishing:
            return crossing.heel
    return nan


def cannot_hold(ship: Particulars, lever: Lever) -> Sentence:
    """Why there is no safe equilibrium under a heeling lever, in words; empty where there is."""
    heel = equilibrium(ship, lever)
    if isnan(heel):
        return Sentence(
            "she goes over: GZ never rises to the arm of the {lever}, {arm}",
            lever=lever.name,
            arm=metres(lever.upright, ".3g"),
        )
    if heel > ship.flooding:
        return Sentence(
            "{water}, before the {angle} degrees at which she would lie",
            water=comes_in(ship),
            angle=f"{degrees(heel):.3g}",
        )
    return Sentence("")


def has_no_deck_edge(ship: Particulars) -> bool:
    """Whether the hull has no deck edge that could immerse."""
    return isinf(ship.deck_edge) and isnan(ship.freeboard)


def immersing_heel(ship: Particulars, share: float) -> float:
    """Heel (rad) that immerses a share of the freeboard, as for a wall-sided ship: its tangent is
    that share of the tangent of the deck-edge immersion angle.

    Infinite where the deck edge never immerses within 90 degrees; NaN without a deck edge. Common
    practice.
    """
    if has_no_deck_edge(ship):
        return nan
    if ship.deck_edge >= pi / 2:
        return inf
    return atan(share * tan(max(ship.deck_edge, 0.0)))


def wind_height(ship: Particulars) -> float:
    """Height (m) of the center of the windage area above that of the underwater lateral area, or
    above half the draft where there is none; NaN where nothing stands above the water."""
    profile = ship.profile
    below = ship.draft / 2 if isnan(profile.centre_below) else profile.centre_below
    return profile.centre_above + below


def comes_in(ship: Particulars) -> Sentence:
    """Where and when water comes in, in words."""
    water = Sentence("water comes in")
    if ship.flooding_opening:
        through = "water comes in through '{opening}'"
        water = Sentence(through, opening=Subject("opening", ship.flooding_opening))
    if ship.flooding <= ship.rest_heel:
        return Sentence("{water} where she floats", water=water)
    angle = f"{degrees(ship.flooding):.3g}"
    return Sentence("{water} at {angle} degrees", water=water, angle=angle)

"""Measures of the GZ curve and of the vessel used by criteria.

GZ does not count beyond the downflooding angle, so neither area nor lever does. Areas begin
upright: what a list takes off them counts against the vessel.
"""

from __future__ import annotations

from math import atan, degrees, inf, isinf, isnan, nan, pi, tan

from ..messages.sentence import Sentence, meters
from ..messages.subjects import Subject
from ..stability.heeling_levers import Lever
from .criteria_inputs import CriteriaInputs

NO_DECK_EDGE = Sentence("no deck edge was found on the hull for the freeboard; model the deck")
NO_WINDAGE = Sentence("nothing of the vessel stands above the water to catch the wind")
AREA_TEXT, GZ_TEXT = Sentence("area"), Sentence("GZ")


def area(ship: CriteriaInputs, start: float, end: float) -> float:
    """Area (m rad) under GZ between two heels (rad), up to downflooding; NaN beyond the curve."""
    end = min(end, ship.downflooding_angle)
    return ship.gz_curve.area(start, end) if start < end else 0.0


def downflooding_note(ship: CriteriaInputs, end: float, what: Sentence = AREA_TEXT) -> Sentence:
    """Where a range up to a heel (rad) ends before it, in words; empty where it does not."""
    if not ship.downflooding_angle < end:
        return Sentence("")
    words = "{water}, and no {what} counts beyond"
    return Sentence(words, water=water_entry_text(ship), what=what)


def max_gz(ship: CriteriaInputs, start: float) -> float:
    """The maximum GZ (m) from a heel (rad) on, up to downflooding and vanishing stability.

    GZ at `start` where stability has vanished before; NaN where downflooding comes before, or
    beyond the curve.
    """
    if ship.downflooding_angle < start or ship.end < start:
        return nan
    return ship.gz_curve.maximum(
        start, max(start, min(ship.downflooding_angle, ship.vanishing_angle))
    )[1]


def max_gz_heel(ship: CriteriaInputs) -> float:
    """Heel (rad) of the maximum GZ within the range of stability, up to downflooding; NaN without a
    range."""
    end = min(ship.vanishing_angle, ship.downflooding_angle)
    if not ship.equilibrium_heel < end:
        return nan
    return ship.gz_curve.maximum(ship.equilibrium_heel, end)[0]


def stability_range(ship: CriteriaInputs) -> float:
    """Heels (rad) from equilibrium to downflooding, vanishing stability, or the end of the
    curve."""
    return max(
        min(ship.vanishing_angle, ship.end, ship.downflooding_angle) - ship.equilibrium_heel, 0.0
    )


def heel_under_lever(ship: CriteriaInputs, lever: Lever) -> float:
    """Equilibrium heel (rad) under a heeling lever: where GZ first rises through it beyond the heel
    without it. NaN where the vessel capsizes."""
    if not ship.equilibrium_heel < ship.vanishing_angle:
        return nan
    if lever.upright <= 0:
        return ship.equilibrium_heel
    for crossing in ship.gz_curve.minus(lever).crossings:
        if crossing.rising and ship.equilibrium_heel < crossing.heel < ship.vanishing_angle:
            return crossing.heel
    return nan


def no_equilibrium_text(ship: CriteriaInputs, lever: Lever) -> Sentence:
    """Why there is no safe equilibrium under a heeling lever, in words; empty where there is."""
    heel = heel_under_lever(ship, lever)
    if isnan(heel):
        return Sentence(
            "the vessel capsizes: GZ never rises to the lever of the {lever}, {arm}",
            lever=lever.name,
            arm=meters(lever.upright, ".3g"),
        )
    if heel > ship.downflooding_angle:
        return Sentence(
            "{water}, before the equilibrium at {angle} degrees",
            water=water_entry_text(ship),
            angle=f"{degrees(heel):.3g}",
        )
    return Sentence("")


def has_no_deck_edge(ship: CriteriaInputs) -> bool:
    """Whether the hull has no deck edge that could immerse."""
    return isinf(ship.deck_edge_angle) and isnan(ship.freeboard)


def immersing_heel(ship: CriteriaInputs, share: float) -> float:
    """Heel (rad) that immerses a share of the freeboard, as for a wall-sided ship: its tangent is
    that share of the tangent of the deck-edge immersion angle.

    Infinite where the deck edge never immerses within 90 degrees; NaN without a deck edge. Common
    practice.
    """
    if has_no_deck_edge(ship):
        return nan
    if ship.deck_edge_angle >= pi / 2:
        return inf
    return atan(share * tan(max(ship.deck_edge_angle, 0.0)))


def wind_height(ship: CriteriaInputs) -> float:
    """Height (m) of the center of the windage area above that of the underwater lateral area, or
    above half the draft where there is none; NaN where nothing stands above the water."""
    profile = ship.profile
    below = ship.draft / 2 if isnan(profile.center_below) else profile.center_below
    return profile.center_above + below


def water_entry_text(ship: CriteriaInputs) -> Sentence:
    """Where and when water comes in, in words."""
    water = Sentence("water comes in")
    if ship.downflooding_opening:
        through = "water comes in through '{opening}'"
        water = Sentence(through, opening=Subject("opening", ship.downflooding_opening))
    if ship.downflooding_angle <= ship.equilibrium_heel:
        return Sentence("{water} in the floating position", water=water)
    angle = f"{degrees(ship.downflooding_angle):.3g}"
    return Sentence("{water} at {angle} degrees", water=water, angle=angle)

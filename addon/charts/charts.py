"""The charts of results, made from results as they stand in JSON; any figure may be None."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from math import degrees, inf
from typing import Any

from ..core.criteria.disclaimer import CAUTION
from .svg import Band, Chart, Line, Mark, Rule, known

RADIAN = degrees(1.0)
"""Heel (degrees) at which the tangent to GZ at upright has risen by GM."""
AREA_TO = 40.0
"""Heel (degrees) up to which area under GZ is taken: 2008 IS Code, A 2.2.1."""


def righting_arm_chart(result: Mapping[str, Any]) -> Chart:
    """GZ over heel, with heeling arms and the angles that matter.

    Reads `heel_deg` and `GZ_m`, and those that are there of `title`, `criteria_note`, `GZ_max_m`,
    `GZ_max_at_deg`, `vanishing_deg`, `downflooding_deg`, `downflooding_opening`,
    `deck_edge_deg`, `GM_m`, `sides` ({`downflooding_deg`} to starboard and to port) and
    `heeling_arms` ({`name`, `arm_m` at the same heels}). Beyond flooding GZ is dashed.
    Area is shaded to 40 degrees, or to downflooding where that comes first.
    """
    heels = result["heel_deg"]
    GZ = Line("Righting arm GZ", heels, result["GZ_m"])
    parted = _to_flooding(GZ, result)
    arms = [
        Line(arm["name"], heels, arm["arm_m"], dashed=True)
        for arm in result.get("heeling_arms") or ()
    ]
    GM = result.get("GM_m")
    greatest, at = result.get("GZ_max_m"), result.get("GZ_max_at_deg")
    opening = result.get("downflooding_opening")
    angles = (
        ("deck edge", result.get("deck_edge_deg"), ""),
        ("downflooding", result.get("downflooding_deg"), f", {opening}" if opening else ""),
        ("vanishing", result.get("vanishing_deg"), ""),
    )
    return _chart(
        result,
        "righting arm",
        ("Heel (degrees)", "GZ (m)"),
        [*parted, *arms, *([_tangent(GM, [GZ, *arms])] if known(GM) else [])],
        marks=[Mark(at, greatest, f"greatest GZ {greatest:.3f} m at {at:.1f}°")]
        if known(greatest) and known(at)
        else [],
        rules=[Rule(x, f"{what} {x:.1f}°{more}") for what, x, more in angles if known(x)],
        shaded=_area(GZ, result.get("downflooding_deg")),
    )


def cross_curves_chart(result: Mapping[str, Any]) -> Chart:
    """KN over displacement, one curve a heel.

    Reads `heel_deg` and `rows` ({`displacement_kg`, `KN_m` at those heels}), and those that are
    there of `title` and `criteria_note`.
    """
    rows = result["rows"]
    tonnes = [_tonnes(row["displacement_kg"]) for row in rows]
    lines = [
        Line(f"{heel:g}°", tonnes, [row["KN_m"][column] for row in rows])
        for column, heel in enumerate(result["heel_deg"])
    ]
    labels = ("Displacement (t)", "KN (m)")
    return _chart(result, "cross curves of stability", labels, lines, names_at_ends=True)


def limits_chart(result: Mapping[str, Any]) -> Chart:
    """The greatest KG allowed over displacement, and where the ship herself is.

    Reads `rows` ({`displacement_kg`, `KG_max_m`}), and those that are there of `title`,
    `criteria_note`, `displacement_kg` and `KG_m`.
    """
    rows = result["rows"]
    tonnes = [_tonnes(row["displacement_kg"]) for row in rows]
    limit = Line("Greatest KG allowed", tonnes, [row["KG_max_m"] for row in rows])
    own, KG = _tonnes(result.get("displacement_kg")), result.get("KG_m")
    marks = (
        [Mark(own, KG, f"this ship: KG {KG:.3f} m at {own:.5g} t")]
        if known(own) and known(KG)
        else []
    )
    labels = ("Displacement (t)", "KG (m)")
    return _chart(result, "limits of KG", labels, [limit], marks=marks)


def conditions_chart(result: Mapping[str, Any]) -> Chart:
    """GZ over heel in several conditions of loading.

    Reads `conditions` ({`condition`, `heel_deg`, `GZ_m`}), and those that are there of `title`
    and `criteria_note`.
    """
    lines = [
        Line(state["condition"], state["heel_deg"], state["GZ_m"], dashed=place > 0)
        for place, state in enumerate(result["conditions"])
    ]
    return _chart(result, "righting arms by condition", ("Heel (degrees)", "GZ (m)"), lines)


def residual_chart(result: Mapping[str, Any]) -> Chart:
    """GZ over heel of a ship with rooms open to the sea, and the range that counts.

    Reads `residual_heel_deg` and `residual_GZ_m`, and those that are there of `title`,
    `criteria_note`, `residual_rest_deg`, `residual_range_deg` and `residual_side`.
    """
    GZ = Line("Righting arm left", result["residual_heel_deg"], result["residual_GZ_m"])
    rest, reach = result.get("residual_rest_deg"), result.get("residual_range_deg")
    rules, shaded = [], None
    if known(rest) and known(reach):
        end = rest + reach
        rules = [Rule(rest, f"she rests {rest:.1f}°"), Rule(end, f"end of her range {end:.1f}°")]
        shaded = Band(rest, end, f"Range of {reach:.1f}°") if reach > 0 else None
    side = result.get("residual_side")
    heel = f"Heel to {side} (degrees)" if side else "Heel (degrees)"
    labels = (heel, "GZ (m)")
    return _chart(result, "righting arm left", labels, [GZ], rules=rules, shaded=shaded)


def water_chart(result: Mapping[str, Any]) -> Chart:
    """Water in each room over time, and when what happens.

    Reads `time_s`, `rooms` ({`name`, `water_m3`}) and `events` ({`time_s`, `what`}), and those
    that are there of `title` and `criteria_note`.
    """
    lines = [
        Line(room["name"], _minutes(result["time_s"]), room["water_m3"], dashed=place > 0)
        for place, room in enumerate(result["rooms"])
    ]
    return _timed(result, "water coming in", "Water (m3)", lines)


def heel_chart(result: Mapping[str, Any]) -> Chart:
    """Heel over time; see `water_chart`. Reads `heel_deg` too."""
    heel = Line("Heel", _minutes(result["time_s"]), result["heel_deg"])
    return _timed(result, "heel as water comes in", "Heel to starboard (degrees)", [heel])


def floodable_chart(result: Mapping[str, Any]) -> Chart:
    """Floodable length over the place of its middle, with a triangle for each compartment.

    A compartment may flood if the point of its triangle, over its middle and as high as it is
    long, lies under the curve; common practice. Reads `x_m`, `floodable_length_m`, `compartments`
    ({`aft_m`, `forward_m`}), and those that are there of `title`, `criteria_note` and
    `permeability`.
    """
    share = result.get("permeability")
    name = f"Floodable length, permeability {share:g}" if known(share) else "Floodable length"
    lines = [Line(name, result["x_m"], result["floodable_length_m"])]
    ends = [(each["aft_m"], each["forward_m"]) for each in result["compartments"]]
    if ends:
        places = [x for aft, forward in ends for x in (aft, (aft + forward) / 2, forward)]
        heights = [y for aft, forward in ends for y in (0.0, forward - aft, 0.0)]
        lines.append(Line("Her compartments", places, heights, thin=True))
    labels = ("Forward of the aft perpendicular (m)", "Length (m)")
    return _chart(result, "floodable length", labels, lines)


def _timed(result: Mapping[str, Any], kind: str, label: str, lines: list[Line]) -> Chart:
    rules = [Rule(event["time_s"] / 60, event["what"]) for event in result["events"]]
    return _chart(result, kind, ("Time (minutes)", label), lines, rules=rules)


def _minutes(seconds: list[float]) -> list[float]:
    return [second / 60 for second in seconds]


def _chart(
    result: Mapping[str, Any], kind: str, labels: tuple[str, str], lines: list[Line], **more: Any
) -> Chart:
    """With the ship's name before the kind of chart, and the caution at its foot."""
    title = result.get("title")
    footnote = " ".join(filter(None, (result.get("criteria_note"), CAUTION)))
    title = f"{title}: {kind}" if title else kind.capitalize()
    return Chart(title, *labels, lines, footnote=footnote, **more)


def _tangent(GM: float, arms: list[Line]) -> Line:
    """From upright to GM at one radian of heel, or to where it leaves the other lines behind."""
    points = [point for line in arms for piece in line.pieces() for point in piece]
    tall = 1.3 * max((abs(arm) for _, arm in points), default=0.0) or abs(GM) or 1.0
    heel = max((heel for heel, _ in points), default=RADIAN)
    end = min(RADIAN, heel, RADIAN * tall / max(abs(GM), tall))
    name = f"Initial slope, GM {GM:.3f} m at {RADIAN:.1f}°"
    return Line(name, [0.0, end], [0.0, GM * end / RADIAN], thin=True)


def _to_flooding(GZ: Line, result: Mapping[str, Any]) -> list[Line]:
    """GZ between the heels at which she floods to port and to starboard, and what lies beyond."""
    sides, own = result.get("sides") or {}, result.get("downflooding_deg")
    starboard = sides.get("starboard", {}).get("downflooding_deg")
    port = sides.get("port", {}).get("downflooding_deg")
    if not sides and known(own):
        starboard, port = (own, None) if own > 0 else (None, -own)
    low, high = (-port if known(port) else -inf), (starboard if known(starboard) else inf)
    heels = [heel for piece in GZ.pieces() for heel, _ in piece] or [0.0]
    if low >= high:
        return [replace(GZ, dashed=True)]
    if low <= heels[0] and heels[-1] <= high:
        return [GZ]
    arms = dict(zip(GZ.x, GZ.y, strict=True))
    arms.update((heel, _at(GZ, heel)) for heel in (low, high) if heels[0] < heel < heels[-1])
    x = sorted(heel for heel in arms if known(heel))
    hers = [arms[heel] if low <= heel <= high else None for heel in x]
    lost = [arms[heel] if not low < heel < high else None for heel in x]
    return [Line(GZ.name, x, hers), Line("Beyond flooding", x, lost, on=True)]


def _at(line: Line, x: float) -> float | None:
    """The figure of a line at x; None where it breaks."""
    for piece in line.pieces():
        for (x0, y0), (x1, y1) in pairwise(piece):
            if x0 <= x <= x1:
                return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return None


def _area(GZ: Line, downflooding: float | None) -> Band | None:
    """From upright as far as area counts; None where GZ is not known that far."""
    end = min(AREA_TO, downflooding) if known(downflooding) else AREA_TO
    reached = max((heel for piece in GZ.pieces() for heel, _ in piece), default=0.0)
    reason = "downflooding, " if end < AREA_TO else ""
    return Band(0.0, end, f"Area to {reason}{end:.4g}°") if 0.0 < end <= reached else None


def _tonnes(kilograms: float | None) -> float | None:
    return kilograms / 1000.0 if known(kilograms) else None

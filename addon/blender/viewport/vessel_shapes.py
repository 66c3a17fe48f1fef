"""What is drawn of a floating vessel in ship axes: water plane, waterline, marks, measures, draft
marks and texts.

Nothing here knows Blender, so the same shapes serve the viewport and rendered pictures.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt

import numpy as np

from ...core.arrays import Floats
from ...core.buoyancy.attitude import UPRIGHT_UP, Attitude, water_frame
from ...core.buoyancy.sections import waterline
from ...core.hydrostatics.floating_position import FloatingPosition
from .dimensions import dimensions
from .readout import righting
from .shapes import (
    Caption,
    DraftScale,
    Drawing,
    LengthText,
    Mark,
    MarkKind,
    Measure,
    Show,
    WaterPlane,
)
from .water_plane import regions

MARGIN = (
    1 / 3
)  # of the waterline's longer side, from the waterline to the border of the water plane
MOST_FINDING_POINTS = 300


def drawing(
    ship: FloatingPosition, show: Show, length_text: LengthText, arm: float | None = None
) -> Drawing:
    """The shapes of a vessel, at rest, or held at a heel where GZ is given by `arm` (m).

    Drafts are read at rest alone. `length_text` writes meters in the user's unit.
    """
    attitude = attitude_of(ship)
    outline = waterline(ship.case.hull.tree, attitude)
    return Drawing(
        attitude,
        water_plane(ship, outline) if show.water else None,
        outline if show.waterline else outline[:0],
        tuple(_marks(ship, show)),
        tuple(_measures(ship, show, length_text, arm)),
        tuple(_draft_scales(ship, show, length_text) if arm is None else ()),
        tuple(_words(ship)),
        tuple(dimensions(ship, attitude, length_text)) if show.dimensions else (),
    )


def attitude_of(ship: FloatingPosition) -> Attitude:
    """The attitude at rest; for a vessel that sinks, upright with the water over its top."""
    if ship.equilibrium:
        return ship.equilibrium.attitude
    hull = ship.case.hull
    return Attitude(UPRIGHT_UP, float(hull.tree.high[2]) + 0.1 * hull.depth)


def water_point(ship: FloatingPosition) -> Floats:
    """A point (3,) of the water plane about which the vessel turns: F, or above its middle."""
    figures, tree = ship.hydrostatics, ship.case.hull.tree
    if figures and np.isfinite(figures.immersion.flotation).all():
        return figures.immersion.flotation
    attitude, middle = attitude_of(ship), (tree.low + tree.high) / 2
    return middle - attitude.heights(middle) * attitude.up


def water_plane(ship: FloatingPosition, outline: Floats) -> WaterPlane:
    """The water plane around a waterline `outline` (k, 2, 3); a swamped vessel has no cut-out."""
    attitude, hull = attitude_of(ship), ship.case.hull
    ahead, port, up = water_frame(attitude.up)
    across = np.stack([ahead, port])
    about = (outline if len(outline) else hull.vertices).reshape(-1, 3) @ across.T
    low, high = about.min(axis=0), about.max(axis=0)
    margin = MARGIN * (high - low).max()
    low, high = low - margin, high + margin
    dry = outline if ship.state == "afloat" else outline[:0]
    outside, _ = regions(dry @ across.T, low, high)
    corners = np.array([[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]])
    border = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    level = attitude.level * up
    return WaterPlane(outside @ across + level, border @ across + level)


def finding_marks(ship: FloatingPosition) -> tuple[Mark, ...]:
    """Marks in ship axes where findings warn about the hull or the freeboard."""
    own = ship.case.hull.findings
    places = [
        finding.points - (ship.case.hull.origin if any(finding is of for of in own) else 0.0)
        for finding in ship.findings
        if finding.severity == "warning" and len(finding.points)
    ]
    points = np.concatenate(places) if places else np.zeros((0, 3))
    thinned = points[:: max(1, -(-len(points) // MOST_FINDING_POINTS))]
    return tuple(Mark("fault", point) for point in thinned)


def _marks(ship: FloatingPosition, show: Show) -> Iterator[Mark]:
    """The marks in drawing order; weights of pairs always, as one of the two has no object
    of its own to be seen."""
    heaviest = max((weight.mass for weight in ship.case.weights), default=0.0)
    for weight in ship.case.weights:
        if show.weights or weight.pair:
            yield Mark("weight", weight.center, size=0.7 + 0.6 * sqrt(weight.mass / heaviest))
    if show.openings:
        yield from _openings(ship, show)
    centers: list[tuple[MarkKind, bool, Floats]] = [
        ("G", show.center_of_gravity, ship.weight.center)
    ]
    if ship.hydrostatics:
        wet = ship.hydrostatics.immersion
        centers = [
            ("F", show.center_of_flotation, wet.flotation),
            ("B", show.center_of_buoyancy, wet.buoyancy),
            ("M", show.metacenter, ship.hydrostatics.metacenter),
            *centers,
        ]
    for kind, wanted, center in centers:
        if wanted and np.isfinite(center).all():
            yield Mark(kind, center, kind if show.labels else "")


def _openings(ship: FloatingPosition, show: Show) -> Iterator[Mark]:
    """Marks of the openings; those that let water in have their names."""
    flooded = [each for each in ship.immersed_openings if not each.weathertight]
    for opening in ship.case.openings:
        if any(opening is each for each in flooded):
            yield Mark("flooding", opening.point, opening.name if show.labels else "")
        else:
            yield Mark("opening", opening.point)


def _measures(
    ship: FloatingPosition, show: Show, length_text: LengthText, arm: float | None
) -> Iterator[Measure]:
    """GM corrected for free surfaces at rest; GZ, to the vertical through B, at a held heel."""
    if arm is not None:
        if show.center_of_gravity and show.center_of_buoyancy:
            gravity, buoyancy = ship.weight.center, ship.hydrostatics.immersion.buoyancy
            meets = gravity - arm * water_frame(ship.equilibrium.attitude.up)[1]
            text = length_text(righting(ship.equilibrium.attitude.heel_rad, arm))
            yield Measure(buoyancy, meets, "")
            yield Measure(gravity, meets, f"GZ {text}" if show.labels else "")
    elif ship.hydrostatics and show.center_of_gravity and show.metacenter:
        gravity = ship.weight.center
        text = f"GM {length_text(ship.GM_fluid)}" if show.labels else ""
        yield Measure(gravity, gravity + ship.GM_fluid * ship.equilibrium.attitude.up, text)


def _draft_scales(
    ship: FloatingPosition, show: Show, length_text: LengthText
) -> Iterator[DraftScale]:
    figures, hull = ship.hydrostatics, ship.case.hull
    if figures is None or not show.draft_marks:
        return
    ends = (
        (0.0, False, figures.draft_aft, "aft"),
        (hull.length_pp, True, figures.draft_forward, "forward"),
    )
    for x, forward, draft, word in ends:
        if np.isfinite(draft) and abs(draft) < 2 * hull.depth:
            reach = 0.15 * hull.depth
            high = max(draft, figures.draft_mid) + reach
            low = min(0.0, draft - reach)
            text = f"Draft {word} {length_text(draft)}" if show.labels else ""
            yield DraftScale(x, forward, low, high, draft, text)


def _words(ship: FloatingPosition) -> Iterator[Caption]:
    if ship.state == "sunk":
        yield Caption(water_point(ship), "Sinks", "warning")
    if ship.state == "swamped" and ship.downflooding_point is not None:
        yield Caption(ship.downflooding_point, "floods here", "warning")


def deck_edge_under(ship: FloatingPosition) -> Floats:
    """The parts (k, 2, 3) of the deck edge that are under water."""
    attitude, edges = attitude_of(ship), ship.case.hull.deck_edge
    heights = attitude.heights(edges)
    under = heights.min(axis=1) < 0
    (start, end), (low, high) = edges[under].transpose(1, 0, 2), heights[under].T
    share = low / np.where(low == high, 1.0, low - high)
    crossed = (low > 0) != (high > 0)
    point = start + share[:, None] * (end - start)
    start = np.where((crossed & (low > 0))[:, None], point, start)
    end = np.where((crossed & (high > 0))[:, None], point, end)
    return np.stack([start, end], axis=1)

"""Principal dimensions of a ship as dimension lines in ship axes: lines beside it with their ends
led back to what they measure.

Lengths and beam lie below the keel, clear of the draft marks at the perpendiculars; heights lie
off the sides. Waterline length, freeboard and air draft go by the water.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from ...core.arrays import Floats
from ...core.buoyancy.attitude import Attitude, water_frame
from ...core.buoyancy.sections import waterline
from ...core.hydrostatics.floating_position import FloatingPosition

LengthText = Callable[[float], str]

FIRST, TIER = 0.10, 0.14  # from side or keel to the first line, between lines, of the breadth
CLEAR = 0.16  # of the depth, by which draft marks may reach below the baseline
GAP, TIP = 0.3, 0.2  # of the first distance, left free at the hull and added beyond the line


@dataclass(frozen=True)
class Dimension:
    """A length from `start` to `end` (3,) with its value in words; `leads` (k, 2, 3) tie its ends
    to the ship."""

    start: Floats
    end: Floats
    text: str
    leads: Floats


def dimensions(
    ship: FloatingPosition, attitude: Attitude, length_text: LengthText
) -> Iterator[Dimension]:
    """The dimension lines of a vessel at an attitude; those of the water only where it floats."""
    tree = ship.case.hull.tree
    yield from _of_hull(ship, tree.low, tree.high, length_text)
    if ship.hydrostatics is not None and not attitude.upside_down:
        yield from _of_water(ship, attitude, length_text)


def _of_hull(
    ship: FloatingPosition, low: Floats, high: Floats, length_text: LengthText
) -> Iterator[Dimension]:
    hull = ship.case.hull
    widest = float(hull.vertices[hull.vertices[:, 1].argmax(), 0])
    down, port = np.array([0.0, 0.0, -1.0]), np.array([0.0, 1.0, 0.0])
    below = _reach(ship, down)
    beam = np.array([[widest, low[1], low[2]], [widest, high[1], low[2]]])
    length = np.array([[low[0], 0.0, low[2]], [high[0], 0.0, low[2]]])
    depth = np.array([[hull.midship_x, high[1], low[2]], [hull.midship_x, high[1], high[2]]])
    yield _led(ship, beam, down, below, 0, f"Beam {length_text(hull.breadth)}")
    all_over = f"Length over all {length_text(hull.length_overall)}"
    yield _led(ship, length, down, below, 2, all_over)
    yield _led(ship, depth, port, float(high[1]), 0, f"Depth {length_text(hull.depth)}")


def _of_water(
    ship: FloatingPosition, attitude: Attitude, length_text: LengthText
) -> Iterator[Dimension]:
    hull, figures = ship.case.hull, ship.hydrostatics
    assert figures
    ahead, across, up = water_frame(attitude.up)
    outline = waterline(hull.tree, attitude).reshape(-1, 3)
    if len(outline):
        along = outline @ ahead
        middle = (outline.min(axis=0) + outline.max(axis=0)) / 2
        ends = middle + np.outer([along.min(), along.max()] - middle @ ahead, ahead)
        text = f"Waterline length {length_text(float(np.ptp(along)))}"
        yield _led(ship, ends, -up, _reach(ship, -up), 1, text)
    edge = figures.freeboard_min_at
    if np.isfinite(edge).all():
        height = float(attitude.heights(edge))
        outward = across if edge @ across >= figures.immersion.buoyancy @ across else -across
        text = f"Least freeboard {length_text(height)}"
        ends = np.stack([edge - height * up, edge])
        yield _led(ship, ends, outward, float(edge @ outward), 0, text)
    tops = np.concatenate([hull.vertices, ship.case.windage.reshape(-1, 3)])
    top = tops[attitude.heights(tops).argmax()]
    height = float(attitude.heights(top))
    if height > 0:
        outward = across if top @ across >= figures.immersion.buoyancy @ across else -across
        side = float((tops @ outward).max())
        ends = np.stack([top - height * up, top])
        air = _led(ship, ends, outward, side, 1, f"Air draft {length_text(height)}")
        air.leads[1, 0] = top
        yield air


def _reach(ship: FloatingPosition, down: Floats) -> float:
    """How far the hull and its draft marks reach (m) in a direction that leads down."""
    hull = ship.case.hull
    return float((hull.vertices @ down).max()) + CLEAR * hull.depth


def _led(
    ship: FloatingPosition, ends: Floats, outward: Floats, beyond: float, row: int, text: str
) -> Dimension:
    """A length between `ends` (2, 3), drawn in a row past `beyond` (m) in the unit direction
    `outward`, square to it."""
    first, tier = (share * ship.case.hull.breadth for share in (FIRST, TIER))
    at = ends - np.outer(ends @ outward, outward)
    line = beyond + first + row * tier
    reach = np.array([beyond + GAP * first, line + TIP * first])
    leads = at[:, None] + reach[:, None] * outward
    drawn = at + line * outward
    return Dimension(drawn[0], drawn[1], text, leads)

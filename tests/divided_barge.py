"""A barge divided into compartments, as the finder of compartments would have it, without looking
for them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from addon.core.buoyancy.moment_tree import build_tree
from addon.core.geometry.mesh import Mesh
from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.model.case import Case
from addon.core.model.compartment import SEA, Compartment, CompartmentPlan, Gap, Leak
from addon.core.model.hull import build_hull
from addon.core.model.weights import Weight
from tests import bodies

LENGTH, BREADTH, DEPTH = 30.0, 8.0, 4.0
BOTTOM = 0.8
BOXES = {  # lowest and highest corner
    "engine room": ((0, -4, BOTTOM), (8, 4, DEPTH)),
    "hold": ((8, -4, BOTTOM), (20, 4, DEPTH)),
    "store to port": ((20, 0, BOTTOM), (26, 4, DEPTH)),
    "store to starboard": ((20, -4, BOTTOM), (26, 0, DEPTH)),
    "forepeak": ((26, -4, BOTTOM), (30, 4, DEPTH)),
    "double bottom": ((0, -4, 0), (30, 4, BOTTOM)),
}
NEIGHBORS = (
    ("engine room", "hold"),
    ("hold", "store to port"),
    ("hold", "store to starboard"),
    ("store to port", "store to starboard"),
    ("store to port", "forepeak"),
    ("store to starboard", "forepeak"),
    *((name, "double bottom") for name in list(BOXES)[:-1]),
)


def compartment(
    name: str, low: Sequence[float], high: Sequence[float], watertight: bool = True, **facts
) -> Compartment:
    """A compartment that is a box between two corners."""
    size = np.subtract(high, low)
    middle = (0.0, (low[1] + high[1]) / 2, 0.0)
    box = bodies.moved(bodies.box(*size), (low[0], middle[1], low[2]))
    mesh: Mesh = bodies.mesh(box, name)
    tree = build_tree(mesh.vertices, mesh.triangles)
    return Compartment(name, tree, mesh.vertices, mesh.triangles, watertight=watertight, **facts)


def gap(compartments: tuple[str, str], boundary: str, corners: Sequence[Sequence[float]]) -> Gap:
    """A flat gap with these corners (k, 3)."""
    points = np.array(corners, float)
    edges = np.stack([points, np.roll(points, -1, axis=0)], axis=1)
    return Gap(compartments, boundary, edges, 1.0, points[points[:, 2].argmin()])


HATCH = gap((SEA, "hold"), "deck", [(12, -1, 4), (15, -1, 4), (15, 1, 4), (12, 1, 4)])
DOORWAY = gap(
    ("hold", "store to port"), "bulkhead", [(20, 1, 0.9), (20, 2, 0.9), (20, 2, 2.9), (20, 1, 2.9)]
)


def plan(leaks: bool = False) -> CompartmentPlan:
    """The barge's compartments: six, of which two leak if that is asked for."""
    open_to_sea = {"hold", "store to port"} if leaks else set()
    compartments = tuple(
        compartment(name, *corners, watertight=name not in open_to_sea)
        for name, corners in BOXES.items()
    )
    ways = (Leak("hold", (HATCH,)), Leak("store to port", (HATCH, DOORWAY))) if leaks else ()
    gaps = (HATCH, DOORWAY) if leaks else ()
    return CompartmentPlan(compartments, NEIGHBORS, gaps, ways)


def barge(mass: float = 400e3, center: Sequence[float] = (15.0, 0.0, 1.5)) -> FloatingPosition:
    """The barge afloat, at 1.63 m draft unless it is heavier."""
    hull = build_hull(bodies.mesh(bodies.box(LENGTH, BREADTH, DEPTH), "barge"))
    weight = Weight("all", mass, np.array(center))
    return find_floating_position(Case("barge", hull, (weight,)), seek_others=False)

"""Compare finding and flooding compartments with one exact boolean of Blender's, in one run.

    python3 scripts/bench_compartments.py [--triangles 200000] [--flooded 100000] [--check]

A hull with 12 bulkheads and 3 decks is divided into compartments; then one of about 40 compartments
has every compartment flooded, one at a time, with its s-factor, beside Blender's exact difference
of the same hull and its bulkheads. `--check` exits 1 when a floor is not kept.
"""

from __future__ import annotations

from house import ROOT, enter

enter("test", "blender")

import argparse  # noqa: E402
import sys  # noqa: E402
import time  # noqa: E402
from collections.abc import Callable  # noqa: E402
from typing import Any  # noqa: E402

import bpy  # noqa: E402
import numpy as np  # noqa: E402

sys.path.insert(0, str(ROOT))

from addon.core.compartments.find_compartments import find_compartments  # noqa: E402
from addon.core.damage.flooding import flood_each  # noqa: E402
from addon.core.geometry.mesh import Mesh, triangulate  # noqa: E402
from addon.core.model.case import Case  # noqa: E402
from addon.core.model.hull import build_hull  # noqa: E402
from addon.core.model.weights import Weight  # noqa: E402
from bench import blender_object, hull_like  # noqa: E402

BULKHEADS, DECKS = 12, 3
FEW_BULKHEADS, FEW_DECKS = 9, 3
THIN = 0.0005
BOX = ((3, 2, 1, 0), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7))


def divided(triangles: int, bulkheads: int, decks: int) -> Case:
    """A vessel of about so many triangles with whole transverse bulkheads and whole decks."""
    vertices, faces = hull_like(triangles)
    mesh = Mesh("hull", vertices, faces, np.arange(len(faces)))
    hull = build_hull(mesh)
    low, high = hull.tree.low - 0.1, hull.tree.high + 0.1
    boundaries = [
        _plane(f"bulkhead {i + 1}", 0, x, low, high)
        for i, x in enumerate(np.linspace(low[0], high[0], bulkheads + 2)[1:-1])
    ] + [
        _plane(f"deck {i + 1}", 2, z, low, high)
        for i, z in enumerate(np.linspace(low[2], high[2], decks + 2)[1:-1])
    ]
    center = np.array([hull.midship_x, 0.0, 0.4 * hull.depth])
    ship = Weight("ship", 0.4 * hull.volume * 1025.0, center)
    return Case("bench", hull, (ship,), boundaries=tuple(boundaries))


def _plane(name: str, axis: int, at: float, low: np.ndarray, high: np.ndarray) -> Mesh:
    """A boundary over the whole of a box (3,) to (3,), square to an axis."""
    corners = np.array([low, low, high, high])
    across = (axis + 1) % 3
    corners[1, across], corners[3, across] = high[across], low[across]
    corners[:, axis] = at
    return triangulate(name, corners, ((0, 1, 2, 3),))


def once(task: Callable[[], Any]) -> tuple[float, Any]:
    """Seconds that a task takes, and what it gives."""
    start = time.perf_counter()
    result = task()
    return time.perf_counter() - start, result


def exact_boolean(case: Case) -> float:
    """Seconds of Blender's exact difference of the hull and its bulkheads, a millimeter thick."""
    hull = blender_object(case.hull.vertices, case.hull.triangles)
    bulkheads = [
        boundary.vertices for boundary in case.boundaries if np.ptp(boundary.vertices[:, 0]) == 0
    ]
    corners = np.concatenate([(v - [THIN, 0, 0], v + [THIN, 0, 0]) for v in bulkheads])
    faces = [[8 * i + c for c in face] for i in range(len(bulkheads)) for face in BOX]
    mesh = bpy.data.meshes.new("bulkheads")
    mesh.from_pydata(corners.reshape(-1, 3), [], faces)
    boundaries = bpy.data.objects.new("bulkheads", mesh)
    bpy.context.scene.collection.objects.link(boundaries)
    cut = hull.modifiers.new("bulkheads", "BOOLEAN")
    cut.object, cut.operation, cut.solver = boundaries, "DIFFERENCE", "EXACT"

    def evaluate() -> int:
        bpy.context.view_layer.update()
        graph = bpy.context.evaluated_depsgraph_get()
        return len(hull.evaluated_get(graph).data.polygons)

    spent, count = once(evaluate)
    assert count > len(case.hull.triangles)
    return spent


def main() -> int:
    """Measures, prints the ratios; 1 when a checked floor fails."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--triangles", type=int, default=200_000)
    parser.add_argument("--flooded", type=int, default=100_000)
    parser.add_argument("--check", action="store_true")
    arguments = parser.parse_args()

    ship = divided(arguments.triangles, BULKHEADS, DECKS)
    finding, plan = once(lambda: find_compartments(ship))
    compartments = (
        sum(compartment.volume for compartment in plan.compartments) + plan.boundary_volume
    )
    boolean = exact_boolean(ship)
    print(
        f"{len(ship.hull.triangles)} triangles, {BULKHEADS} bulkheads, {DECKS} decks: "
        f"{len(plan.compartments)} compartments in {finding:.2f} s, "
        f"{abs(compartments / ship.hull.volume - 1):.1e} "
        f"of the volume off; one exact boolean {boolean:.2f} s, ratio {finding / boolean:.2f}"
    )
    ship = divided(arguments.flooded, FEW_BULKHEADS, FEW_DECKS)
    plan = find_compartments(ship)
    flooding, cases = once(lambda: flood_each(ship, plan))
    boolean = exact_boolean(ship)
    ratio = flooding / boolean
    print(
        f"{len(ship.hull.triangles)} triangles, all {len(cases)} compartments flooded one at a "
        f"time in {flooding:.2f} s; one exact boolean {boolean:.2f} s"
    )
    kept = ratio < 1 and len(cases) >= 40
    print(
        f"{'kept' if kept else 'NOT KEPT'}: flooding of {len(cases)} compartments {ratio:.2f}, "
        "less than one exact boolean"
    )
    return 0 if kept or not arguments.check else 1


if __name__ == "__main__":
    sys.exit(main())

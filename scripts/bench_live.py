"""Compare the time to new figures with Blender's own work on the same mesh.

    python3 scripts/bench_live.py [--sizes 5000,50000,500000] [--check]

For each size: the time from the end of Blender's evaluation to new figures when a weight is
dragged and when vertices are moved, Blender's evaluation and hand-over of the mesh, and its bisect
with fill. `--check` exits 1 when a floor is not kept.
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

import addon  # noqa: E402
from addon.blender.controller import live, session  # noqa: E402
from addon.blender.controller.analysis import float_hull  # noqa: E402
from addon.blender.properties.names import Role  # noqa: E402
from addon.blender.properties.settings import settings  # noqa: E402
from bench import blender_bisect, blender_object, hand_over, hull_like, seconds  # noqa: E402

CHANGES = 12
DRAG, EDIT = "weight dragged", "vertices moved"
EVALUATION, BISECT = "Blender evaluation and hand-over", "Blender bisect"
FLOORED = 50_000


def main() -> int:
    """Measures every size; 1 when a checked floor fails."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sizes", default="5000,50000,500000")
    parser.add_argument("--check", action="store_true")
    arguments = parser.parse_args()
    addon.register()
    live.in_window, live.FRAME = True, float("inf")
    kept = True
    for size in map(int, arguments.sizes.split(",")):
        row = measure(size)
        print(f"\n{size} triangles")
        for name, spent in row.items():
            print(f"  {name:34s}{1000 * spent:10.2f} ms")
        if size == FLOORED:
            for words, right in floors(row).items():
                kept &= right
                print(f"  {'kept' if right else 'NOT KEPT'}: {words}")
    addon.unregister()
    return 0 if kept or not arguments.check else 1


def floors(row: dict[str, float]) -> dict[str, bool]:
    """What must hold at `FLOORED` triangles."""
    return {
        "a weight dragged below 10 ms": row[DRAG] < 0.01,
        "and below a tenth of a bisect": row[DRAG] < row[BISECT] / 10,
        "vertices moved below twice Blender's own work": row[EDIT] < 2 * row[EVALUATION],
    }


def measure(size: int) -> dict[str, float]:
    """Seconds of each, on a body of about so many triangles."""
    vertices, triangles = hull_like(size)
    hull = blender_object(vertices, triangles)
    settings(hull).role = Role.HULL
    for name, mass, place in (("hull", 14e3, (0, 0, -0.1)), ("engine", 3e3, (0.5, 0.1, 0))):
        weight = bpy.data.objects.new(name, None)
        bpy.context.scene.collection.objects.link(weight)
        weight.location = place
        settings(weight).role, settings(weight).weight.mass = Role.WEIGHT, mass
    bpy.context.view_layer.update()
    entry = float_hull(bpy.context.evaluated_depsgraph_get(), hull)
    assert entry.floating, entry.message
    flat = np.zeros(3 * len(vertices), np.float32)
    hull.data.attributes["position"].data.foreach_get("vector", flat)
    near = np.linalg.norm(vertices - vertices[len(vertices) // 3], axis=1) < 0.5

    def drag() -> None:
        weight.location.y += 0.003

    def edit() -> None:
        flat.reshape(-1, 3)[near, 2] *= 1.0005
        hull.data.attributes["position"].data.foreach_set("vector", flat)
        hull.data.update()

    row = {DRAG: following(drag, hull), EDIT: following(edit, hull)}
    live.forget()
    row[BISECT] = seconds(blender_bisect(hull.data))
    handlers = bpy.app.handlers.depsgraph_update_post
    handlers.remove(handlers.follow)
    row[EVALUATION] = seconds(lambda: hand_over(hull))
    handlers.append(handlers.follow)
    return row


def following(change: Callable[[], None], hull: Any) -> float:
    """Shortest time in which figures followed a change."""
    best = float("inf")
    handlers = bpy.app.handlers.depsgraph_update_post
    spent = 0.0

    def timed(scene: Any, depsgraph: Any) -> None:
        nonlocal spent
        start = time.perf_counter()
        handlers.follow(scene, depsgraph)
        spent += time.perf_counter() - start

    handlers.remove(handlers.follow)
    handlers.append(timed)
    for _ in range(CHANGES):
        spent, before = 0.0, session.entry_for(hull)
        change()
        bpy.context.view_layer.update()
        after = session.entry_for(hull)
        assert after and before and after.floating is not before.floating, "nothing followed"
        best = min(best, spent)
    handlers.remove(timed)
    handlers.append(handlers.follow)
    return best


if __name__ == "__main__":
    sys.exit(main())

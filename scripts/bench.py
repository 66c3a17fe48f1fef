"""Compare the speed of the core with general libraries, as ratios within one run.

    python3 scripts/bench.py [--sizes 1000,10000,100000,1000000] [--check]

For each size: one evaluation of everything below a heeled plane, VTK's capped clip, manifold3d's
trim, trimesh's slice and Blender's bisect with fill; then the floating position from upright, a
free-to-trim GZ curve over 37 heels, the build of the moment tree, and the time Blender takes to
evaluate and hand over the same mesh. `--check` exits 1 when a floor is not kept.
"""

from __future__ import annotations

from house import ROOT, enter

enter("test")

import argparse  # noqa: E402
import sys  # noqa: E402
import time  # noqa: E402
from collections.abc import Callable  # noqa: E402
from typing import Any  # noqa: E402

import manifold3d  # noqa: E402
import numpy as np  # noqa: E402
import trimesh  # noqa: E402
import vtk  # noqa: E402
from vtk.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray  # noqa: E402

sys.path.insert(0, str(ROOT))

from addon.core.buoyancy.attitude import Attitude, up_from_angles  # noqa: E402
from addon.core.buoyancy.moment_tree import build_tree  # noqa: E402
from addon.core.hydrostatics.equilibrium import find_equilibrium  # noqa: E402
from addon.core.model.load import fixed_gravity  # noqa: E402
from addon.core.stability.righting_curve import righting_curve  # noqa: E402
from addon.core.stability.righting_lever import Heeling  # noqa: E402

try:
    import bpy

    import bmesh  # only after bpy  # isort: skip
except ImportError:
    bpy = None

HEELS = np.radians(np.arange(0.0, 181.0, 5.0))
UP = up_from_angles(np.radians(20.0), np.radians(1.0))
LEVEL = 0.1
FLOORS: dict[str, tuple[str, Callable[[float], bool]]] = {
    "VTK clip": ("at least 25 evaluations at the largest size", lambda ratio: ratio >= 25),
    "manifold3d trim": ("at least 100 evaluations there", lambda ratio: ratio >= 100),
    "growth": ("one evaluation grows slower than n^0.6", lambda power: power < 0.6),
    "curve of 37 heels": ("at most one of Blender's bisects there", lambda ratio: ratio <= 1),
    "curve at 100 000": ("at most three of Blender's bisects", lambda ratio: ratio <= 3),
    "build": ("at most 4 times Blender's hand-over", lambda ratio: ratio <= 4),
}


def hull_like(triangles: int) -> tuple[np.ndarray, np.ndarray]:
    """A closed long body of about so many triangles, vertices (n, 3) and triangles (m, 3)."""
    rings = max(4, round((triangles / 4) ** 0.5))
    around = 2 * rings
    along = np.pi * np.arange(1, rings) / rings
    turn = 2 * np.pi * np.arange(around) / around
    radius = np.sin(along)[:, None]
    x = np.broadcast_to(6 * np.cos(along)[:, None], (rings - 1, around))
    y, z = 1.8 * radius * np.cos(turn), 0.9 * radius * np.sin(turn)
    surface = np.stack([x, y, z], axis=2).reshape(-1, 3)
    vertices = np.concatenate([surface, [[6.0, 0, 0], [-6.0, 0, 0]]])
    ring, step = np.meshgrid(np.arange(rings - 2), np.arange(around), indexing="ij")
    a, b = ring * around + step, ring * around + (step + 1) % around
    c, d = a + around, b + around
    last, bow, stern = (rings - 2) * around, len(surface), len(surface) + 1
    first, after = np.arange(around), np.roll(np.arange(around), -1)
    faces = [
        np.stack([a, c, b], -1).reshape(-1, 3),
        np.stack([b, c, d], -1).reshape(-1, 3),
        np.stack([np.full(around, bow), first, after], -1),
        np.stack([np.full(around, stern), last + after, last + first], -1),
    ]
    return vertices, np.concatenate(faces)


def seconds(task: Callable[[], object], least: float = 0.3) -> float:
    """Shortest time of one call, over repeats that together take about `least` seconds."""
    best = float("inf")
    total = 0.0
    while total < least:
        start = time.perf_counter()
        task()
        spent = time.perf_counter() - start
        best, total = min(best, spent), total + spent
    return best


def vtk_clip(vertices: np.ndarray, triangles: np.ndarray) -> Callable[[], float]:
    """Capped clip of a closed surface and its volume."""
    points, cells, surface = vtk.vtkPoints(), vtk.vtkCellArray(), vtk.vtkPolyData()
    points.SetData(numpy_to_vtk(vertices, deep=1))
    offsets = np.arange(0, 3 * len(triangles) + 1, 3)
    cells.SetData(
        numpy_to_vtkIdTypeArray(offsets.astype(np.int64), deep=1),
        numpy_to_vtkIdTypeArray(np.ascontiguousarray(triangles, np.int64).ravel(), deep=1),
    )
    surface.SetPoints(points)
    surface.SetPolys(cells)
    plane, planes = vtk.vtkPlane(), vtk.vtkPlaneCollection()
    plane.SetOrigin(*(UP * LEVEL))
    plane.SetNormal(*-UP)
    planes.AddItem(plane)

    def clip() -> float:
        clipper, split, mass = (
            vtk.vtkClipClosedSurface(),
            vtk.vtkTriangleFilter(),
            vtk.vtkMassProperties(),
        )
        clipper.SetInputData(surface)
        clipper.SetClippingPlanes(planes)
        split.SetInputConnection(clipper.GetOutputPort())
        mass.SetInputConnection(split.GetOutputPort())
        mass.Update()
        return float(mass.GetVolume())

    return clip


def manifold_trim(vertices: np.ndarray, triangles: np.ndarray) -> Callable[[], float]:
    """Trim of a manifold by the plane and its volume."""
    solid = manifold3d.Manifold(manifold3d.Mesh64(vertices, triangles.astype(np.uint64)))
    return lambda: float(solid.trim_by_plane([*map(float, -UP)], -LEVEL).volume())


def trimesh_slice(vertices: np.ndarray, triangles: np.ndarray) -> Callable[[], object]:
    """Slice of a mesh by the plane, uncapped."""
    mesh = trimesh.Trimesh(vertices, triangles, process=False)
    return lambda: trimesh.intersections.slice_mesh_plane(mesh, -UP, UP * LEVEL)


def blender_bisect(mesh: Any) -> Callable[[], float]:
    """Bisect with fill and volume, on a copy as the operation changes its mesh."""

    def bisect() -> float:
        work = bmesh.new()
        work.from_mesh(mesh)
        cut = bmesh.ops.bisect_plane(
            work, geom=[*work.verts, *work.edges, *work.faces], plane_co=list(UP * LEVEL),
            plane_no=list(UP), clear_outer=True,
        )  # fmt: skip
        edges = [item for item in cut["geom_cut"] if isinstance(item, bmesh.types.BMEdge)]
        bmesh.ops.contextual_create(work, geom=edges)
        volume = work.calc_volume()
        work.free()
        return volume

    return bisect


def blender_object(vertices: np.ndarray, triangles: np.ndarray) -> Any:
    """An object with this mesh, alone in an empty scene."""
    bpy.ops.wm.read_factory_settings(use_empty=True)
    mesh = bpy.data.meshes.new("hull")
    mesh.from_pydata(vertices, [], triangles.tolist())
    hull = bpy.data.objects.new("hull", mesh)
    bpy.context.scene.collection.objects.link(hull)
    return hull


def hand_over(hull: Any) -> None:
    """Blender evaluates the changed mesh and gives its vertices and triangles as arrays."""
    hull.data.update_tag()
    bpy.context.view_layer.update()
    evaluated = hull.evaluated_get(bpy.context.evaluated_depsgraph_get())
    mesh = evaluated.to_mesh()
    mesh.calc_loop_triangles()
    points = np.zeros(3 * len(mesh.vertices), np.float32)
    mesh.attributes["position"].data.foreach_get("vector", points)
    corners = np.zeros(3 * len(mesh.loop_triangles), np.int32)
    mesh.loop_triangles.foreach_get("vertices", corners)
    evaluated.to_mesh_clear()


def measure(size: int) -> dict[str, float]:
    """Milliseconds of each task on a body of about so many triangles."""
    vertices, triangles = hull_like(size)
    plane = Attitude(UP, LEVEL)
    tree = build_tree(vertices, triangles)
    volume, gravity = tree.volume * 0.45, np.array([0.2, 0.05, 0.1])
    tasks: dict[str, Callable[[], object]] = {
        "evaluation": lambda: tree.below(plane),
        "VTK clip": vtk_clip(vertices, triangles),
        "manifold3d trim": manifold_trim(vertices, triangles),
        "trimesh slice": trimesh_slice(vertices, triangles),
        "equilibrium": lambda: find_equilibrium(tree, volume, gravity),
        "curve of 37 heels": lambda: righting_curve(
            Heeling(tree, volume, fixed_gravity(gravity)), HEELS
        ),
        "tree build": lambda: build_tree(vertices, triangles),
    }
    if bpy:
        hull = blender_object(vertices, triangles)
        tasks["Blender bisect"] = blender_bisect(hull.data)
        tasks["Blender hand-over"] = lambda: hand_over(hull)
    return {"triangles": len(triangles)} | {
        name: 1000 * seconds(task) for name, task in tasks.items()
    }


def main() -> int:
    """Measures every size, prints the table and the ratios; 1 when a checked floor fails."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sizes", default="1000,10000,100000,1000000")
    parser.add_argument("--check", action="store_true")
    arguments = parser.parse_args()
    rows = []
    for size in map(int, arguments.sizes.split(",")):
        rows.append(measure(size))
        row = rows[-1]
        print(f"\n{row['triangles']} triangles")
        for name, spent in row.items():
            if name != "triangles":
                print(f"  {name:20s}{spent:12.3f} ms {spent / row['evaluation']:10.1f} x")
    last = rows[-1]
    figures = {name: last[name] / last["evaluation"] for name in ("VTK clip", "manifold3d trim")}
    if len(rows) > 1:
        logs = np.log([[row["triangles"], row["evaluation"]] for row in rows])
        figures["growth"] = float(np.polyfit(*logs.T, 1)[0])
    if bpy:
        curve, bisect = "curve of 37 heels", "Blender bisect"
        figures[curve] = last[curve] / last[bisect]
        for row in rows:
            if round(row["triangles"] / 1e5) == 1:
                figures["curve at 100 000"] = row[curve] / row[bisect]
        figures["build"] = last["tree build"] / last["Blender hand-over"]
    print()
    kept = True
    for name, figure in figures.items():
        words, floor = FLOORS[name]
        kept &= floor(figure)
        print(f"{'kept' if floor(figure) else 'NOT KEPT'}: {name} {figure:.2f}, {words}")
    for name in FLOORS.keys() - figures.keys():
        print(f"not measured: {name}")
    return 0 if kept or not arguments.check else 1


if __name__ == "__main__":
    sys.exit(main())

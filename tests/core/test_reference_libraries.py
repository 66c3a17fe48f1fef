"""The same integrals as manifold3d, trimesh and VTK, on random closed meshes cut at random.

manifold3d takes doubles by `Mesh64`. VTK's `vtkClipClosedSurface` and `vtkMassProperties`
keep the double coordinates that they are given. trimesh works in doubles throughout.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from addon.core.arrays import Floats, Ints
from addon.core.buoyancy.attitude import Attitude
from addon.core.buoyancy.immersion import Immersion
from addon.core.geometry.mesh import Mesh
from tests import bodies
from tests.core.direct_integration import direct_below, off

CASES = 200
AGREED = 1e-9
PLANE = 1e-9


@dataclass(frozen=True)
class Cut:
    """A closed mesh (star, torus or both at once), a plane, and what the core makes of it."""

    mesh: Mesh
    up: Floats
    level: float
    wet: Immersion
    size: float


def turn(rng: np.random.Generator) -> Floats:
    """A random rotation (3, 3)."""
    q, r = np.linalg.qr(rng.normal(size=(3, 3)))
    q = q * np.sign(np.diag(r))
    return q * np.sign(np.linalg.det(q))


def random_cut(seed: int) -> Cut:
    rng = np.random.default_rng(seed)
    body = bodies.star(seed, int(rng.integers(1, 6)), rng.uniform(0, 0.8), rng.uniform(0.3, 30))
    if seed % 4 == 1:
        ring = bodies.torus(2.0, 0.7, int(rng.integers(5, 20)), int(rng.integers(4, 12)))
        body = bodies.moved(ring, turn=turn(rng))
    if seed % 4 == 2:
        reach = 3 * float(np.abs(body[0]).max())
        body = bodies.joined(body, bodies.moved(body, (reach, 0, 0.1 * reach), turn(rng)))
    body = bodies.moved(body, rng.uniform(-5, 5, 3))
    mesh = bodies.mesh(body)
    up = turn(rng)[0]
    heights = mesh.vertices[: len(mesh.vertices) // 2] @ up
    level = float(rng.uniform(*np.percentile(heights, [3, 97])))
    tree = bodies.tree(body)
    return Cut(mesh, up, level, tree.below(Attitude(up, level)), tree.size)


@pytest.fixture(scope="module")
def cuts() -> list[Cut]:
    return [random_cut(seed) for seed in range(CASES)]


def worst(cut: Cut, vertices: Floats, triangles: Ints) -> float:
    """Greatest relative difference of the core from a capped mesh of the part below."""
    a, b, c = vertices[triangles].transpose(1, 0, 2) - cut.mesh.vertices.mean(axis=0)
    across = np.cross(b - a, c - a)
    signed = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6
    volume = signed.sum()
    center = signed @ (a + b + c) / 4 / volume + cut.mesh.vertices.mean(axis=0)
    heights = vertices[triangles] @ cut.up - cut.level
    cap = (np.abs(heights) < PLANE * cut.size).all(axis=1)
    caps = across[cap] @ cut.up / 2
    corners = np.stack([part[cap] for part in (a, b, c)], axis=1)
    total = corners.sum(axis=1)
    area = caps.sum()
    flotation = caps @ total / 3 / area
    second = np.einsum("t,tvi,tvj->ij", caps, corners, corners)
    second = (second + np.einsum("t,ti,tj->ij", caps, total, total)) / 12
    second -= area * np.outer(flotation, flotation)
    surface = np.linalg.norm(across[~cap], axis=1).sum() / 2
    wet = cut.wet
    mine = wet.frame[:2].T @ wet.inertia @ wet.frame[:2]
    return max(
        abs(wet.volume / volume - 1),
        np.abs(wet.buoyancy - center).max() / cut.size,
        abs(wet.waterplane_area / area - 1),
        np.abs(wet.flotation - flotation - cut.mesh.vertices.mean(axis=0)).max() / cut.size,
        np.abs(mine - second).max() / np.abs(second).max(),
        abs(wet.wetted_surface / surface - 1),
    )


def test_direct_sums(cuts: list[Cut]) -> None:
    for cut in cuts[::4]:
        direct = direct_below(cut.mesh.vertices, cut.mesh.triangles, cut.up, cut.level)
        assert off(cut.wet, direct, cut.size) < 1e-13


def test_manifold3d(cuts: list[Cut]) -> None:
    manifold3d = pytest.importorskip("manifold3d")
    for cut in cuts:
        mesh = manifold3d.Mesh64(
            np.ascontiguousarray(cut.mesh.vertices), cut.mesh.triangles.astype(np.uint64)
        )
        whole = manifold3d.Manifold(mesh)
        assert whole.status() == manifold3d.Error.NoError
        above, below = whole.split_by_plane(list(cut.up), cut.level)
        assert below.volume() == pytest.approx(cut.wet.volume, rel=AGREED)
        assert above.volume() == pytest.approx(whole.volume() - cut.wet.volume, rel=AGREED)
        assert below.surface_area() == pytest.approx(
            cut.wet.wetted_surface + cut.wet.waterplane_area, rel=AGREED
        )
        capped = below.to_mesh64()
        assert worst(cut, capped.vert_properties[:, :3], capped.tri_verts.astype(int)) < AGREED


def test_trimesh(cuts: list[Cut]) -> None:
    trimesh = pytest.importorskip("trimesh")
    for helper in ("manifold3d", "networkx", "rtree", "shapely"):
        pytest.importorskip(helper)
    for cut in cuts:
        whole = trimesh.Trimesh(cut.mesh.vertices, cut.mesh.triangles, process=False)
        below = whole.slice_plane(cut.level * cut.up, -cut.up, cap=True, engine="manifold")
        assert below.volume == pytest.approx(cut.wet.volume, rel=AGREED)
        assert np.abs(below.center_mass - cut.wet.buoyancy).max() < AGREED * cut.size
        assert below.area == pytest.approx(
            cut.wet.wetted_surface + cut.wet.waterplane_area, rel=AGREED
        )
        assert worst(cut, below.vertices, below.faces) < AGREED


@pytest.mark.slow
def test_vtk(cuts: list[Cut]) -> None:
    vtk = pytest.importorskip("vtk")
    from vtk.util.numpy_support import numpy_to_vtk, vtk_to_numpy

    for cut in cuts:
        points = vtk.vtkPoints()
        points.SetDataTypeToDouble()
        points.SetData(numpy_to_vtk(cut.mesh.vertices, deep=True))
        faces = vtk.vtkCellArray()
        for triangle in cut.mesh.triangles:
            faces.InsertNextCell(3, triangle.tolist())
        surface = vtk.vtkPolyData()
        surface.SetPoints(points)
        surface.SetPolys(faces)
        plane = vtk.vtkPlane()
        plane.SetOrigin(*(cut.level * cut.up))
        plane.SetNormal(*-cut.up)
        planes = vtk.vtkPlaneCollection()
        planes.AddItem(plane)
        clip = vtk.vtkClipClosedSurface()
        clip.SetInputData(surface)
        clip.SetClippingPlanes(planes)
        clip.SetTolerance(1e-12)
        parts = vtk.vtkTriangleFilter()
        parts.SetInputConnection(clip.GetOutputPort())
        mass = vtk.vtkMassProperties()
        mass.SetInputConnection(parts.GetOutputPort())
        mass.Update()
        assert mass.GetVolume() == pytest.approx(cut.wet.volume, rel=AGREED)
        assert mass.GetSurfaceArea() == pytest.approx(
            cut.wet.wetted_surface + cut.wet.waterplane_area, rel=AGREED
        )
        capped = parts.GetOutput()
        corners = vtk_to_numpy(capped.GetPolys().GetConnectivityArray()).reshape(-1, 3)
        assert worst(cut, vtk_to_numpy(capped.GetPoints().GetData()), corners) < AGREED

"""Cells of a hull with boundaries against Blender's own exact intersection of faces."""

from __future__ import annotations

import bmesh
import bpy
import numpy as np
import pytest
import scene_ships as ships

from addon.core.geometry.conforming_mesh import make_conforming
from addon.core.geometry.half_edges import find_adjacency, find_edges
from addon.core.geometry.mesh import WELD_SHARE
from addon.core.geometry.triangles import volumes
from addon.examples.loader import load_example


def cells(vertices: np.ndarray, triangles: np.ndarray, tolerance: float) -> np.ndarray:
    edges = find_edges(triangles)
    adjacency = find_adjacency(vertices, triangles, edges, tolerance)
    sides = adjacency.spaces(np.zeros(len(adjacency.half_edge), bool)).reshape(-1, 2)
    tetrahedra, count = volumes(vertices, triangles), int(sides.max()) + 1
    size = np.bincount(sides[:, 1], tetrahedra, count)
    size -= np.bincount(sides[:, 0], tetrahedra, count)
    return np.sort(size[size > 1e-5 * size.max()])


def mesh_of(obj: bpy.types.Object) -> tuple[np.ndarray, np.ndarray]:
    body = bmesh.new()
    body.from_mesh(obj.data)
    bmesh.ops.triangulate(body, faces=body.faces[:])
    vertices = np.array([vertex.co for vertex in body.verts], dtype=np.float64)
    triangles = np.array([[vertex.index for vertex in face.verts] for face in body.faces])
    body.free()
    return vertices, triangles


def test_cells_agree_with_the_exact_intersection() -> None:
    obj = ships.example(load_example("survey-launch"))
    ships.activate(obj)
    body = bmesh.new()
    body.from_mesh(obj.data)
    bmesh.ops.holes_fill(body, edges=body.edges[:])
    places = np.array([vertex.co for vertex in body.verts])
    (x0, y0, z0), (x1, y1, z1) = places.min(axis=0) - 1, places.max(axis=0) + 1
    for x in x0 + 1 + np.array([0.21, 0.43, 0.62, 0.81]) * (x1 - x0 - 2):
        corners = [(x, y0, z0), (x, y1, z0), (x, y1, z1), (x, y0, z1)]
        body.faces.new([body.verts.new(corner) for corner in corners])
    z = z0 + 1 + 0.37 * (z1 - z0 - 2)
    deck = [(x0, y0, z), (x1, y0, z), (x1, y1, z), (x0, y1, z)]
    body.faces.new([body.verts.new(corner) for corner in deck])
    bmesh.ops.triangulate(body, faces=body.faces[:])
    body.to_mesh(obj.data)
    body.free()
    vertices, triangles = mesh_of(obj)
    tolerance = WELD_SHARE * float(np.linalg.norm(np.ptp(vertices, axis=0)))
    done = make_conforming(vertices, triangles, tolerance)
    ours = cells(done.vertices, done.triangles, tolerance)

    bpy.ops.object.mode_set(mode="EDIT")
    bpy.ops.mesh.select_all(action="SELECT")
    bpy.ops.mesh.intersect(mode="SELECT", separate_mode="NONE", solver="EXACT")
    bpy.ops.object.mode_set(mode="OBJECT")
    again = make_conforming(*mesh_of(obj), tolerance)
    theirs = cells(again.vertices, again.triangles, tolerance)
    assert len(ours) >= 10
    assert ours == pytest.approx(theirs, rel=1e-4, abs=1e-5 * float(theirs.max()))

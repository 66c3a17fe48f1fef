"""The scene read: meshes, empties and their settings, to hulls and cases of the core."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import blake2b
from typing import Any

import bpy
import numpy as np
from numpy.typing import NDArray

from ..core.case import Case
from ..core.envelope import Mesh, check_mesh, find_envelope, mirrored
from ..core.findings import BadInputError, Finding
from ..core.hull import Hull, Marks, build_hull
from ..core.weights import Weight, solid_weight, surface_weight
from ..files.complaint import within
from .axes import Frame, ObjectAxes, choose_axes, ship_turn
from .members import muster
from .names import Basis
from .settings import ObjectSettings, settings, unit_scale

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

FLAT = 1e-9


@dataclass(frozen=True)
class TurnedMesh:
    """A hull object's mesh in metres, turned to x forward and z up from the object's origin."""

    mesh: Mesh
    frame: Frame
    axes: ObjectAxes


@dataclass(frozen=True)
class ReadHull:
    """A hull as read; `frame` places the ship axes in the world, `axes` are those of the object."""

    hull: Hull
    frame: Frame
    axes: ObjectAxes


@dataclass(frozen=True)
class Reading:
    """A ship of the scene, and what else the user should know of it."""

    ship: ReadHull
    case: Case
    findings: tuple[Finding, ...]


def read_case(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> Reading:
    """The case of a hull object and its weights. Raises BadInputError."""
    ship = read_hull(depsgraph, hull)
    return Reading(ship, case_of(depsgraph, hull, ship), stray_findings(depsgraph))


def case_of(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, ship: ReadHull) -> Case:
    """A hull read before, with her weights and her water. Raises BadInputError."""
    counted = counted_weights(depsgraph, hull)
    weights = tuple(_weigh(depsgraph, weight, ship.frame) for weight in counted)
    return Case(hull.name, ship.hull, weights, settings(hull).water_density)


def read_hull(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> ReadHull:
    """The surface of a hull object, modifiers included. Raises BadInputError."""
    turned = turned_mesh(depsgraph, hull)
    mesh = mirrored(turned.mesh) if settings(hull).mirror else turned.mesh
    built = build_hull(mesh, chosen_marks(depsgraph, hull))
    return ReadHull(built, turned.frame.moved(built.origin), turned.axes)


def turned_mesh(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> TurnedMesh:
    """The mesh of a hull object as modelled, one side only of a half hull.

    Raises BadInputError for an object that is disabled or flattened by its scale.
    """
    evaluated = _evaluated(depsgraph, hull)
    chosen = settings(hull)
    matrix = world_matrix(evaluated)
    linear = matrix[:3, :3]
    lengths = np.linalg.norm(linear, axis=0)
    if not (np.isfinite(matrix).all() and abs(np.linalg.det(linear)) > FLAT * lengths.prod()):
        raise BadInputError(
            f"{hull.name}: the object's scale flattens it; give it a scale above zero along X, Y "
            "and Z, its parents too"
        )
    points, triangles, faces = _surface(evaluated)
    with within(hull.name):
        axes = choose_axes(points, linear, chosen.forward, chosen.up)
    frame = Frame(ship_turn(axes, linear), matrix[:3, 3], unit_scale(depsgraph.scene))
    mesh = Mesh(hull.name, frame.ship(_placed(matrix, points)), _outward(linear, triangles), faces)
    return TurnedMesh(mesh, frame, axes)


def chosen_marks(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> Marks:
    """The marks that the user set, in metres in the turned mesh."""
    chosen, unit = settings(hull), unit_scale(depsgraph.scene)
    if not chosen.use_marks:
        return Marks()
    return Marks(
        chosen.aft_perpendicular * unit,
        chosen.forward_perpendicular * unit,
        chosen.baseline * unit,
    )


def ends(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> tuple[float, float, float]:
    """Aft end, forward end and lowest point of a hull object, from its origin, in Blender units.

    Raises BadInputError.
    """
    turned = turned_mesh(depsgraph, hull)
    check_mesh(turned.mesh)
    used = turned.mesh.vertices[np.unique(turned.mesh.triangles)] / turned.frame.unit
    low, high = used.min(axis=0), used.max(axis=0)
    return float(low[0]), float(high[0]), float(low[2])


def guessed_axes(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> ObjectAxes:
    """Which way a hull object points. Raises BadInputError."""
    return turned_mesh(depsgraph, hull).axes


def counted_weights(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object
) -> list[bpy.types.Object]:
    """The weights of a hull that Blender evaluates: hidden ones are, disabled ones are not."""
    found = muster(depsgraph.view_layer).weights_of(hull)
    return [weight for weight in found if weight.evaluated_get(depsgraph).is_evaluated]


def stray_findings(depsgraph: bpy.types.Depsgraph) -> tuple[Finding, ...]:
    """What to say of the weights that belong to no hull."""
    return tuple(
        Finding(
            "warning",
            "stray-weight",
            f"weight '{weight.name}' belongs to no hull and is not counted; choose its hull",
        )
        for weight in muster(depsgraph.view_layer).weights_of(None)
    )


def signature(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> bytes:
    """A digest of everything that the figures of a hull are computed from."""
    digest = blake2b(digest_size=16)
    chosen = settings(hull)
    digest.update(repr((unit_scale(depsgraph.scene), *_hull_choices(chosen))).encode())
    _digest_object(digest, depsgraph, hull, geometry=True)
    for weight in counted_weights(depsgraph, hull):
        chosen = settings(weight)
        digest.update(repr((weight.name, *_weight_choices(chosen))).encode())
        _digest_object(digest, depsgraph, weight, geometry=chosen.basis != Basis.POINT)
    return digest.digest()


def world_matrix(obj: bpy.types.Object) -> Array:
    """Matrix (4, 4) from the object to the world, in double precision."""
    return np.array(obj.matrix_world, dtype=np.float64)


def _hull_choices(chosen: ObjectSettings) -> tuple[object, ...]:
    marks = (chosen.aft_perpendicular, chosen.forward_perpendicular, chosen.baseline)
    return (
        chosen.forward,
        chosen.up,
        chosen.mirror,
        chosen.water_density,
        chosen.use_marks and marks,
    )


def _weight_choices(chosen: ObjectSettings) -> tuple[object, ...]:
    return chosen.basis, chosen.mass, chosen.skin_density, chosen.solid_density, chosen.group


def _digest_object(
    digest: blake2b, depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, geometry: bool
) -> None:
    evaluated = obj.evaluated_get(depsgraph)
    digest.update(world_matrix(evaluated).tobytes())
    if geometry:
        with _mesh_of(evaluated) as mesh:
            digest.update(b"%d" % len(mesh.polygons))
            digest.update(_positions(mesh).tobytes())
            digest.update(_corner_vertices(mesh).tobytes())


def _evaluated(depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object) -> bpy.types.Object:
    evaluated = obj.evaluated_get(depsgraph)
    if not evaluated.is_evaluated:
        raise BadInputError(
            f"{obj.name}: the object is disabled in viewports or its collection is excluded; "
            "enable it (hiding it with the eye does no harm)"
        )
    return evaluated


def _weigh(depsgraph: bpy.types.Depsgraph, weight: bpy.types.Object, frame: Frame) -> Weight:
    """A tagged object as a weight in ship axes."""
    chosen = settings(weight)
    evaluated = _evaluated(depsgraph, weight)
    matrix = world_matrix(evaluated)
    if chosen.basis == Basis.POINT:
        return Weight(weight.name, chosen.mass, frame.ship(matrix[:3, 3]), chosen.group)
    points, triangles, faces = _surface(evaluated)
    body = Mesh(
        weight.name,
        frame.ship(_placed(matrix, points)),
        _outward(matrix[:3, :3], triangles),
        faces,
    )
    if chosen.basis == Basis.SKIN:
        return surface_weight(
            weight.name, body.vertices, body.triangles, chosen.skin_density, chosen.group
        )
    closed = find_envelope(body)
    return solid_weight(
        weight.name, closed.vertices, closed.triangles, chosen.solid_density, chosen.group
    )


def _placed(matrix: Array, points: Array) -> Array:
    return points @ matrix[:3, :3].T + matrix[:3, 3]


def _outward(linear: Array, triangles: Ints) -> Ints:
    """Triangles turned about where a negative scale turns them inside out."""
    return triangles if np.linalg.det(linear) > 0 else triangles[:, ::-1]


def _surface(evaluated: bpy.types.Object) -> tuple[Array, Ints, Ints]:
    """Local points (n, 3), triangles (m, 3) and the face of each (m,)."""
    with _mesh_of(evaluated) as mesh:
        mesh.calc_loop_triangles()
        points = _positions(mesh).astype(np.float64)
        corners = np.zeros(3 * len(mesh.loop_triangles), np.int32)
        mesh.loop_triangles.foreach_get("loops", corners)
        faces = np.zeros(len(mesh.loop_triangles), np.int32)
        mesh.loop_triangle_polygons.foreach_get("value", faces)
        triangles = _corner_vertices(mesh)[corners].reshape(-1, 3)
    return points, triangles.astype(np.int64), faces.astype(np.int64)


@contextmanager
def _mesh_of(evaluated: bpy.types.Object) -> Iterator[bpy.types.Mesh]:
    """The mesh as evaluated, in edit mode too. Raises BadInputError where there is none."""
    try:
        mesh = evaluated.to_mesh()
    except RuntimeError:
        mesh = None
    if mesh is None:
        raise BadInputError(
            f"{evaluated.name}: the object has no surface; choose a mesh, or a point mass"
        )
    try:
        yield mesh
    finally:
        evaluated.to_mesh_clear()


def _positions(mesh: bpy.types.Mesh) -> NDArray[np.float32]:
    """Vertices (n, 3)."""
    flat = np.zeros(3 * len(mesh.vertices), np.float32)
    _fill(flat, mesh, "position", "vector")
    return flat.reshape(-1, 3)


def _corner_vertices(mesh: bpy.types.Mesh) -> NDArray[np.int32]:
    """Vertex of each face corner."""
    corners = np.zeros(len(mesh.loops), np.int32)
    _fill(corners, mesh, ".corner_vert", "value")
    return corners


def _fill(values: NDArray[Any], mesh: bpy.types.Mesh, name: str, field: str) -> None:
    """Reads an attribute into an array of its size and kind, the one fast way."""
    if len(values):
        attribute: Any = mesh.attributes[name]
        attribute.data.foreach_get(field, values)

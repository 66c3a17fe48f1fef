"""A flooding in time as objects and keys of Blender's own, which need no add-on to play or render.

A root in the surface of the sea, in meters, holds the sea, an empty that lies as she does at each
frame, and for each compartment a block as high as the water in it. Under the empty are copies of
hull and parts as they were, and the compartments, of which a modifier leaves what is within their
blocks.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

import bpy
import numpy as np
from bpy.app.translations import pgettext_iface as iface_
from mathutils import Color, Matrix

from ...core.arrays import Floats, Floats32, Ints
from ...core.buoyancy.attitude import Attitude, water_frame
from ...drawing.tessellation import RGBA
from ..controller import session
from ..pictures.studio import family
from ..properties.names import BAKED, Role
from ..properties.settings import settings
from ..readers.members import counted, is_enabled
from ..readers.meshes import world_matrix
from ..readers.parts import is_on_both_sides
from ..viewport.baked_keys import Baking
from ..viewport.compartment_shapes import inset
from ..viewport.floated_copy import UNDERBODY, level_pose
from ..viewport.palette import ON_DARK

CLEAR = (*UNDERBODY.tolist(), 0.25)
"""The color of what one looks through to the water."""
SHEET = (*ON_DARK.water[:3], 0.2)
"""The color of the sea, of which one looks through two faces."""
OFF = 2e-4
"""How far the water keeps off the boundaries, so that no two faces are in one place: this share of
its volume is left out."""
THIN = 1e-4
"""How thick the sheet of the sea is, in diagonals of the hull."""
QUICK = "MANIFOLD"
SEEN_THROUGH = (Role.HULL, Role.BOUNDARY, Role.TANK)
SURFACES = {"MESH", "CURVE", "SURFACE", "FONT"}
ABOUT = 1.2
"""How far the sea reaches from her, in her breadths."""
BLOCK = ((0, 3, 2, 1), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7))
SIDES = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], np.float64)
TO_STARBOARD = np.diag([1.0, -1.0, 1.0, 1.0])


class Stage:
    """The collection of the flooding of a hull; all that is made for it tells of which hull."""

    def __init__(self, scene: bpy.types.Scene, hull: bpy.types.Object) -> None:
        self.hull = hull
        known = (each for each in scene.collection.children_recursive if each.get(BAKED) == hull)
        collection = next(known, None)
        if collection is None:
            title = iface_("Flooding of {hull}").format(hull=hull.name)
            collection = self.own(bpy.data.collections.new(title))
            scene.collection.children.link(collection)
        self.collection = collection

    def own(self, made: Any) -> Any:
        """Note of which hull something is made."""
        made[BAKED] = self.hull
        return made

    def put(
        self, name: str, data: bpy.types.Mesh | None, parent: bpy.types.Object | None = None
    ) -> bpy.types.Object:
        """A new object, a mesh or an empty."""
        obj = self.own(bpy.data.objects.new(name, data))
        obj.parent = parent
        self.collection.objects.link(obj)
        return obj

    def mesh(self, name: str, vertices: Floats, faces: Any) -> bpy.types.Mesh:
        """A new mesh of vertices (n, 3) in meters."""
        mesh = self.own(bpy.data.meshes.new(name))
        mesh.from_pydata(vertices.tolist(), [], faces)
        return mesh

    def material(self, name: str, color: RGBA) -> bpy.types.Material:
        """A material that one looks through, as much as a color of the screen does."""
        material = self.own(bpy.data.materials.new(name))
        linear = Color(color[:3]).from_srgb_to_scene_linear()
        material.diffuse_color = *linear, color[3]
        material.surface_render_method = "BLENDED"
        if material.node_tree is None:
            material.use_nodes = True
        shader = next(each for each in material.node_tree.nodes if each.type == "BSDF_PRINCIPLED")
        shader.inputs["Base Color"].default_value = *linear, 1.0
        shader.inputs["Alpha"].default_value = color[3]
        return material

    def animate(
        self, obj: bpy.types.Object, path: str, index: int, frames: Floats, values: Floats
    ) -> None:
        """Key one number of an object, with straight lines between."""
        for frame, value in zip(frames.tolist(), values.tolist(), strict=True):
            getattr(obj, path)[index] = value
            obj.keyframe_insert(path, index=index, frame=frame)
        action = self.own(obj.animation_data.action)
        for point in _curve(action, obj, path, index).keyframe_points:
            point.interpolation = "LINEAR"


def build(
    context: bpy.types.Context,
    hull: bpy.types.Object,
    entry: session.Entry,
    baking: Baking,
    distance: float,
) -> bpy.types.Collection:
    """Make the flooding of a hull so many of her breadths to starboard, in place of a former one.

    Raises BadInputError.
    """
    parts = [*_parts(context.evaluated_depsgraph_get(), hull, entry)]
    _clear(hull)
    stage = Stage(context.scene, hull)
    root = stage.put(stage.collection.name, None)
    root.matrix_basis = Matrix(_place(entry, baking.pivot, distance).tolist())
    twin = _Twin(context, stage, entry, baking, root)
    twin.show(parts)
    twin.fill()
    return stage.collection


class _Twin:
    """A ship under the `root` of a stage that floods: how she lies, what she is, what is in her."""

    def __init__(
        self,
        context: bpy.types.Context,
        stage: Stage,
        entry: session.Entry,
        baking: Baking,
        root: bpy.types.Object,
    ) -> None:
        assert entry.ship
        self.context, self.stage, self.entry, self.baking = context, stage, entry, baking
        self.root, self.hull = root, entry.ship.hull
        self.ship = stage.put(iface_("Pose of {hull}").format(hull=stage.hull.name), None, root)
        (heights, heels, trims), frames = baking.pose.values.T, baking.pose.frames
        stage.animate(self.ship, "location", 2, frames, heights)
        stage.animate(self.ship, "rotation_euler", 0, frames, heels)
        stage.animate(self.ship, "rotation_euler", 1, frames, -trims)
        name = iface_("Body of {hull}").format(hull=stage.hull.name)
        body = self._body(name, self.hull.vertices, self.hull.triangles)
        self.body = stage.put(name, body, self.ship)

    def show(self, parts: Iterable[tuple[bpy.types.Object, bool]]) -> None:
        """Put copies of her parts into their places as they are now, on both sides where that is
        said, boundaries as far as they are within her."""
        clear = self.stage.material(iface_("Hull to See Through"), CLEAR)
        from_world = np.linalg.inv(self.entry.to_world)
        from_world[:3, 3] -= self.baking.pivot
        for part, twin in parts:
            role, title = settings(part).role, iface_("{part} afloat").format(part=part.name)
            place = from_world @ world_matrix(part)
            mesh = self._mesh_of(part)
            copy = self.stage.put(title, mesh, self.ship)
            copy.matrix_parent_inverse = Matrix(place.tolist())
            if role == Role.BOUNDARY:
                mesh = self._trimmed(copy, mesh)
            if role in SEEN_THROUGH:
                mesh.materials.clear()
                mesh.materials.append(clear)
            if twin:
                other = self.stage.put(title, mesh, self.ship)
                other.matrix_parent_inverse = Matrix((TO_STARBOARD @ place).tolist())

    def fill(self) -> None:
        """Put the water in: the sea about her less what she keeps out of it, and what is in each
        compartment that gets any."""
        stage, hull, name = self.stage, self.hull, iface_("Sea")
        reach = np.array([hull.length_overall / 2, hull.breadth / 2]) + ABOUT * hull.breadth
        sheet = stage.mesh(name, _block(reach, THIN * hull.tree.size), BLOCK)
        sheet.materials.append(stage.material(name, SHEET))
        wet, quick = [stage.put(name, sheet, self.root)], _quick_solver()
        _cut(wet[0], self.body, "DIFFERENCE", quick)
        water = stage.material(iface_("Water in Compartments"), ON_DARK.flood)
        size = hull.tree.size
        block = stage.mesh(iface_("Level"), _block(np.full(2, size), 2 * size), BLOCK)
        for name, keys in self.baking.levels:
            compartment = self.entry.plan.compartment(name)
            title = iface_("Water in {compartment}").format(compartment=name)
            by = OFF * compartment.volume / compartment.body.area
            boundaries = inset(compartment.vertices, compartment.triangles, by)
            body = self._body(title, boundaries, compartment.triangles)
            body.materials.append(water)
            held = stage.put(title, body, self.ship)
            level = stage.put(
                iface_("Level in {compartment}").format(compartment=name), block, self.root
            )
            stage.animate(level, "location", 2, keys.frames, keys.values[:, 0])
            _cut(held, level, "INTERSECT", quick)
            wet.append(held)
        check_cuts(self.context, wet)

    def _body(self, name: str, vertices: Floats, triangles: Ints) -> bpy.types.Mesh:
        """A body in ship axes as a mesh about her middle."""
        return self.stage.mesh(name, vertices - self.baking.pivot, triangles.tolist())

    def _trimmed(self, boundary: bpy.types.Object, mesh: bpy.types.Mesh) -> bpy.types.Mesh:
        """The mesh of a boundary, which had another, as far as it is within her."""
        cut = _cut(boundary, self.body, "INTERSECT", "EXACT")
        within = self._mesh_of(boundary)
        boundary.modifiers.remove(cut)
        boundary.data = within
        bpy.data.meshes.remove(mesh)
        return within

    def _mesh_of(self, obj: bpy.types.Object) -> bpy.types.Mesh:
        """The mesh of an object as it is now, modifiers included."""
        depsgraph = self.context.evaluated_depsgraph_get()
        found = obj.evaluated_get(depsgraph)
        return self.stage.own(bpy.data.meshes.new_from_object(found, depsgraph=depsgraph))


def remove(hull: bpy.types.Object) -> None:
    """Remove the flooding of a hull; what the user has put in its collection stays."""
    _clear(hull)
    for each in made_for(hull, "collections"):
        if not (each.objects or each.children):
            bpy.data.collections.remove(each)


def made_for(hull: bpy.types.Object, kind: str) -> list[Any]:
    """What was made for the flooding of a hull, of one kind of data."""
    return [each for each in getattr(bpy.data, kind) if each.get(BAKED) == hull]


def _clear(hull: bpy.types.Object) -> None:
    """Remove the objects of a flooding, and what nothing else uses of theirs."""
    bpy.data.batch_remove(made_for(hull, "objects"))
    for kind in ("meshes", "actions", "materials"):
        bpy.data.batch_remove([each for each in made_for(hull, kind) if not each.users])


def _parts(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, entry: session.Entry
) -> Iterator[tuple[bpy.types.Object, bool]]:
    """What of the ship is to be seen, and whether it stands on her other side too."""
    assert entry.ship
    counted_parts, half = counted(depsgraph, hull), settings(hull).form.mirror
    yield hull, half
    for boundary in counted_parts[Role.BOUNDARY]:
        yield boundary, is_on_both_sides(depsgraph, boundary, entry.ship)
    others = [
        part for role in (Role.TANK, Role.WEIGHT, Role.WINDAGE) for part in counted_parts[role]
    ]
    others += [
        each
        for each in family(hull)
        if settings(each).role == Role.NONE
        and is_enabled(depsgraph.view_layer, each)
        and not each.hide_render
    ]
    yield from ((each, settings(each).both_sides) for each in others if each.type in SURFACES)


def _place(entry: session.Entry, pivot: Floats, distance: float) -> Floats:
    """Matrix (4, 4) to the world from axes ahead, to port and up (m) in the surface of the sea, at
    the middle of a ship that is so many breadths to starboard of where she is modeled."""
    run = entry.flooding_history
    assert run
    start = Attitude(run.ups[0], float(run.levels[0]))
    height = float(start.heights(pivot))
    lying, frame = np.eye(4), water_frame(start.up)
    lying[:3, :3], lying[:3, 3] = frame, [0.0, 0.0, height] - frame @ pivot
    on_water = pivot - height * start.up
    to_port = -distance * run.case.hull.breadth
    return level_pose(entry.to_world, start, on_water, to_port) @ np.linalg.inv(lying)


def _block(reach: Floats, deep: float) -> Floats:
    """Corners (8, 3) of a block that reaches so far each way (2,), and down from the surface."""
    return np.concatenate([np.column_stack([reach * SIDES, np.full(4, z)]) for z in (-deep, 0.0)])


def _cut(obj: bpy.types.Object, by: bpy.types.Object, how: str, solver: str) -> bpy.types.Modifier:
    """Leave of a surface what is within a body, or what is not; the body is not seen."""
    modifier: Any = obj.modifiers.new(iface_("Water"), "BOOLEAN")
    modifier.operation, modifier.solver, modifier.object = how, solver, by
    by.hide_viewport = by.hide_render = True
    return modifier


def check_cuts(context: bpy.types.Context, bodies: Iterable[Any]) -> None:
    """Cut in the way that always works what the quick one leaves as it is: bodies that do not close
    edge by edge, and all of them in a Blender that is built without it."""
    depsgraph = context.evaluated_depsgraph_get()
    for body in bodies:
        (cut,), left = body.modifiers, body.evaluated_get(depsgraph).data
        if cut.solver == QUICK and np.array_equal(_points(left), _points(body.data)):
            cut.solver = "EXACT"


def _points(mesh: bpy.types.Mesh) -> Floats32:
    points = np.zeros(3 * len(mesh.vertices), np.float32)
    mesh.vertices.foreach_get("co", points)
    return points


def _quick_solver() -> str:
    """The quickest way to cut bodies that Blender offers: from 4.5 on one for those that close."""
    known: Any = bpy.types.BooleanModifier.bl_rna.properties["solver"]
    return QUICK if QUICK in known.enum_items else "EXACT"


def _curve(action: Any, obj: bpy.types.Object, path: str, index: int) -> bpy.types.FCurve:
    """A curve of an action, which Blender holds elsewhere from 5.0 on."""
    if hasattr(action, "fcurves"):
        return action.fcurves.find(path, index=index)
    return action.fcurve_ensure_for_datablock(obj, path, index=index)

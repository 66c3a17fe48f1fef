"""A flooding in time as Blender objects and keyframes, which play and render without the add-on.

A root in the water surface, in meters, holds the sea, an empty with the pose of the vessel at each
frame, and for each compartment a block as high as the water in it. Parented to the empty are copies
of hull and parts as they were, and the compartments, which a modifier cuts with their blocks.
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
from ..viewport.compartment_bodies import inset
from ..viewport.floated_copy import UNDERBODY, level_pose
from ..viewport.palette import ON_DARK

CLEAR = (*UNDERBODY.tolist(), 0.25)
"""Color of what is transparent to show the water."""
SHEET = (*ON_DARK.water[:3], 0.2)
"""Color of the sea, of which two faces are looked through."""
OFF = 2e-4
"""Share of its volume by which water is inset from boundaries, so that no faces coincide."""
THIN = 1e-4
"""Thickness of the sea, in diagonals of the hull."""
QUICK = "MANIFOLD"
SEEN_THROUGH = (Role.HULL, Role.BOUNDARY, Role.TANK)
SURFACES = {"MESH", "CURVE", "SURFACE", "FONT"}
ABOUT = 1.2
"""Extent of the sea around the hull, in breadths of the hull."""
BLOCK = ((0, 3, 2, 1), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7))
SIDES = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], np.float64)
TO_STARBOARD = np.diag([1.0, -1.0, 1.0, 1.0])


class BakedCollection:
    """The collection of a baked flooding; all data made for it refers to its hull."""

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
        """Record the hull for which data was made."""
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
        """A transparent material with a display color and its alpha."""
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
        """Keyframe one number of an object, with linear interpolation."""
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
    """Bake the flooding of a hull, `distance` breadths to starboard, in place of a former one.

    Raises BadInputError.
    """
    parts = [*_parts(context.evaluated_depsgraph_get(), hull, entry)]
    _clear(hull)
    stage = BakedCollection(context.scene, hull)
    root = stage.put(stage.collection.name, None)
    root.matrix_basis = Matrix(_place(entry, baking.pivot, distance).tolist())
    vessel = _BakedVessel(context, stage, entry, baking, root)
    vessel.show(parts)
    vessel.fill()
    return stage.collection


class _BakedVessel:
    """The flooding vessel below the `root` of a collection: its pose, its parts and its water."""

    def __init__(
        self,
        context: bpy.types.Context,
        stage: BakedCollection,
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
        """Add copies of parts in their present places, on both sides where set so, and boundaries
        as far as they are inside the hull."""
        clear = self.stage.material(iface_("Transparent Hull"), CLEAR)
        from_world = np.linalg.inv(self.entry.to_world)
        from_world[:3, 3] -= self.baking.pivot
        for part, both_sides in parts:
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
            if both_sides:
                other = self.stage.put(title, mesh, self.ship)
                other.matrix_parent_inverse = Matrix((TO_STARBOARD @ place).tolist())

    def fill(self) -> None:
        """Add the water: the sea around the hull less its displaced volume, and the water in each
        flooded compartment."""
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
        """A body in ship axes as a mesh about the pivot."""
        return self.stage.mesh(name, vertices - self.baking.pivot, triangles.tolist())

    def _trimmed(self, boundary: bpy.types.Object, mesh: bpy.types.Mesh) -> bpy.types.Mesh:
        """The mesh of a boundary as far as it is inside the hull, in place of `mesh`."""
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
    """Remove the baked flooding of a hull; what the user has put in its collection stays."""
    _clear(hull)
    for each in made_for(hull, "collections"):
        if not (each.objects or each.children):
            bpy.data.collections.remove(each)


def made_for(hull: bpy.types.Object, kind: str) -> list[Any]:
    """Data of one kind that was made for the flooding of a hull."""
    return [each for each in getattr(bpy.data, kind) if each.get(BAKED) == hull]


def _clear(hull: bpy.types.Object) -> None:
    """Remove the objects of a flooding, and their data without other users."""
    bpy.data.batch_remove(made_for(hull, "objects"))
    for kind in ("meshes", "actions", "materials"):
        bpy.data.batch_remove([each for each in made_for(hull, kind) if not each.users])


def _parts(
    depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object, entry: session.Entry
) -> Iterator[tuple[bpy.types.Object, bool]]:
    """Objects of the vessel to show, and whether they are on both sides."""
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
    """Matrix (4, 4) to the world from axes ahead, to port and up (m) in the water surface, at the
    middle of a vessel `distance` breadths to starboard of where it is modeled."""
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
    """Corners (8, 3) of a block of half widths `reach` (2,), from `deep` below the surface up."""
    return np.concatenate([np.column_stack([reach * SIDES, np.full(4, z)]) for z in (-deep, 0.0)])


def _cut(obj: bpy.types.Object, by: bpy.types.Object, how: str, solver: str) -> bpy.types.Modifier:
    """Cut a surface with a body by a boolean operation; the body is hidden."""
    modifier: Any = obj.modifiers.new(iface_("Water"), "BOOLEAN")
    modifier.operation, modifier.solver, modifier.object = how, solver, by
    by.hide_viewport = by.hide_render = True
    return modifier


def check_cuts(context: bpy.types.Context, bodies: Iterable[Any]) -> None:
    """Use the exact solver where the quick one leaves a body unchanged: for bodies that are not
    manifold, and for all in a Blender built without it."""
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
    """The quickest boolean solver available: from 4.5 on one for manifold bodies."""
    known: Any = bpy.types.BooleanModifier.bl_rna.properties["solver"]
    return QUICK if QUICK in known.enum_items else "EXACT"


def _curve(action: Any, obj: bpy.types.Object, path: str, index: int) -> bpy.types.FCurve:
    """An F-curve of an action, which is elsewhere from 5.0 on."""
    if hasattr(action, "fcurves"):
        return action.fcurves.find(path, index=index)
    return action.fcurve_ensure_for_datablock(obj, path, index=index)

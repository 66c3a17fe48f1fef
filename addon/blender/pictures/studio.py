"""A vessel rendered in level water, in a scene of its own that is removed afterwards."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import bpy
import numpy as np
from mathutils import Color, Matrix, Vector
from numpy.typing import NDArray

from ...core.arrays import Bools, Floats, Floats32
from ...core.messages.findings import BadInputError
from ...drawing.tessellation import RGBA
from ..viewport.floated_copy import lit
from .camera import Camera
from .water_block import WaterBlock, moved

ENGINE, SAMPLES, BOUNCES, LAYERS = "CYCLES", 12, 2, 128
DAYLIGHT, SKY = (0.92, 0.96, 1.0, 1.0), 0.6  # colour and strength of the light from all round
SUNS = (  # direction (right, up, toward the eye), strength, and the angle that each fills (rad)
    ((0.55, 0.75, 0.60), 2.6, 0.35),
    ((-0.60, 0.35, 0.60), 0.8, 0.80),
)
SEA = (0.015, 0.29, 0.45, 1.0)
SURFACE, BOUNDARY = 0.32, 0.26  # how much of the light the water's surface and sides swallow
NEAR, FAR = 0.01, 10.0  # what the camera sees, in its distances
SHADES = "shades"
UP = np.array([0.0, 0.0, 1.0])
CLEAR = 1e-4  # how far a point stands off what it lies on, in the camera's distances


def family(hull: bpy.types.Object) -> list[bpy.types.Object]:
    """The hull and all that moves with it, by parenting."""
    head = hull
    while head.parent:
        head = head.parent
    return [head, *head.children_recursive]


class Studio:
    """A scene with daylight before a `ground` color, in axes ahead, to port and up from the water.

    Objects shown stay unchanged: the scene holds instances. All data made is removed on exit.
    """

    def __init__(self, ground: RGBA) -> None:
        self.ground = ground
        self.made: list[bpy.types.ID] = []

    def __enter__(self) -> Studio:
        self.scene = self._keep(bpy.data.scenes.new("studio"))
        self.scene.world = self._daylight()
        return self

    def __exit__(self, *_: object) -> None:
        bpy.data.batch_remove(self.made)

    def show(self, objects: Iterable[bpy.types.Object], pose: Floats) -> None:
        """Show objects as they lie in the world, moved by `pose` (4, 4)."""
        group = self._keep(bpy.data.collections.new("ship"))
        for obj in objects:
            group.objects.link(obj)
        instance = self._place(None, pose)
        instance.instance_type, instance.instance_collection = "COLLECTION", group

    def corners(self) -> Floats:
        """Corners (n, 3) of boxes round all surfaces that are shown."""
        layer = self._updated()
        boxes = [np.zeros((0, 3))]
        for each in layer.depsgraph.object_instances:
            if each.is_instance and each.object.type in {"MESH", "CURVE", "SURFACE", "FONT"}:
                box = np.array([corner[:] for corner in each.object.bound_box], np.float64)
                boxes.append(moved(np.array(each.matrix_world, np.float64), box))
        return np.concatenate(boxes)

    def hides(self, points: Floats, camera: Camera) -> Bools:
        """Which of the points (n, 3) something before them hides from the camera (n,)."""
        depsgraph = self._updated().depsgraph
        to_eye = np.broadcast_to(camera.pose[:3, 2], points.shape)
        if camera.perspective:
            to_eye = camera.pose[:3, 3] - points
            to_eye = to_eye / np.linalg.norm(to_eye, axis=1)[:, None]
        starts = points + CLEAR * camera.distance * to_eye
        rays = zip(starts.tolist(), to_eye.tolist(), strict=True)
        return np.array([self.scene.ray_cast(depsgraph, *ray)[0] for ray in rays], bool)

    def fill(self, water: WaterBlock) -> None:
        """Put the water in."""
        for polygons, share in ((water.surface, SURFACE), (water.boundaries, BOUNDARY)):
            mesh = self._mesh(polygons)
            mesh.materials.append(self._tinted(share))
            self._place(mesh, np.eye(4))

    def see_through(self, faces: NDArray[Any], color: RGBA, pose: Floats) -> None:
        """Show a see-through body of triangles (n, 3, 3), with the opacity of its color,
        lit as in the viewport."""
        mesh = self._mesh(faces)
        tone = np.ones((3 * len(faces), 4), np.float32)
        light = np.repeat(lit(faces.astype(np.float32), UP), 3)[:, None]
        tone[:, :3] = _linear(np.minimum(np.array(color[:3]) * light, 1.0))
        shades: Any = mesh.attributes.new(SHADES, "FLOAT_COLOR", "CORNER")
        shades.data.foreach_set("color", tone.ravel())
        mesh.materials.append(self._tinted(color[3], SHADES))
        self._place(mesh, pose)

    def photograph(self, camera: Camera, width: int, height: int) -> Floats32:
        """Pixels (height, width, 3), as on the screen, the lowest row first.

        Raises BadInputError where Cycles is missing.
        """
        lens = self._keep(bpy.data.cameras.new("camera"))
        lens.sensor_fit = "HORIZONTAL"
        lens.clip_start, lens.clip_end = NEAR * camera.distance, FAR * camera.distance
        if camera.perspective:
            lens.angle = 2 * float(np.arctan(camera.breadth / camera.distance / 2))
        else:
            lens.type, lens.ortho_scale = "ORTHO", camera.breadth
        for toward, strength, angle in SUNS:
            sun = self._keep(bpy.data.lights.new("sun", "SUN"))
            sun.energy, sun.angle = strength, angle
            turn = Vector(toward).to_track_quat("Z", "Y").to_matrix().to_4x4()
            self._place(sun, camera.pose @ np.array(turn, np.float64))
        scene, render = self.scene, self.scene.render
        scene.camera = self._place(lens, camera.pose)
        try:
            render.engine = ENGINE
        except TypeError:
            raise BadInputError(
                "pictures need Cycles, which is disabled; enable it in the preferences, Add-ons"
            ) from None
        render.resolution_x, render.resolution_y, render.resolution_percentage = width, height, 100
        render.dither_intensity = 0.0
        render.image_settings.file_format, render.image_settings.color_mode = "PNG", "RGB"
        scene.view_settings.view_transform = "Standard"
        cycles = scene.cycles
        cycles.samples, cycles.max_bounces = SAMPLES, BOUNCES
        cycles.transparent_max_bounces = LAYERS
        cycles.use_denoising, cycles.denoising_prefilter = True, "FAST"
        with tempfile.TemporaryDirectory() as folder:
            render.filepath = str(Path(folder, "photograph.png"))
            bpy.ops.render.render(write_still=True, scene=scene.name)
            return _pixels_of(render.filepath)

    def _daylight(self) -> bpy.types.World:
        """Light from all round, which the camera itself sees as the ground color."""
        world = self._keep(bpy.data.worlds.new("daylight"))
        nodes, link = _nodes_of(world)
        path, mix = nodes.new("ShaderNodeLightPath"), nodes.new("ShaderNodeMixShader")
        light, ground = nodes.new("ShaderNodeBackground"), nodes.new("ShaderNodeBackground")
        light.inputs["Color"].default_value, light.inputs["Strength"].default_value = DAYLIGHT, SKY
        paper = Color(self.ground[:3]).from_srgb_to_scene_linear()
        ground.inputs["Color"].default_value = (*paper, 1.0)
        link(path.outputs["Is Camera Ray"], mix.inputs["Fac"])
        link(light.outputs[0], mix.inputs[1])
        link(ground.outputs[0], mix.inputs[2])
        link(mix.outputs[0], nodes.new("ShaderNodeOutputWorld").inputs["Surface"])
        return world

    def _updated(self) -> bpy.types.ViewLayer:
        layer = self.scene.view_layers[0]
        layer.update()
        return layer

    def _mesh(self, polygons: NDArray[Any]) -> bpy.types.Mesh:
        corners = polygons.reshape(-1, 3)
        faces = np.arange(len(corners)).reshape(polygons.shape[:2])
        mesh = self._keep(bpy.data.meshes.new("body"))
        mesh.from_pydata(corners.tolist(), [], faces.tolist())
        return mesh

    def _tinted(self, share: float, shades: str = "") -> bpy.types.Material:
        """Clear, but for a share of the color of the sea, or of an attribute of the mesh."""
        material = self._keep(bpy.data.materials.new("water"))
        nodes, link = _nodes_of(material)
        clear, tint = nodes.new("ShaderNodeBsdfTransparent"), nodes.new("ShaderNodeEmission")
        mix, output = nodes.new("ShaderNodeMixShader"), nodes.new("ShaderNodeOutputMaterial")
        tint.inputs["Color"].default_value, mix.inputs["Fac"].default_value = SEA, share
        if shades:
            shade = nodes.new("ShaderNodeAttribute")
            shade.attribute_name = shades
            link(shade.outputs["Color"], tint.inputs["Color"])
        link(clear.outputs[0], mix.inputs[1])
        link(tint.outputs[0], mix.inputs[2])
        link(mix.outputs[0], output.inputs["Surface"])
        return material

    def _place(self, data: bpy.types.ID | None, pose: Floats) -> bpy.types.Object:
        obj = self._keep(bpy.data.objects.new("studio", data))
        obj.matrix_world = Matrix(pose.tolist())
        self.scene.collection.objects.link(obj)
        return obj

    def _keep(self, made: Any) -> Any:
        self.made.append(made)
        return made


def _linear(screen: Floats) -> Floats:
    """Colors as light, from what they are on the screen (sRGB, IEC 61966-2-1)."""
    return np.where(screen <= 0.04045, screen / 12.92, ((screen + 0.055) / 1.055) ** 2.4)


def _nodes_of(block: bpy.types.World | bpy.types.Material) -> tuple[Any, Any]:
    """The nodes of a new block, emptied, and what links them."""
    if block.node_tree is None:  # as before Blender 5.0
        block.use_nodes = True
    block.node_tree.nodes.clear()
    return block.node_tree.nodes, block.node_tree.links.new


def _pixels_of(path: str) -> Floats32:
    """Pixels (height, width, 3) of a picture, the lowest row first."""
    image = bpy.data.images.load(path)
    try:
        width, height = np.array(image.size)
        pixels = np.zeros(width * height * image.channels, np.float32)
        image.pixels.foreach_get(pixels)
        return pixels.reshape(height, width, -1)[..., :3]
    finally:
        bpy.data.images.remove(image)

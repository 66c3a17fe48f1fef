"""An invented 12 m survey launch, modeled, floated and documented.

    python3 scripts/demo.py [FOLDER] [--pictures FOLDER]

Writes its Blender file and its case for the command line, prints its floating position and
stability, and draws charts of its GZ curve, conditions and limiting KG, and pictures of it
upright, held at a heel, and with its winch swung out to port. Without Blender there is no file and
no picture, and reports and charts come from the case alone.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from math import radians
from pathlib import Path
from typing import TYPE_CHECKING

from house import ROOT, apt_line, enter, say

if TYPE_CHECKING:
    import bpy

    from addon.blender.controller.session import Entry
    from addon.blender.pictures.camera import Aspect
    from addon.examples.loader import Example
    from addon.files.obj import PolygonMesh

FOLDER = "naval-checks-demo"
BLEND, CASE = "survey launch.blend", "survey launch"
LAUNCH, LISTING = "Survey launch", "Survey launch, winch to port"
CHARTS = {"stability": "gz-curve", "conditions": "conditions", "limiting-kg": "limiting-kg"}
HELD = 30  # degrees
WORKBOAT, LEAKY, BREACHED = "Workboat", "Leaky workboat", "engine room"
LEAK = "steering gear"

SHARP = 35  # degrees between faces from which an edge is left sharp
MATERIALS = {  # color (red, green, blue of light), roughness, metal
    "topsides": ((0.55, 0.57, 0.56), 0.35, 0.0),
    "deck": ((0.20, 0.27, 0.27), 0.7, 0.0),
    "paint": ((0.68, 0.68, 0.65), 0.4, 0.0),
    "roof": ((0.50, 0.52, 0.53), 0.5, 0.0),
    "glass": ((0.02, 0.03, 0.04), 0.1, 0.0),
    "teak": ((0.32, 0.17, 0.07), 0.6, 0.0),
    "rubber": ((0.03, 0.03, 0.03), 0.7, 0.0),
    "yellow": ((0.75, 0.42, 0.04), 0.5, 0.0),
    "steel": ((0.25, 0.28, 0.30), 0.4, 0.6),
    "bronze": ((0.55, 0.33, 0.12), 0.35, 1.0),
    "antifouling": ((0.025, 0.06, 0.075), 0.6, 0.0),
}
BOOT_TOP = (0.45, 0.06, 0.035)
BOOT_TOP_FROM, BOOT_TOP_TO, HIGHEST = 0.90, 0.99, 4.0  # meters above the baseline
MADE_OF = {
    "bulwark": "paint",
    "capping": "teak",
    "rubbing strake": "rubber",
    "wheelhouse": "paint",
    "roof": "roof",
    "trunk cabin": "paint",
    "windows": "glass",
    "engine hatch": "roof",
    "gantry": "yellow",
    "davit": "yellow",
    "survey winch": "steel",
    "anchor winch": "steel",
    "mast": "steel",
    "life raft": "paint",
    "rudder": "antifouling",
    "propeller": "bronze",
}


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument(
        "folder", nargs="?", type=Path, default=Path.cwd() / FOLDER, help=f"default: {FOLDER}"
    )
    parser.add_argument("--pictures", type=Path, help="a folder for pictures and charts")
    arguments = parser.parse_args()
    enter("blender")
    sys.path.insert(0, str(ROOT))
    from addon.core.messages.findings import BadInputError

    folder = arguments.folder.resolve()
    pictures = (arguments.pictures or folder).resolve()
    try:
        case = write_case(folder / CASE)
        pictures.mkdir(parents=True, exist_ok=True)
        if blender_loads():
            model(folder, pictures)
        else:
            say("going on without Blender: the report comes from the case, there are no pictures")
            print(report(case), end="")
        judge(case, pictures)
    except OSError as error:
        say(f"{error.filename or folder}: {error.strerror or error}")
        return 2
    except BadInputError as error:
        say(str(error))
        return 2
    say(f"done: see {folder}" + (f" and {pictures}" if pictures != folder else ""))
    return 0


@contextmanager
def quiet() -> Iterator[None]:
    """Keep Blender's own output off standard output."""
    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        yield
    finally:
        sys.stdout.flush()
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def blender_loads() -> bool:
    """Whether Blender's Python module can be used; prints what to do where not."""
    try:
        import bpy  # noqa: F401
    except ImportError as error:
        say(f"Blender's Python module does not load: {error}")
        if line := apt_line():
            say(f"it lacks system libraries: {line}")
        return False
    return True


# Without Blender ------------------------------------------------------------------------------


def write_case(folder: Path) -> Path:
    """The launch as a case file, in place of the one of an earlier run."""
    from addon.parts import case_writer

    written = folder / case_writer.CASE_FILE, folder / case_writer.WEIGHTS
    for path in (*written, *folder.glob("*.obj")):
        path.unlink(missing_ok=True)
    say("writing the case")
    with quiet():
        answer("new", folder, "--example", "survey-launch")
    return folder / case_writer.CASE_FILE


def answer(*words: str | Path) -> None:
    """Answer one question of the command line; ends the demo where the input is at fault."""
    from addon.cli import main
    from addon.cli.common import BAD_INPUT

    if main.main([*map(str, words)]) == BAD_INPUT:
        sys.exit(BAD_INPUT)


def report(case: Path) -> str:
    """The float report of a case file."""
    from addon.core.hydrostatics.floating_position import find_floating_position
    from addon.parts.case_file import read_case
    from addon.report.floating import float_report
    from addon.results.floating import float_result

    ship = find_floating_position(read_case(case))
    return float_report(float_result(ship), ship.case.weights)


def judge(case: Path, charts: Path) -> None:
    """Print the stability of the vessel of a case, and draw its charts."""
    for word, name in CHARTS.items():
        path = charts / f"{name}.svg"
        say(f"drawing {path}")
        with nullcontext() if word == "stability" else quiet():
            answer(word, case, "--chart", path)


# With Blender ---------------------------------------------------------------------------------


def model(folder: Path, pictures: Path) -> None:
    """Build, float, report, save and picture the launch in this process."""
    with quiet():
        import addon
        from addon.blender.pictures.camera import (
            FROM_AHEAD,
            FROM_PORT_BOW,
            FROM_STARBOARD_BOW,
            PROFILE,
        )
        from addon.examples.loader import listing_launch, load_example
        from addon.report.floating import float_report
        from addon.results.floating import float_result

        addon.register()
    try:
        say("building the launch")
        entry = floated(load_example("survey-launch"), LAUNCH)
        assert entry.floating
        weights = entry.floating.case.weights
        print(float_report(float_result(entry.floating), weights), end="", flush=True)
        save(folder / BLEND)
        document(entry, PROFILE, pictures / "profile.png")
        document(entry, FROM_AHEAD, pictures / "bow.png")
        document(entry, FROM_STARBOARD_BOW, pictures / "perspective.png")
        document(entry, FROM_AHEAD, pictures / "held-bow.png", HELD)
        say("building the launch again, its winch swung out to port")
        entry = floated(listing_launch(), LISTING)
        document(entry, FROM_AHEAD, pictures / "listing-bow.png")
        document(entry, FROM_PORT_BOW, pictures / "listing-perspective.png")
        say("building the workboat, watertight and leaky")
        entry = floated(load_example("workboat"), WORKBOAT)
        look_into(entry, pictures / "compartments.png")
        look_into(entry, pictures / "flooded.png", breached=BREACHED)
        entry = floated(load_example("leaky-workboat"), LEAKY)
        look_into(entry, pictures / "leak.png", chosen=LEAK)
    finally:
        with quiet():
            addon.unregister()


@quiet()
def floated(ship: Example, name: str) -> Entry:
    """An example as the only vessel of a new scene, with its floating position by the add-on."""
    import bpy

    from addon.blender.controller import session

    hull = build(ship, name)
    bpy.ops.naval_checks.compute()
    entry = session.entry_for(hull)
    assert entry
    return entry


@quiet()
def document(entry: Entry, aspect: Aspect, path: Path, heel: float = 0.0) -> None:
    """Write a picture of a vessel of the scene, held at a heel (degrees) unless that is zero."""
    import bpy

    from addon.blender.controller import shown_state
    from addon.blender.pictures.picture import documentation
    from addon.blender.properties.settings import scene_settings
    from addon.drawing.png import png

    say(f"rendering {path}")
    chosen = scene_settings(bpy.context.scene)
    chosen.use_held_heel, chosen.held_heel = bool(heel), radians(heel)
    heeled = shown_state.at_held_heel(entry, chosen)
    hull = bpy.data.objects[entry.hull_name]
    canvas = documentation(hull, entry, aspect, heeled=heeled)
    path.write_bytes(png(canvas.pixels))


@quiet()
def look_into(entry: Entry, path: Path, chosen: str = "", breached: str = "") -> None:
    """Write a picture of the compartments of a vessel, one of them chosen, or open to the sea."""
    import bpy

    from addon.blender.controller import known_compartments
    from addon.blender.pictures.camera import FROM_STARBOARD_BOW
    from addon.blender.pictures.picture import documentation
    from addon.blender.viewport.compartment_shapes import CompartmentState, flooded_to
    from addon.drawing.png import png

    say(f"rendering {path}")
    hull = bpy.data.objects[entry.hull_name]
    bpy.ops.naval_checks.find_compartments()
    within = CompartmentState(entry.plan, entry.floating, chosen=chosen)
    if breached:
        known_compartments.set_breached(entry.uid, frozenset({breached}))
        bpy.ops.naval_checks.flood()
        flooded = entry.shown_flooding
        within = CompartmentState(entry.plan, flooded.floating, flooded_to(flooded))
    canvas = documentation(hull, entry, FROM_STARBOARD_BOW, within=within)
    path.write_bytes(png(canvas.pixels))


def build(ship: Example, name: str) -> bpy.types.Object:
    """A new scene with a vessel: hull, parts and fittings, each in a collection."""
    import bpy

    from addon.blender.properties.names import Role
    from addon.parts.build_case import box_mesh
    from addon.parts.places import Box

    bpy.ops.wm.read_factory_settings(use_empty=True)
    whole = collection(name, bpy.context.scene.collection)
    materials = {material: principled(material, *looks) for material, looks in MATERIALS.items()}
    paint_boot_top(materials["topsides"])

    hull = surface(name, ship.hull, materials["topsides"])
    hull.data.materials.append(materials["deck"])
    for face in hull.data.polygons:
        face.material_index = int(face.normal.z > 0.8)
    collection("Hull", whole).objects.link(hull)
    hull.select_set(True)
    bpy.context.view_layer.objects.active = hull
    bpy.ops.naval_checks.mark_hull()
    form = hull.naval_checks.form
    form.forward, form.up = "X", "Z"
    form.use_aft_perpendicular_x = form.use_forward_perpendicular_x = True
    form.aft_perpendicular_x, form.forward_perpendicular_x = ship.perpendiculars

    board = collection("Weights", whole)
    for weight in ship.weights:
        empty = bpy.data.objects.new(weight.name, None)
        empty.empty_display_type = "SPHERE"
        empty.location, empty.parent = weight.center, hull
        board.objects.link(empty)
        tag = empty.naval_checks
        tag.role, tag.hull, tag.group = Role.WEIGHT, hull, weight.group
        tag.weight.mass = weight.mass

    tanks = collection("Tanks", whole)
    for tank in ship.case_entry.tanks:
        body = box_mesh(tank.place) if isinstance(tank.place, Box) else tank.place
        obj = surface(tank.name, body, materials["deck"])
        obj.parent = hull
        tanks.objects.link(obj)
        tag = obj.naval_checks
        tag.role, tag.hull, tag.group = Role.TANK, hull, tank.group
        tag.tank.density, tag.tank.fill = tank.density, 100 * tank.fill
        tag.tank.permeability = tank.permeability

    active_openings = collection("Openings", whole)
    for opening in ship.case_entry.openings:
        empty = bpy.data.objects.new(opening.name, None)
        empty.empty_display_size = 0.2
        empty.location, empty.parent = opening.place, hull
        active_openings.objects.link(empty)
        tag = empty.naval_checks
        tag.role, tag.hull = Role.OPENING, hull
        tag.opening.protection = opening.protection.upper()
        tag.opening.kind = opening.kind.upper().replace(" ", "_")
        tag.opening.area, tag.opening.height = opening.area or 0.0, opening.height or 0.0

    if ship.case_entry.boundaries:
        part(ship, hull, collection("Compartments", whole), materials["deck"])
    fittings = collection("Fittings", whole)
    windage = {shape.name for shape in ship.case_entry.windage}
    for fitting in ship.fittings:
        obj = surface(fitting.name.capitalize(), fitting, materials[MADE_OF[fitting.name]])
        obj.parent = hull
        fittings.objects.link(obj)
        if fitting.name in windage:
            obj.naval_checks.role, obj.naval_checks.hull = Role.WINDAGE, hull
    on_progress(ship, hull)
    return hull


def part(
    ship: Example,
    hull: bpy.types.Object,
    into: bpy.types.Collection,
    material: bpy.types.Material,
) -> None:
    """Boundaries, compartment marks and doors of a vessel."""
    import bpy
    import numpy as np

    from addon.blender.properties.names import Role
    from addon.files.obj import PolygonMesh
    from addon.parts.places import Plane

    low, high = ship.hull.vertices.min(axis=0), ship.hull.vertices.max(axis=0)
    for boundary in ship.case_entry.boundaries:
        body = boundary.place
        if isinstance(body, Plane):
            across, up = (axis for axis in range(3) if axis != body.axis)
            corners = np.array([low, low, high, high])
            corners[1, across], corners[3, across] = high[across], low[across]
            corners[:, body.axis] = body.at
            body = PolygonMesh(boundary.name, corners, ((0, 1, 2, 3),))
        obj = surface(boundary.name, body, material)
        obj.parent = hull
        into.objects.link(obj)
        obj.naval_checks.role, obj.naval_checks.hull = Role.BOUNDARY, hull
    for compartment in ship.case_entry.compartments:
        empty = bpy.data.objects.new(compartment.name, None)
        empty.empty_display_size, empty.empty_display_type = 0.3, "CUBE"
        empty.location, empty.parent = compartment.place, hull
        into.objects.link(empty)
        tag = empty.naval_checks
        tag.role, tag.hull, tag.compartment.use = Role.COMPARTMENT, hull, compartment.use.upper()
    for door in ship.case_entry.doors:
        empty = bpy.data.objects.new(door.name, None)
        empty.empty_display_size, empty.empty_display_type = 0.5, "SINGLE_ARROW"
        empty.location, empty.parent = door.place, hull
        into.objects.link(empty)
        tag = empty.naval_checks
        tag.role, tag.hull, tag.door.closed = Role.DOOR, hull, door.closed
        tag.door.area, tag.door.height = door.area, door.height or 0.0


def on_progress(ship: Example, hull: bpy.types.Object) -> None:
    """Service and loading conditions of a vessel, as settings of its hull."""
    import bpy

    chosen = hull.naval_checks
    for fact, value in vars(ship.case_entry.service).items():
        if isinstance(value, str):
            value = value.upper().replace(" ", "_")
        if value is not None:
            setattr(chosen.service, fact, value)
    for condition in ship.case_entry.conditions:
        kept = chosen.conditions.add()
        kept.name = condition.name
        kept.mass_margin = 100 * condition.mass_margin
        kept.kg_margin = condition.kg_margin
        for name, fill in condition.fill.items():
            condition_items = kept.ensure_item(bpy.data.objects[name])
            condition_items.use_fill, condition_items.fill = True, 100 * fill
        for name in condition.without:
            kept.ensure_item(bpy.data.objects[name]).not_loaded = True
        for group in condition.without_groups:
            kept.groups_not_loaded.add().name = group


def surface(name: str, mesh: PolygonMesh, material: bpy.types.Material) -> bpy.types.Object:
    """An object of polygons, smooth but for sharp edges."""
    import bpy
    import numpy as np

    data = bpy.data.meshes.new(name)
    data.from_pydata(mesh.vertices.tolist(), [], mesh.polygons)
    data.materials.append(material)
    data.polygons.foreach_set("use_smooth", np.ones(len(data.polygons), bool))
    data.set_sharp_from_angle(angle=np.radians(SHARP))
    return bpy.data.objects.new(name, data)


def collection(name: str, parent: bpy.types.Collection) -> bpy.types.Collection:
    import bpy

    made = bpy.data.collections.new(name)
    parent.children.link(made)
    return made


def principled(
    name: str, color: tuple[float, float, float], roughness: float, metal: float
) -> bpy.types.Material:
    import bpy

    material = bpy.data.materials.new(name)
    if material.node_tree is None:  # as before Blender 5.0
        material.use_nodes = True
    looks = material.node_tree.nodes["Principled BSDF"].inputs
    looks["Base Color"].default_value = (*color, 1.0)
    looks["Roughness"].default_value, looks["Metallic"].default_value = roughness, metal
    material.diffuse_color = (*color, 1.0)
    return material


def paint_boot_top(material: bpy.types.Material) -> None:
    """Antifouling up to the boot-top, the boot-top, and the material's own color above it."""
    tree = material.node_tree
    place = tree.nodes.new("ShaderNodeTexCoord")
    axes = tree.nodes.new("ShaderNodeSeparateXYZ")
    height = tree.nodes.new("ShaderNodeMapRange")
    height.inputs["From Max"].default_value = HIGHEST
    bands = tree.nodes.new("ShaderNodeValToRGB")
    bands.color_ramp.interpolation = "CONSTANT"
    stops = bands.color_ramp.elements
    topsides = stops.new(BOOT_TOP_TO / HIGHEST)
    stops[-1].position = 1.0
    topsides.color = stops[-1].color = (*MATERIALS["topsides"][0], 1.0)
    stops.new(BOOT_TOP_FROM / HIGHEST).color = (*BOOT_TOP, 1.0)
    stops[0].color = (*MATERIALS["antifouling"][0], 1.0)
    tree.links.new(place.outputs["Object"], axes.inputs[0])
    tree.links.new(axes.outputs["Z"], height.inputs["Value"])
    tree.links.new(height.outputs["Result"], bands.inputs["Fac"])
    looks = tree.nodes["Principled BSDF"]
    tree.links.new(bands.outputs["Color"], looks.inputs["Base Color"])


@quiet()
def save(path: Path) -> None:
    """Write the scene, seen from the starboard bow in its 3D views."""
    import bpy
    from mathutils import Vector

    for screen in bpy.data.screens:
        for space in (area.spaces.active for area in screen.areas if area.type == "VIEW_3D"):
            space.shading.color_type = "MATERIAL"
            view = space.region_3d
            view.view_location, view.view_distance = (5.8, 0.0, 1.6), 17.0
            view.view_rotation = Vector((0.62, -0.72, 0.30)).to_track_quat("Z", "Y")
    bpy.context.preferences.filepaths.save_version = 0
    say(f"writing {path}")
    bpy.ops.wm.save_as_mainfile(filepath=str(path), compress=True)


if __name__ == "__main__":
    sys.exit(main())

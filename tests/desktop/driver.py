"""Inside a Blender with a window: a launch is marked, loaded, floated, dragged and looked at; or
the compartments of a workboat are found, breached and flooded, or compared with its floodable
length; or every panel is looked at by itself.

    blender --factory-startup --enable-event-simulate --python driver.py -- FOLDER STORY

FOLDER holds the package `addon`; the shots and result.json are written there.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
import traceback
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from shutil import which
from threading import enumerate as threads
from typing import Any

import bmesh
import bpy
import numpy as np
from mathutils import Vector

FOLDER, STORY = Path(sys.argv[-2]), sys.argv[-1]
sys.path.insert(0, str(FOLDER))

import addon  # noqa: E402
from addon.blender.controller import damage, known_compartments, session  # noqa: E402
from addon.blender.identifiers import TAB  # noqa: E402
from addon.blender.operators.background_work import Worker  # noqa: E402
from addon.blender.panels import layout, sidebar, viewport_display  # noqa: E402
from addon.blender.properties.selection import select_only  # noqa: E402
from addon.blender.properties.settings import scene_settings, settings  # noqa: E402
from addon.blender.viewport.draw_handlers import chart_in  # noqa: E402
from addon.blender.viewport.flooding_playback import pace_of  # noqa: E402
from addon.examples.loader import Example, listing_launch, load_example  # noqa: E402
from addon.files.obj import PolygonMesh  # noqa: E402

checks: dict[str, bool] = {}


def shot(name: str, of: bpy.types.Region | None = None) -> Iterator[float]:
    """A picture of the screen at rest, or of a region, where ImageMagick is at hand."""
    for _ in range(4):
        view()[0].tag_redraw()
        yield 0.3
    if which("import"):
        crop = []
        if of:
            top = window().height - of.y - of.height
            crop = ["-crop", f"{of.width}x{of.height}+{of.x}+{top}", "+repage"]
        command = ["import", "-window", "root", *crop, FOLDER / f"{name}.png"]
        subprocess.run(command, check=True)


def until(name: str, right: Callable[[], bool]) -> Iterator[float]:
    """A check that gets ten seconds to come right: Blender draws slowly without a graphics card."""
    for _ in range(50):
        if right():
            break
        yield 0.2
    checks[name] = right()


def stale() -> bool:
    return session.entry_for(bpy.data.objects["launch"]).stale


def window() -> bpy.types.Window:
    return bpy.context.window_manager.windows[0]


def view() -> tuple[bpy.types.Area, bpy.types.Region, bpy.types.Region]:
    """The 3D viewport: area, window region and sidebar."""
    area = max(
        (area for area in window().screen.areas if area.type == "VIEW_3D"),
        key=lambda area: area.width,
    )
    regions = {region.type: region for region in area.regions}
    return area, regions["WINDOW"], regions["UI"]


def override() -> bpy.types.ContextTempOverride:
    area, region, _ = view()
    return bpy.context.temp_override(window=window(), area=area, region=region)


def press(key: str, **held: bool) -> None:
    x, y = middle()
    window().event_simulate(type=key, value="PRESS", x=x, y=y, **held)
    window().event_simulate(type=key, value="RELEASE", x=x, y=y, **held)


def move(x: int, y: int) -> None:
    window().event_simulate(type="MOUSEMOVE", value="NOTHING", x=x, y=y)


def middle() -> tuple[int, int]:
    _, region, _ = view()
    return region.x + region.width // 3, region.y + region.height // 2


LAUNCH = listing_launch()


def launch(ship: Example = LAUNCH, name: str = "launch") -> bpy.types.Object:
    """An example in an empty scene, its hull active."""
    for obj in bpy.data.objects[:]:
        bpy.data.objects.remove(obj)
    for part in (ship.hull, *ship.fittings):
        put(part, name if part is ship.hull else f"{part.name} (model)")
    hull = bpy.data.objects[name]
    bpy.context.view_layer.objects.active = hull
    hull.select_set(True)
    return hull


def put(body: PolygonMesh, name: str) -> bpy.types.Object:
    mesh = bpy.data.meshes.new(name)
    mesh.from_pydata(body.vertices.tolist(), [], [list(face) for face in body.polygons])
    obj = bpy.data.objects.new(name, mesh)
    bpy.context.scene.collection.objects.link(obj)
    return obj


def load(hull: bpy.types.Object, ship: Example = LAUNCH) -> None:
    for item in ship.weights:
        bpy.context.scene.cursor.location = item.center
        bpy.ops.naval_checks.add_weight(
            mass=item.mass, group=item.group, weight_name=item.name, fixed=item.fixed
        )
    select_only(hull)


def spoil(hull: bpy.types.Object) -> None:
    """Turn a face of the hull inwards and tear out another."""
    body = bmesh.new()
    body.from_mesh(hull.data)
    body.faces.ensure_lookup_table()
    body.faces[10].normal_flip()
    bmesh.ops.delete(body, geom=[body.faces[40]], context="FACES_ONLY")
    body.to_mesh(hull.data)
    body.free()
    hull.data.update()


def open_tab() -> Iterator[float]:
    """The sidebar at the add-on's tab; its names are known only once it was drawn."""
    area, _, sidebar = view()
    area.spaces.active.show_region_ui = True
    yield 0.5
    sidebar.active_panel_category = TAB
    area.tag_redraw()
    yield 0.5


def scrubbed() -> Iterator[float]:
    """The mouse drawn over the chart of righting arms, and the chart moved by its title."""
    _, region, _ = view()
    chart, chosen = chart_in(region), scene_settings(bpy.context.scene)
    checks["a chart is drawn"] = chart is not None
    heels = [chart.axes.at(heel, 0.0) + (region.x, region.y) for heel in (0.2, 0.5)]
    yield from dragged(*heels)
    yield from until("held at the heel under the mouse", lambda: abs(chosen.held_heel - 0.5) < 0.03)
    checks["held"] = chosen.use_held_heel
    yield from shot("3-held")
    left, bottom, right, top = chart.title
    start = (left + right) / 2 + region.x, (bottom + top) / 2 + region.y
    yield from dragged(start, (start[0] - 150, start[1] + 100))
    yield from until("chart moved", lambda: chosen.chart_place[0] < 1 and chosen.chart_place[1] > 0)
    chosen.chart_place = (1.0, 0.0)
    chosen.use_held_heel = False
    with override():
        bpy.ops.ed.undo_push(message="at rest")
    yield 0.3


def dropped() -> Iterator[float]:
    """Weights dropped on deck with typed masses, all undone and done again; then a pair that is
    taken back, and an end by Esc."""
    before, (area, region, _) = weights(), view()
    where = [(0.42, 0.55), (0.5, 0.5), (0.58, 0.45)]
    spots = [
        (region.x + int(x * region.width), region.y + int(y * region.height)) for x, y in where
    ]
    move(*spots[0])
    yield 0.3
    with bpy.context.temp_override(window=window(), area=area, region=region):
        bpy.ops.naval_checks.drop("INVOKE_DEFAULT")
    yield 0.3
    for marks, spot in zip(("250", "80.5", ""), spots, strict=True):
        move(*spot)
        yield 0.3
        for mark in marks:
            window().event_simulate(
                type=KEYS[mark], value="PRESS", unicode=mark, x=spot[0], y=spot[1]
            )
            window().event_simulate(type=KEYS[mark], value="RELEASE", x=spot[0], y=spot[1])
            yield 0.1
        if marks == "80.5":
            yield from shot("3-drop")
        click(spot)
        yield 0.5
    new = [name for name in weights() if name not in before]
    checks["three dropped"] = new == ["Weight", "Weight.001", "Weight.002"]
    masses = [settings(bpy.data.objects[name]).weight.mass for name in new]
    checks["with the masses typed"] = masses == [250, 80.5, 80.5]
    tap("X", spots[0])
    move(spots[0][0] + 30, spots[0][1])
    yield 0.3
    yield from shot("3-drop-pair")
    click((spots[0][0] + 30, spots[0][1]))
    yield 0.5
    checks["a pair dropped"] = len(weights()) == len(before) + 5
    tap("BACK_SPACE", spots[0])
    yield from until("the pair taken back", lambda: len(weights()) == len(before) + 3)
    tap("ESC", spots[0])
    yield 0.5
    yield from shot("3-dropped")
    for _ in range(3):
        tap("Z", spots[0], ctrl=True)
        yield 0.5
    yield from until("all undone", lambda: weights() == before)
    for _ in range(3):
        tap("Z", spots[0], ctrl=True, shift=True)
        yield 0.5
    yield from until("all redone", lambda: len(weights()) == len(before) + 3)
    for _ in range(3):
        tap("Z", spots[0], ctrl=True)
        yield 0.5
    yield from until("undone for good", lambda: weights() == before)


KEYS = {"0": "ZERO", "2": "TWO", "5": "FIVE", "8": "EIGHT", ".": "PERIOD"}


def weights() -> list[str]:
    return sorted(obj.name for obj in bpy.data.objects if settings(obj).role == "WEIGHT")


def tap(key: str, at: Sequence[int], **held: bool) -> None:
    """A key pressed and let go with the mouse at a place of the window."""
    for value in ("PRESS", "RELEASE"):
        window().event_simulate(type=key, value=value, x=at[0], y=at[1], **held)


def click(at: Sequence[int]) -> None:
    tap("LEFTMOUSE", at)


def dragged(start: Sequence[float], end: Sequence[float]) -> Iterator[float]:
    """The mouse pressed at a place of the window and let go at another."""
    start, end = (tuple(int(pixel) for pixel in place) for place in (start, end))
    move(start[0] - 1, start[1])
    yield 0.3
    move(*start)
    yield 0.3
    for value, (x, y) in (("PRESS", start), ("RELEASE", end)):
        move(x, y)
        yield 0.3
        window().event_simulate(type="LEFTMOUSE", value=value, x=x, y=y)
        yield 0.3


def followed() -> Iterator[float]:
    """A weight dragged with live figures, put back, put there again, in a file saved and loaded."""
    scene_settings(bpy.context.scene).live = True
    select_only(bpy.data.objects["engine and gearbox"])
    with override():
        bpy.ops.ed.undo_push(message="live")
    before, seen = heel(), set()
    x, y = middle()
    move(x, y)
    press("G")
    press("X")
    press("Y")
    for step in range(1, 8):
        move(x + 12 * step, y)
        yield 0.15
        seen.add(round(heel(), 6))
        checks["never out of date while dragged"] = not stale()
    checks["follows the drag"] = len(seen) > 3
    yield from shot("4-live")
    click((x + 84, y))
    yield from until("settles", lambda: not entry().behind)
    there = heel()
    press("Z", ctrl=True)
    yield from until("undo is followed", lambda: abs(heel() - before) < 1e-6 and not stale())
    press("Z", ctrl=True, shift=True)
    yield from until("redo is followed", lambda: abs(heel() - there) < 1e-6 and not stale())
    path = str(FOLDER / "ship.blend")
    bpy.ops.wm.save_as_mainfile(filepath=path)
    bpy.ops.wm.open_mainfile(filepath=path)
    yield 1.0
    checks["nothing known after loading"] = session.entry_for(bpy.data.objects["launch"]) is None
    with override():
        select_only(bpy.data.objects["launch"])
        bpy.ops.naval_checks.compute()
    bpy.data.objects["engine and gearbox"].location.y += 0.2
    yield from until("follows after loading", lambda: abs(heel() - there) > 1e-4 and not stale())
    yield from until("settles after loading", lambda: not entry().behind)
    scene_settings(bpy.context.scene).live = False


def entry(name: str = "launch") -> session.Entry:
    return session.entry_for(bpy.data.objects[name])


def heel() -> float:
    return entry().floating.equilibrium.attitude.heel_rad


def steps() -> Iterator[float]:
    """Waits, in seconds, between what a user would do."""
    viewport_display.NAVAL_CHECKS_PT_viewport_display.bl_options = set()
    addon.register()
    preferences = bpy.context.preferences
    yield from open_tab()
    for obj in bpy.data.objects[:]:
        bpy.data.objects.remove(obj)
    yield 0.5
    yield from shot("1-empty")
    scene_settings(bpy.context.scene).live = False

    hull = launch()
    with override():
        bpy.ops.view3d.view_all()
        bpy.ops.ed.undo_push(message="launch")
        bpy.ops.naval_checks.mark_hull()
    checks["surface looked over"] = session.entry_for(hull).ship is not None
    yield from shot("2-hull")

    with override():
        load(hull)
        bpy.ops.naval_checks.compute()
        bpy.ops.ed.undo_push(message="loaded")
    yield 1.5
    floating = session.entry_for(hull).position_findings
    checks["floats with a list"] = "list" in {finding.code for finding in floating}
    checks["not stale at rest"] = not stale()
    yield from shot("3-afloat")

    yield from scrubbed()
    yield from dropped()
    hull = bpy.data.objects["launch"]
    x, y = middle()
    move(x, y)
    press("G")
    yield 0.2
    for step in range(1, 6):
        move(x + 20 * step, y)
        yield 0.1
    yield from until("stale while dragged", stale)
    yield from shot("4-dragged")
    click((x + 100, y))
    yield 0.5
    press("Z", ctrl=True)
    yield from until("good again after undo", lambda: not stale())
    hull = bpy.data.objects["launch"]

    press("TAB")
    yield from until("edit mode entered", lambda: hull.mode == "EDIT")
    checks["edit mode changes nothing"] = not stale()
    press("TAB")
    yield 0.5

    yield from followed()
    hull = bpy.data.objects["launch"]
    bpy.context.view_layer.objects.active = bpy.data.objects["survey winch"]
    scene_settings(bpy.context.scene).water_display = "WATER_LEVEL"
    with override():
        bpy.ops.view3d.view_all()
    yield 1.0
    yield from shot("5-twin")
    scene_settings(bpy.context.scene).water_display = "SHIP_FIXED"

    ballast = settings(bpy.data.objects["ballast"])
    ballast.weight.mass += 60_000
    with override():
        bpy.ops.naval_checks.compute()
    checks["sinks when overladen"] = session.entry_for(hull).floating.state == "sunk"
    yield from shot("6-sunk")
    ballast.weight.mass -= 60_000
    with override():
        bpy.ops.naval_checks.compute()

    yield from lit_up()
    yield from shot("7-light")
    with override():
        spoil(hull)
        bpy.ops.naval_checks.compute()
        codes = [finding.code for finding in session.entry_for(hull).findings]
        bpy.ops.naval_checks.select_finding(index=codes.index("open-edge"), turn_view=True)
    checks["faults shown in edit mode"] = hull.mode == "EDIT" and not stale()
    yield from shot("8-faults")
    with override():
        bpy.ops.object.mode_set(mode="OBJECT")
    settings(bpy.data.objects["crew of four"]).weight.mass = 0
    settings(hull).form.use_baseline_z = True
    bpy.context.view_layer.objects.active = hull
    preferences.view.ui_scale = 2.0
    yield 1.0
    with override():
        try:
            bpy.ops.naval_checks.compute()
        except RuntimeError as error:
            checks["says what is wrong"] = "crew of four" in str(error)
    yield 1.0
    yield from shot("9-twice-the-size")
    _, _, sidebar = view()
    for _ in range(40):
        window().event_simulate(
            type="WHEELDOWNMOUSE", value="PRESS", x=sidebar.x + 200, y=sidebar.y + 300
        )
    yield from shot("10-scrolled")
    addon.unregister()
    yield 0.5
    addon.register()
    addon.unregister()
    yield 0.5
    checks["went out and left a window"] = bool(window())


def lit_up() -> Iterator[float]:
    """The light theme."""
    (light,) = (
        path
        for folder in bpy.utils.preset_paths("interface_theme")
        for path in Path(folder).glob("*ight.xml")
    )
    bpy.ops.script.execute_preset(
        filepath=str(light), menu_idname="USERPREF_MT_interface_theme_presets"
    )
    yield 1.0


def looked_at(distance: float) -> None:
    """The view from the starboard bow, without the sidebar."""
    area, _, _ = view()
    area.spaces.active.show_region_ui = False
    eye = area.spaces.active.region_3d
    eye.view_location, eye.view_distance = (7.0, 0.0, 0.6), distance
    eye.view_rotation = Vector((0.50, -0.72, 0.50)).to_track_quat("Z", "Y")


def at_cursor(x: float, y: float, z: float) -> None:
    bpy.context.scene.cursor.location = x, y, z


def build_workboat(leaky: bool) -> bpy.types.Object:
    """The example workboat afloat in its compartments, which have their names."""
    ship = load_example("leaky-workboat" if leaky else "workboat")
    hull = launch(ship, "workboat")
    bpy.ops.naval_checks.mark_hull()
    load(hull, ship)
    for boundary in ship.case_entry.boundaries:
        if isinstance(boundary.place, PolygonMesh):
            settings(put(boundary.place, boundary.name)).role = "BOUNDARY"
        else:
            at_cursor(boundary.place.at, 0.0, 1.0)
            bpy.ops.naval_checks.add_boundary(kind="TRANSVERSE")
            bpy.context.view_layer.objects.active.name = boundary.name
        select_only(hull)
    for compartment in ship.case_entry.compartments:
        at_cursor(*compartment.place)
        bpy.ops.naval_checks.add_compartment_mark(
            part_name=compartment.name, use=compartment.use.upper()
        )
        select_only(hull)
    bpy.ops.naval_checks.compute()
    bpy.ops.naval_checks.find_compartments()
    show_parts(False)
    return hull


def show_parts(shown: bool) -> None:
    """Boundaries and marks in sight or not; they count in either case."""
    for obj in bpy.data.objects:
        if settings(obj).role in {"BOUNDARY", "COMPARTMENT", "WEIGHT"}:
            obj.hide_set(not shown)


def boat() -> session.Entry:
    return entry("workboat")


def below(top: float) -> tuple[int, int]:
    """The place in the sidebar so far below its top, in pixels at a scale of 1, at a name."""
    _, _, sidebar = view()
    scale = bpy.context.preferences.system.ui_scale
    return sidebar.x + int(90 * scale), sidebar.y + sidebar.height - int(top * scale)


def clicked(at: Sequence[int]) -> Iterator[float]:
    """A click that the list or button under the mouse has had time to hear."""
    move(*at)
    yield 0.2
    click(at)
    yield 0.4


def listed() -> Iterator[float]:
    """Compartments chosen in the list with the mouse and framed, one holed and flooded."""
    _, _, sidebar = view()
    yield from clicked(below(COMPARTMENTS + HEADER))
    chosen: dict[str, tuple[int, int]] = {}
    for top in range(LIST, LIST + 130, 10):
        yield from clicked(below(top))
        compartment = boat().chosen_compartment
        if compartment:
            chosen.setdefault(compartment.name, below(top))
    names = {compartment.name for compartment in boat().plan.compartments}
    checks["a click chooses each compartment"] = set(chosen) == names
    x, y = chosen["engine room"]
    yield from clicked((x, y))
    picked = {obj.name for obj in bpy.context.selected_objects}
    boundaries = set(boat().chosen_compartment.boundaries) - {"workboat"}
    checks["what bounds it is selected"] = bool(boundaries) and boundaries <= picked
    yield from shot("1-compartment-clicked")
    eye = view()[0].spaces.active.region_3d
    before = eye.view_distance
    yield from clicked((sidebar.x + 90 + LENS, y))
    yield from until("the view turns to it", lambda: eye.view_distance < before - 0.5)
    yield from shot("1-compartment-framed")
    yield from clicked((x - BREACHED, y))
    yield from until("ticked in the list", lambda: boat().breached == {"engine room"})
    yield from clicked(below(COMPARTMENTS))
    yield from clicked(below(COMPARTMENTS + HEADER))
    for top in range(COMPARTMENTS + 2 * HEADER, COMPARTMENTS + 3 * HEADER, 10):
        if not boat().floodings:
            yield from clicked(below(top))
    yield from until("flooded by a click", lambda: bool(boat().floodings))
    yield from shot("2-flooding-panel")
    yield from stopped()
    yield from clicked(below(COMPARTMENTS + HEADER))
    yield from clicked(below(COMPARTMENTS))


COMPARTMENTS, HEADER, LIST, BREACHED, LENS = 232, 28, 318, 66, 138
"""Pixels at a scale of 1: the header of the panel of compartments and its list below the top of the
sidebar with the panels above and that of the boundaries shut, and buttons beside the name of a
compartment."""


def stopped() -> Iterator[float]:
    """Work that would never end is ended by Esc, and what was known stays."""
    before, heard = boat().floodings, []

    def endless(case, plan, pairs, on_progress):
        for step in range(10_000):
            time.sleep(0.01)
            heard.append(step)
            on_progress(step)

    known, damage.flood_each = damage.flood_each, endless
    with override():
        bpy.ops.naval_checks.flood_each("INVOKE_DEFAULT")
    yield from until("goes on in a thread", lambda: len(heard) > 20)
    yield from shot("2-stopping")
    tap("ESC", middle())
    yield from until(
        "ended by Esc", lambda: not any(isinstance(each, Worker) for each in threads())
    )
    checks["what was known stays"] = boat().floodings is before
    damage.flood_each = known


def divided() -> Iterator[float]:
    """Compartments of the workboat, a flooding, a flooding in time that is played, and a leak."""
    for panel in sidebar.PANELS:
        shown = panel.__name__.endswith("compartments")
        panel.bl_options = set() if shown else {"DEFAULT_CLOSED"}
    addon.register()
    yield from open_tab()
    chosen = scene_settings(bpy.context.scene)
    chosen.live = False
    with override():
        hull = build_workboat(leaky=False)
    compartments = boat().plan.compartments
    checks["six compartments, all watertight"] = len(compartments) == 6 and all(
        compartment.watertight for compartment in compartments
    )
    checks["compartments have names"] = {"engine room", "hold"} <= {
        compartment.name for compartment in compartments
    }
    known_compartments.choose_compartment(hull.session_uid, "hold")
    yield from shot("1-compartments-panel")
    show_parts(True)
    yield from listed()
    show_parts(False)
    looked_at(16.0)
    yield from shot("1-compartments")

    known_compartments.set_breached(hull.session_uid, frozenset({"engine room"}))
    with override():
        bpy.ops.naval_checks.flood()
    checks["one flooding drawn"] = boat().shown_flooding is not None
    yield from shot("2-flooded")
    chosen.water_display, chosen.copy_distance = "WATER_LEVEL", 0.0
    hull.hide_set(True)
    yield from shot("2-flooded-twin")
    session.show_flooding(boat(), None)
    yield from played(hull)

    chosen.water_display = "SHIP_FIXED"
    with override():
        hull = build_workboat(leaky=True)
    known_compartments.choose_compartment(hull.session_uid, "steering gear")
    leaks = {leak.compartment: leak.path for leak in boat().plan.leaks}
    checks["leaks through the hatch and two bulkheads"] = len(leaks["steering gear"]) == 3
    yield from shot("4-leak")
    yield from lit_up()
    yield from shot("4-leak-light")
    bpy.context.preferences.view.ui_scale = 2.0
    looked_at(11.0)
    yield from shot("4-leak-twice-the-size")
    show_parts(True)
    with override():
        index = [leak.compartment for leak in boat().plan.leaks].index("steering gear")
        bpy.ops.naval_checks.show_leak(index=index)
    checks["edges of the leak selected"] = bpy.context.mode == "EDIT_MESH"
    yield from shot("5-leak-shown")
    addon.unregister()


def played(hull: bpy.types.Object) -> Iterator[float]:
    """A hole, how long it has, and frames of that on the timeline; the chart goes to a time."""
    scene = bpy.context.scene
    with override():
        at_cursor(4.0, -1.75, 0.7)
        bpy.ops.naval_checks.add_breach(part_name="grounding", area=0.02)
        bpy.ops.naval_checks.time_to_flood()
        select_only(hull)
        bpy.ops.naval_checks.play_flooding()
    run = boat().flooding_history
    checks["a marker for every event"] = len(scene.timeline_markers) == len(run.events)
    for share, name in ((0.2, "3-run"), (0.7, "3-run-later")):
        scene.frame_set(int(share * scene.frame_end))
        yield from shot(name)
    frame = scene.frame_current
    for step in (1, 2):
        tap("RIGHT_ARROW", middle())
        yield from until(f"{step} frames on", lambda: scene.frame_current == frame + step)  # noqa: B023
    yield from shot("3-run-two-frames-on")
    _, region, _ = view()
    chart = chart_in(region)
    checks["the chart is that of the time"] = chart.shows == "time"
    times = [share * float(run.times[-1]) for share in (0.2, 0.4)]
    yield from dragged(*(chart.axes.at(time, 0.1) + (region.x, region.y) for time in times))
    there = pace_of(scene).frame(times[-1])
    yield from until("at the time under the mouse", lambda: abs(scene.frame_current - there) < 4)
    with override():
        bpy.ops.naval_checks.stop_flooding()
    checks["off the timeline"] = not scene.timeline_markers
    with override():
        bpy.ops.naval_checks.bake_flooding()
        bpy.ops.view3d.view_all()
    scene.frame_set(scene.frame_end)
    yield from shot("3-baked")
    water = bpy.data.objects["Water in engine room"]
    left = water.evaluated_get(bpy.context.evaluated_depsgraph_get()).data
    checks["water is cut at its level"] = len(left.vertices) not in (0, len(water.data.vertices))
    checks["still what was flooded"] = not boat().damage_stale
    with override():
        bpy.ops.naval_checks.remove_baked()
    checks["no more baked"] = "Flooding of workboat" not in bpy.data.collections
    yield 0.3


def measured() -> Iterator[float]:
    """The floodable length of the workboat: a place looked at with the mouse on its chart, a
    bulkhead dragged until a compartment is too long, and that compartment shown."""
    for panel in sidebar.PANELS:
        shown = panel.__name__.endswith("compartments")
        panel.bl_options = set() if shown else {"DEFAULT_CLOSED"}
    addon.register()
    yield from open_tab()
    chosen = scene_settings(bpy.context.scene)
    with override():
        hull = build_workboat(leaky=False)
        bpy.ops.naval_checks.find_floodable_length()
    show_parts(True)
    looked_at(16.0)
    _, region, _ = view()
    yield 0.5
    chart = chart_in(region)
    checks["the chart is that of floodable length"] = chart.shows == "place"
    yield from shot("1-floodable")
    places = [chart.axes.at(x, 1.0) + (region.x, region.y) for x in (4.0, 7.5)]
    yield from dragged(*places)
    yield from until(
        "at the place under the mouse", lambda: abs(chosen.inspected_place - 7.5) < 0.1
    )
    yield from shot("2-looked-at")
    bulkhead = bpy.data.objects["hold bulkhead"]
    with override():
        select_only(bulkhead)
        bpy.ops.ed.undo_push(message="bulkhead")
    x, y = middle()
    move(x, y)
    press("G")
    press("X")
    press("X")
    for step in range(1, 14):
        move(x + 14 * step, y)
        yield 0.15
        if boat().damage.subdivision.too_long:
            break
    checks["too long while dragged"] = bool(boat().damage.subdivision.too_long)
    yield from shot("3-dragged")
    click((x + 14 * step, y))
    yield 0.5
    checks["the curve stays good"] = not boat().advice_stale
    main_compartments = boat().damage.subdivision.main_compartments
    index = next(at for at, each in enumerate(main_compartments) if not each.survives)
    area, _, _ = view()
    area.spaces.active.show_region_ui = True
    with override():
        bpy.ops.naval_checks.show_main_compartment(index=index)
    picked = {obj.name for obj in bpy.context.selected_objects}
    checks["the bulkheads at its ends are selected"] = picked == {
        *main_compartments[index].boundaries
    }
    yield from shot("4-compartment")
    select_only(hull)
    bpy.context.scene.unit_settings.system = "IMPERIAL"
    yield from lit_up()
    yield from shot("5-light-in-feet")
    bpy.context.preferences.view.ui_scale = 2.0
    looked_at(11.0)
    yield from shot("6-twice-the-size")
    addon.unregister()


def block(name: str, low: Sequence[float], high: Sequence[float]) -> bpy.types.Object:
    """A box between two corners, selected."""
    corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)])
    faces = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
    obj = put(PolygonMesh(name, np.array(low) + corners * np.subtract(high, low), faces), name)
    select_only(obj)
    return obj


def outfit(hull: bpy.types.Object) -> None:
    """Put one part of each kind on the workboat, with a list, conditions, and a criterion."""
    fuel = block("wing fuel tank", (2.2, 1.1, 0.8), (3.8, 1.7, 1.6))
    bpy.ops.naval_checks.mark_tanks(content="DIESEL", fill=60)
    settings(fuel).both_sides, settings(fuel).group = True, "consumables"
    block("wheelhouse plating", (9.6, -1.2, 2.75), (11.4, 1.2, 4.6))
    bpy.ops.naval_checks.mark_weights()
    settings(bpy.context.object).weight.basis = "SKIN"
    settings(bpy.context.object).weight.areal_density = 12.0
    block("wheelhouse above deck", (9.6, -1.2, 2.75), (11.4, 1.2, 4.6))
    bpy.ops.naval_checks.mark_windage()
    select_only(hull)
    for name, place in (
        ("engine room vent", (4.4, 1.5, 3.1)),
        ("companionway door", (9.5, 0, 2.75)),
    ):
        at_cursor(*place)
        bpy.ops.naval_checks.add_opening(part_name=name)
        settings(bpy.context.object).opening.area = 0.12
        select_only(hull)
    sheet = block("hatch", (2.0, -0.3, 2.7), (2.6, 0.3, 2.7))
    bpy.ops.naval_checks.mark_openings()
    settings(sheet).opening.protection = "WEATHERTIGHT"
    select_only(hull)
    at_cursor(9.4, 0.6, 0.9)
    bpy.ops.naval_checks.add_door(part_name="hold door")
    select_only(hull)
    at_cursor(4.0, -1.75, 0.7)
    bpy.ops.naval_checks.add_breach(part_name="grounding", area=0.02)
    select_only(hull)
    bpy.data.objects["cargo"].location.y += 0.25
    chosen = settings(hull)
    chosen.service.kind, chosen.service.passengers = "PASSENGER", 12
    bpy.ops.naval_checks.edit_list(which="CRITERIA", action="ADD")
    for name in ("lightship", "engine room flooded"):
        bpy.ops.naval_checks.edit_list(which="CONDITIONS", action="ADD")
        chosen.conditions[-1].name = name
    chosen.loading = "CONDITION"
    bpy.ops.naval_checks.toggle_loaded(object_name="engine room")
    bpy.ops.naval_checks.toggle_loaded(object_name="wing fuel tank", custom_fill=True)
    chosen.active_condition = 0
    bpy.ops.naval_checks.toggle_group_loaded(group="cargo")
    bpy.ops.naval_checks.compare()
    chosen.loading = "AS_MODELED"


ACTIVE = {
    "hull": "workboat",
    "weights": "engine and gearbox",
    "tanks": "wing fuel tank",
    "openings": "hatch",
    "compartments": "hold door",
    "flooding": "grounding",
}
"""The active object by the panel that shows its settings; elsewhere the hull."""


def toured() -> Iterator[float]:
    """Every panel by itself, with something in it and all its parts unfolded, in meters and in
    feet; then menus."""
    shown: list[type] = [*sidebar.PANELS]
    section = layout.section

    def unfolded(parent: Any, key: str, title: str, closed: bool = False) -> Any:
        return section(parent, key, title)

    for module in [each for name, each in sys.modules.items() if ".blender.panels." in name]:
        if hasattr(module, "section"):
            module.section = unfolded
    for panel in sidebar.PANELS:
        panel.bl_options = set()
        panel.poll = classmethod(lambda cls, context: cls in shown)
    addon.register()
    yield from open_tab()
    scene, (_, _, region) = bpy.context.scene, view()
    scene_settings(scene).live = False

    def tour(prefix: str, active: Callable[[str], str]) -> Iterator[float]:
        for number, panel in enumerate(sidebar.PANELS):
            key = panel.__name__.partition("_PT_")[2]
            shown[:] = [panel]
            if parent := getattr(panel, "bl_parent_id", None):
                shown.append(next(each for each in sidebar.PANELS if each.__name__ == parent))
            select_only(bpy.data.objects[active(key)])
            chosen.loading = "CONDITION" if key == "conditions" else "AS_MODELED"
            yield from shot(f"{prefix}-{number:02}-{key}", of=region)

    with override():
        hull = build_workboat(leaky=False)
        outfit(hull)
        bpy.ops.naval_checks.compute()
        bpy.ops.naval_checks.check_symmetry()
        bpy.ops.naval_checks.find_compartments()
        known_compartments.choose_compartment(hull.session_uid, "hold")
        bpy.ops.naval_checks.suggest_bulkheads(count=3)
        bpy.ops.naval_checks.find_floodable_length()
        bpy.ops.naval_checks.flood_each(pairs=True)
        select_only(bpy.data.objects["grounding"])
        bpy.ops.naval_checks.time_to_flood()
        outcomes = [verdict.outcome for verdict in boat().assessment.verdicts]
        bpy.ops.naval_checks.explain(index=outcomes.index("passes"))
        chosen = settings(hull)
    for system in ("METRIC", "IMPERIAL"):
        scene.unit_settings.system = system
        yield from tour(system.lower(), lambda key: ACTIVE.get(key, "workboat"))
    checks["floats with a list"] = "list" in {f.code for f in boat().position_findings}
    scene.unit_settings.system = "METRIC"
    for kind in ("MT_object", "MT_add", "MT_add_typical_weight"):
        move(*middle())
        yield 0.3
        with override():
            bpy.ops.wm.call_menu(name=f"NAVAL_CHECKS_{kind}")
        yield from shot(f"menu-{kind[3:]}")
        tap("ESC", middle())
        yield 0.5
    addon.unregister()


def finish(error: str) -> None:
    result = {"blender": bpy.app.version_string, "checks": checks, "error": error}
    (FOLDER / "result.json").write_text(json.dumps(result), encoding="utf-8")
    bpy.ops.wm.quit_blender()


def go() -> float | None:
    try:
        return next(user)
    except StopIteration:
        finish("")
    except Exception:
        finish(traceback.format_exc())
    return None


bpy.context.preferences.view.show_splash = False
user = {"ship": steps, "compartments": divided, "lengths": measured, "panels": toured}[STORY]()
bpy.app.timers.register(go, first_interval=1.0, persistent=True)

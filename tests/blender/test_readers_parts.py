"""Tanks, openings, windage, service and criteria of the scene reach the core as they are set."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import radians
from pathlib import Path

import bpy
import numpy as np
import pytest
import scene_ships as ships

from addon.blender.controller import session, shown_state
from addon.blender.identifiers import Ops
from addon.blender.properties.names import Role
from addon.blender.properties.object_settings import ObjectSettings
from addon.blender.properties.part_fields import chosen_name
from addon.blender.properties.scene_units import unit_scale
from addon.blender.properties.settings import scene_settings, settings
from addon.blender.readers.cases import read_case
from addon.core.buoyancy.moment_tree import build_tree
from addon.core.criteria.assessment import assess
from addon.core.criteria.codes import CODES
from addon.core.hydrostatics.floating_position import find_floating_position
from addon.core.messages.findings import BadInputError
from addon.core.messages.subjects import Subject
from addon.core.model.case import Case
from addon.core.model.loaded_case import in_condition
from addon.core.model.openings import Opening
from addon.core.model.service import Service
from addon.core.model.tanks import Tank
from addon.core.model.weights import Weight
from addon.parts.case_file import read_case as read_file
from addon.parts.declarations import CRITERIA, SERVICE
from tests.language import reads, refused

pytestmark = pytest.mark.slow

CALL = bpy.ops.naval_checks
CODE = CRITERIA.field("codes")
SERVICE_NAMES = {field.core: field.name for field in SERVICE.fields}
"""Properties of service by what the core calls them."""
CORNER = np.array([0.0, 1.0, 0.0])
"""Where ship axes start in the scene: the middle of the after end of the box."""


@pytest.fixture
def hull() -> bpy.types.Object:
    return ships.outfitted()


def reading(hull: bpy.types.Object) -> Case:
    return read_case(bpy.context.evaluated_depsgraph_get(), hull).case


def refusal(operator: str, **words: object) -> str:
    with pytest.raises(RuntimeError) as caught:
        getattr(CALL, operator)(**words)
    return str(caught.value)


def box(low: tuple[float, ...], high: tuple[float, ...]) -> tuple[np.ndarray, np.ndarray]:
    corners = np.add(low, np.array(ships.BOX) * (np.subtract(high, low) / ships.BOX[6])) - CORNER
    faces = [[f[0], f[i], f[i + 1]] for f in ships.FACES for i in (1, 2)]
    return corners, np.array(faces)


def by_hand(hull: bpy.types.Object) -> Case:
    """The outfitted box put together by the core alone."""
    return Case(
        "box",
        reading(hull).hull,
        (
            Weight("boxes", 600, np.array([3, 1, 0.8]) - CORNER, "cargo"),
            Weight("ship", 3000, np.array([3, 1, 0.4]) - CORNER),
        ),
        tanks=(Tank("fuel", build_tree(*box((1, 0.2, 0.1), (3, 1.8, 0.5))), 850, 0.5),),
        openings=(
            Opening("hatch", np.array([2, 1, 1.1]) - CORNER, True),
            Opening("vent", np.array([3, 1.8, 1.2]) - CORNER),
        ),
        windage=np.take(*box((2, 0.4, 1), (4, 1.6, 2)), axis=0),
    )


def test_figures_agree_with_the_core_alone(hull: bpy.types.Object) -> None:
    here, there = ships.floated(hull).assessment, assess(by_hand(hull))
    assert here.stability.GM == pytest.approx(there.stability.GM, rel=1e-5)
    assert here.stability.port.downflooding_angle == pytest.approx(
        there.stability.port.downflooding_angle, rel=1e-5
    )
    profile, other = here.inputs.profile, there.inputs.profile
    assert profile.area_above == pytest.approx(other.area_above, rel=1e-5)
    assert [v.outcome for v in here.verdicts] == [v.outcome for v in there.verdicts]
    heels = np.radians([-70.0, -20.0, 10.0, 45.0])
    arms = here.stability.curve.gz_curve.arm(heels)
    assert arms == pytest.approx(there.stability.curve.gz_curve.arm(heels), abs=1e-5)


def test_each_part_as_it_is_set(hull: bpy.types.Object) -> None:
    case = reading(hull)
    (tank,) = case.tanks
    assert (tank.name, tank.density, tank.fill, tank.group) == ("fuel", 850, 0.5, "fuel")
    assert tank.mass == pytest.approx(850 * 0.5 * 2 * 1.6 * 0.4, rel=1e-6)
    hatch, vent = case.openings
    assert hatch.weathertight and not vent.weathertight
    assert vent.point == pytest.approx(np.array([3, 1.8, 1.2]) - CORNER)
    assert len(case.windage) == 12
    assert case.windage.reshape(-1, 3).max(axis=0) == pytest.approx([4, 0.6, 2])
    assert case.codes is None and case.service == Service() and case.custom_criteria == ()


def test_parts_follow_the_hull(hull: bpy.types.Object) -> None:
    before = reading(hull)
    for obj in bpy.context.scene.objects:
        if obj != hull:
            obj.parent = hull
    hull.location, hull.rotation_euler = (7, -3, 2), (0.2, 0.1, 2.0)
    bpy.context.view_layer.update()
    after = reading(hull)
    assert after.windage == pytest.approx(before.windage, abs=1e-5)
    assert after.openings[1].point == pytest.approx(before.openings[1].point, abs=1e-5)
    assert after.tanks[0].mass == pytest.approx(before.tanks[0].mass, rel=1e-5)


def test_a_linked_duplicate_is_a_tank_of_its_own(hull: bpy.types.Object) -> None:
    fuel = bpy.data.objects["fuel"]
    twin = fuel.copy()
    twin.location.x, twin.scale.y = 2, -1
    twin.location.y = 2
    bpy.context.scene.collection.objects.link(twin)
    bpy.context.view_layer.update()
    settings(twin).tank.fill = 100
    assert twin.data == fuel.data
    first, second = reading(hull).tanks
    assert (first.fill, second.fill) == (0.5, 1.0)
    assert second.mass == pytest.approx(2 * first.mass, rel=1e-5)
    assert second.body.low[0] == pytest.approx(first.body.low[0] + 2, abs=1e-5)


def test_tanks_that_overlap_are_reported_while_all_else_moves_too(
    hull: bpy.types.Object, monkeypatch: pytest.MonkeyPatch
) -> None:
    ships.block("water", (2.5, 0.2, 0.1), (4, 1.8, 0.5), Role.TANK)
    bpy.context.view_layer.update()
    entry = ships.floated(hull)
    (reported,) = (
        finding for finding in entry.position_findings if finding.code == "tanks-overlap"
    )
    assert reported.subjects == (Subject("tank", "fuel"), Subject("tank", "water"))
    assert reads(reported.text, "tanks 'fuel' and 'water' share 0.32 m3")
    known = entry.floating
    assert known
    monkeypatch.setattr("addon.core.model.case.shared_volumes", None)
    assert find_floating_position(replace(known.case), known, seek_others=False).overlaps == (
        reported,
    )


def test_what_cannot_be_a_tank_is_said_in_one_line(hull: bpy.types.Object) -> None:
    fuel = bpy.data.objects["fuel"]
    fuel.data.clear_geometry()
    fuel.data.from_pydata(ships.BOX, [], ships.FACES[1:])
    assert reads(refusal("compute"), "tank 'fuel': the mesh is open")
    settings(fuel).role = Role.NONE
    bpy.data.objects["vent"].location = (3, 1, 0.5)
    bpy.context.view_layer.update()
    assert reads(refusal("compute"), "opening 'vent'")
    assert session.entry_for(hull).message.subjects == (Subject("opening", "vent"),)
    assert session.entry_for(hull).message.count("\n") == 0
    bpy.data.objects["house"].data.clear_geometry()
    assert reads(refusal("compute"), "windage 'house': the mesh has no faces")


def test_service_in_scene_units(hull: bpy.types.Object) -> None:
    bpy.context.scene.unit_settings.scale_length = 0.5
    facts = settings(hull).service
    facts.kind, facts.waters, facts.propulsion = "PASSENGER", "PARTIALLY_PROTECTED", "OUTBOARD"
    facts.passengers, facts.passenger_deck_z, facts.bilge_keel_area = 12, 4.0, 8.0
    facts.speed, facts.side_load, facts.bilge = 10.0, 90.0, "SHARP"
    reported = reading(hull).service
    assert reported == Service(
        kind="passenger",
        waters="partially protected",
        propulsion="outboard",
        passengers=12,
        passenger_deck_z=2.0,
        bilge_keel_area=2.0,
        speed=5.0,
        side_load=90.0,
        bilge="sharp",
    )
    assert unit_scale(bpy.context.scene) == 0.5


def test_every_fact_of_service_can_be_given(hull: bpy.types.Object) -> None:
    facts = settings(hull).service
    for name, value in vars(Service()).items():
        if isinstance(value, str):
            continue
        if name == "propulsion":
            facts.propulsion = "SAIL"
        else:
            setattr(facts, SERVICE_NAMES.get(name, name), 7)
        assert getattr(
            Service(**SERVICE.core_values(SERVICE.entry(**facts.values(1.0)))), name
        ) in (
            7,
            "sail",
        ), name


def test_codes_that_are_chosen(hull: bpy.types.Object) -> None:
    chosen = settings(hull)
    chosen.criteria.use_codes = True
    assert reading(hull).codes == ()
    assert ships.floated(hull).assessment.verdicts == ()
    setattr(chosen.criteria, chosen_name(CODE, CODE.choices[0]), True)
    assert reading(hull).codes == (CODES[0].key,)
    verdicts = ships.floated(hull).assessment.verdicts
    assert {verdict.code for verdict in verdicts} == {CODES[0].title}
    assert all(verdict.outcome != "not applicable" for verdict in verdicts)


def test_own_criteria(hull: bpy.types.Object) -> None:
    CALL.edit_list(which="CRITERIA", action="ADD")
    (rule,) = settings(hull).custom_criteria
    rule.name, rule.measure, rule.end = "area to 40", "AREA", radians(40)
    rule.at_least_length_radians = 0.02
    CALL.edit_list(which="CRITERIA", action="COPY")
    vanishing_angle = settings(hull).custom_criteria[1]
    assert (
        vanishing_angle.name != rule.name
        and vanishing_angle.at_least_length_radians == rule.at_least_length_radians
    )
    vanishing_angle.name, vanishing_angle.measure, vanishing_angle.at_least_angle = (
        "range",
        "RANGE",
        radians(170),
    )
    bpy.context.scene.unit_settings.scale_length = 2.0
    CALL.edit_list(which="CRITERIA", action="COPY")
    height = settings(hull).custom_criteria[2]
    height.name, height.measure, height.at_least_length = "GM", "GM", 0.25
    area, reach, meters = reading(hull).custom_criteria
    assert (area.measure, area.start, area.end) == ("area", 0.0, pytest.approx(radians(40)))
    assert area.least == pytest.approx(0.02)
    assert (reach.least, reach.start) == (pytest.approx(radians(170)), None)
    assert meters.least == pytest.approx(0.5)
    bpy.context.scene.unit_settings.scale_length = 1.0
    outcomes = {v.clause: v.outcome for v in ships.floated(hull).assessment.verdicts}
    assert outcomes["range"] == "fails" and outcomes["area to 40"] == "passes"
    CALL.edit_list(which="CRITERIA", action="REMOVE")
    assert session.entry_for(hull).stale
    vanishing_angle.use_at_least = False
    assert reads(refusal("compute"), "sets no limit")


class TestMarking:
    def test_marks_by_kind(self) -> None:
        hull = ships.hull()
        crate, point = ships.block("crate", (0, 0, 0), (1, 1, 1)), ships.opening("pipe", (1, 1, 1))
        settings(point).role = Role.NONE
        for obj in (hull, crate, point):
            obj.select_set(True)
        CALL.mark_tanks(content="DIESEL", fill=80)
        CALL.mark_openings(protection="WEATHERTIGHT")
        assert settings(hull).role == Role.HULL
        chosen = settings(crate)
        assert (chosen.role, chosen.hull, chosen.tank.density) == (Role.TANK, hull, 850)
        assert chosen.tank.fill == pytest.approx(80)
        assert (settings(point).role, settings(point).opening.protection) == (
            Role.OPENING,
            "WEATHERTIGHT",
        )
        settings(crate).role = Role.NONE
        CALL.mark_windage()
        assert settings(crate).role == Role.WINDAGE
        CALL.unmark()
        assert {settings(obj).role for obj in (hull, crate, point)} == {Role.NONE}

    @pytest.mark.parametrize(
        ("operator", "words"),
        (
            ("mark_tanks", "Select closed meshes"),
            ("mark_windage", "Select meshes"),
            ("mark_openings", "Select empties or flat meshes first"),
        ),
    )
    def test_wants_a_selection(self, operator: str, words: str) -> None:
        ships.activate(ships.hull())
        assert words in refusal(operator)

    def test_adds_an_opening_at_the_cursor(self) -> None:
        hull = ships.hull()
        hull.location.x = 4
        bpy.context.view_layer.update()
        bpy.context.scene.cursor.location = (6, 1, 1.5)
        CALL.add_opening(part_name="vent")
        bpy.context.view_layer.update()
        vent = bpy.data.objects["vent"]
        assert settings(vent).hull == vent.parent == hull
        assert vent.matrix_world.translation[:] == pytest.approx((6, 1, 1.5))
        ships.activate(hull)
        bpy.ops.object.mode_set(mode="EDIT")
        assert "needs Object Mode" in refusal("add_opening")

    def test_can_be_undone(self) -> None:
        ships.hull()
        ships.activate(ships.block("crate", (0, 0, 0), (1, 1, 1)))
        bpy.ops.ed.undo_push(message="before")
        CALL.mark_tanks("EXEC_DEFAULT", True)
        bpy.ops.ed.undo()
        assert settings(bpy.data.objects["crate"]).role == Role.NONE

    def test_parts_of_no_hull_are_named(self) -> None:
        for name in ("first", "second"):
            ships.hull(name)
        ships.block("fuel", (0, 0, 0), (1, 1, 1), Role.TANK)
        ships.opening("vent", (0, 0, 2))
        found = read_case(bpy.context.evaluated_depsgraph_get(), bpy.data.objects["first"]).findings
        assert [finding.code for finding in found] == ["stray-tank", "stray-opening"]
        about = [subject for finding in found for subject in finding.subjects]
        assert about == [Subject("tank", "fuel"), Subject("opening", "vent")]


def test_preset_and_density_agree(hull: bpy.types.Object) -> None:
    chosen = settings(bpy.data.objects["fuel"])
    chosen.tank.density = 1025
    assert chosen.tank.content == "SEA"
    chosen.tank.density = 930
    assert chosen.tank.content == "OTHER"
    chosen.tank.content = "FRESH"
    assert chosen.tank.density == 1000


@pytest.mark.parametrize("half", (False, True))
def test_export_reads_back_as_the_same_ship(
    hull: bpy.types.Object, tmp_path: Path, half: bool
) -> None:
    for obj in bpy.context.scene.objects:
        if obj != hull:
            obj.parent = hull
            obj.location.y -= half
    hull.rotation_euler, hull.location = (0.1, 0.3, -0.8), (5, 6, 7)
    chosen = settings(hull)
    chosen.form.mirror, chosen.service.kind, chosen.service.passengers = half, "PASSENGER", 10
    ships.mark(hull, aft_perpendicular_x=0.5, forward_perpendicular_x=5.5, baseline_z=-0.1)
    CALL.edit_list(which="CRITERIA", action="ADD")
    CALL.edit_list(which="CONDITIONS", action="ADD")
    arrival = chosen.conditions[0]
    arrival.name, arrival.mass_margin = "arrival", 5
    CALL.toggle_loaded(object_name="boxes")
    CALL.toggle_loaded(object_name="fuel", custom_fill=True)
    arrival.item_settings(bpy.data.objects["fuel"]).fill = 10
    bpy.context.view_layer.update()
    here = reading(hull)
    assert CALL.export_case(directory=str(tmp_path)) == {"FINISHED"}
    there = read_file(tmp_path / "case.toml")
    assert there.conditions == here.conditions
    assert (there.service, there.codes, there.custom_criteria) == (
        here.service,
        here.codes,
        here.custom_criteria,
    )
    assert there.windage == pytest.approx(here.windage, abs=1e-9)
    (condition,) = here.conditions
    ours, theirs = (assess(in_condition(case, condition)).stability for case in (here, there))
    assert ours.case.load.mass == pytest.approx(1.05 * 3000 + 850 * 0.1 * 1.28, rel=1e-6)
    assert theirs.GM == pytest.approx(ours.GM, rel=1e-9)
    assert theirs.starboard.downflooding_angle == pytest.approx(
        ours.starboard.downflooding_angle, rel=1e-9
    )


def test_a_bad_case_raises_no_traceback(hull: bpy.types.Object) -> None:
    settings(bpy.data.objects["ship"]).weight.mass = 0
    with pytest.raises(BadInputError):
        reading(hull)
    assert Ops.COMPUTE and reads(refusal("compute"), "the mass is 0 kg")


@pytest.mark.parametrize("by_collection", (True, False))
def test_a_disabled_part_does_not_count_though_a_setting_points_to_it(
    hull: bpy.types.Object, by_collection: bool
) -> None:
    CALL.edit_list(which="CONDITIONS", action="ADD")
    CALL.toggle_loaded(object_name="fuel")
    fuel = bpy.data.objects["fuel"]
    fuel.hide_set(True)
    bpy.context.view_layer.update()
    assert len(reading(hull).tanks) == 1
    if by_collection:
        hold = bpy.data.collections.new("hold")
        bpy.context.scene.collection.children.link(hold)
        bpy.context.scene.collection.objects.unlink(fuel)
        hold.objects.link(fuel)
        hold.hide_viewport = True
    else:
        fuel.hide_viewport = True
    bpy.context.view_layer.update()
    assert reading(hull).tanks == ()
    fuel.hide_viewport, hull.hide_viewport = False, True
    settings(bpy.data.objects["ship"]).hull = hull
    bpy.context.view_layer.update()
    with refused("disabled in viewports"):
        reading(hull)


def test_liquid_runs_to_the_low_side_of_the_ship_that_is_looked_at(
    hull: bpy.types.Object,
) -> None:
    entry, chosen = ships.floated(hull), scene_settings(bpy.context.scene)
    chosen.use_held_heel, chosen.held_heel = True, radians(15)
    shown = shown_state.shown(entry, chosen)
    across = shown.weight.center[1] - entry.floating.weight.center[1]
    assert across < -0.01
    fuel = shown.case.tanks[0].liquid(shown.equilibrium.attitude.up)
    assert across == pytest.approx(fuel.mass * fuel.center[1] / shown.weight.mass, abs=1e-3)


def move(name: str) -> None:
    bpy.data.objects[name].location.z += 0.1


def edit(name: str) -> None:
    mesh = bpy.data.objects[name].data
    mesh.vertices[0].co.z -= 0.01
    mesh.update_tag()


def of(name: str) -> ObjectSettings:
    return settings(bpy.data.objects[name])


CHANGES: dict[str, Callable[[], object]] = {
    "opening moved": lambda: move("vent"),
    "opening shut": lambda: setattr(of("vent").opening, "protection", "WEATHERTIGHT"),
    "tank moved": lambda: move("fuel"),
    "tank edited": lambda: edit("fuel"),
    "tank filled": lambda: setattr(of("fuel").tank, "fill", 60),
    "content": lambda: setattr(of("fuel").tank, "content", "SEA"),
    "permeability": lambda: setattr(of("fuel").tank, "permeability", 0.9),
    "windage edited": lambda: edit("house"),
    "windage unmarked": lambda: setattr(of("house"), "role", Role.NONE),
    "service": lambda: setattr(of("box").service, "passengers", 4),
    "codes": lambda: setattr(of("box").criteria, "use_codes", True),
    "rule added": lambda: CALL.edit_list(which="CRITERIA", action="ADD"),
    "rule changed": lambda: setattr(of("box").custom_criteria[0], "at_least_length", 0.3),
}


def test_a_change_makes_the_figures_stale_and_undo_good_again(hull: bpy.types.Object) -> None:
    CALL.edit_list(which="CRITERIA", action="ADD")
    ships.floated(hull)
    bpy.ops.ed.undo_push(message="before")
    for name, change in CHANGES.items():
        bpy.context.view_layer.update()
        assert not session.entry_for(bpy.data.objects["box"]).stale, name
        change()
        bpy.context.view_layer.update()
        assert session.entry_for(bpy.data.objects["box"]).stale, name
        bpy.ops.ed.undo_push(message="after")
        bpy.ops.ed.undo()
        assert not session.entry_for(bpy.data.objects["box"]).stale, name
        bpy.ops.ed.redo()
        assert session.entry_for(bpy.data.objects["box"]).stale, name
        bpy.ops.ed.undo()

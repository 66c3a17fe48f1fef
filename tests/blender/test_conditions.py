"""Loading conditions: how they are kept, chosen, compared, and what does not break them."""

from __future__ import annotations

from pathlib import Path

import bpy
import pytest
import scene_ships as ships

from addon.blender.controller import session
from addon.blender.properties.names import Loading, Role
from addon.blender.properties.object_settings import ObjectSettings
from addon.blender.properties.settings import scene_settings, settings
from addon.blender.readers.cases import read_case
from addon.core.criteria.assessment import assess
from addon.core.messages.subjects import Subject
from addon.core.model.conditions import Condition
from addon.core.model.loaded_case import in_condition
from tests.language import reads

pytestmark = pytest.mark.slow

CALL = bpy.ops.naval_checks
LIST = {"which": "CONDITIONS"}


@pytest.fixture
def hull() -> bpy.types.Object:
    """The outfitted box with the conditions 'departure' and 'arrival', the second chosen."""
    obj = ships.outfitted()
    for name in ("departure", "arrival"):
        CALL.edit_list(action="ADD", **LIST)
        settings(obj).conditions[-1].name = name
    CALL.toggle_loaded(object_name="boxes")
    CALL.toggle_loaded(object_name="fuel", custom_fill=True)
    settings(obj).condition.item_settings(named("fuel")).fill = 10
    return obj


def named(name: str) -> bpy.types.Object:
    return bpy.data.objects[name]


def reading(hull: bpy.types.Object) -> dict[str, Condition]:
    conditions = read_case(bpy.context.evaluated_depsgraph_get(), hull).case.conditions
    return {condition.name: condition for condition in conditions}


def names(hull: bpy.types.Object) -> list[str]:
    return [condition.name for condition in settings(hull).conditions]


def refusal(operator: str, **words: object) -> str:
    with pytest.raises(RuntimeError) as caught:
        getattr(CALL, operator)(**words)
    return str(caught.value)


def test_reach_the_core_as_they_are_set(hull: bpy.types.Object) -> None:
    condition = settings(hull).condition
    condition.mass_margin, condition.kg_margin = 5, 0.2
    bpy.context.scene.unit_settings.scale_length = 0.5
    CALL.toggle_group_loaded(group="fuel")
    there = reading(hull)
    assert there["departure"] == Condition("departure")
    arrival = there["arrival"]
    assert arrival.fills == {"fuel": pytest.approx(0.1)}
    assert (arrival.without, arrival.without_groups) == (("boxes",), ("fuel",))
    assert (arrival.mass_margin, arrival.kg_margin) == pytest.approx((0.05, 0.1))
    CALL.toggle_group_loaded(group="fuel")
    CALL.toggle_loaded(object_name="boxes")
    CALL.toggle_loaded(object_name="fuel", custom_fill=True)
    arrival = reading(hull)["arrival"]
    assert (arrival.fills, arrival.without, arrival.without_groups) == ({}, (), ())


def test_the_chosen_one_is_computed(hull: bpy.types.Object) -> None:
    entry = ships.floated(hull)
    case = read_case(bpy.context.evaluated_depsgraph_get(), hull).case
    there = assess(in_condition(case, reading(hull)["arrival"]))
    assert entry.loading == "arrival" and entry.floating.case.title == "box, arrival"
    assert entry.assessment.stability.GM == there.stability.GM
    assert entry.floating.weight.mass == pytest.approx(3000 + 850 * 1.28 * 0.1, rel=1e-6)
    assert session.entry_for(hull) is entry
    assert session.entries() == (entry,)


def test_choosing_another_computes_the_vessel_in_it(hull: bpy.types.Object) -> None:
    chosen = settings(hull)
    assert session.entry_for(hull) is None
    chosen.active_condition = 0
    assert session.entry_for(hull) is None
    ships.floated(hull)
    chosen.loading = Loading.AS_MODELED
    whole = session.entry_for(hull)
    assert whole.loading is None and not whole.stale
    assert whole.floating.weight.mass == pytest.approx(3600 + 850 * 1.28 * 0.5, rel=1e-6)
    chosen.active_condition = 1
    assert chosen.loading == Loading.CONDITION
    arrival = session.entry_for(hull)
    assert arrival.loading == "arrival" and session.entries() == (arrival,)
    assert arrival.ship is whole.ship
    chosen.loading = Loading.AS_MODELED
    assert session.entry_for(hull) is whole


def test_a_change_concerns_its_own_condition(hull: bpy.types.Object) -> None:
    CALL.compare()
    toggle_loaded = settings(hull).conditions[1].item_settings(named("fuel"))
    toggle_loaded.fill = 20
    stale = {entry.loading: entry.stale for entry in session.known()}
    assert stale == {None: False, "departure": False, "arrival": True}
    toggle_loaded.fill = 10
    assert not any(entry.stale for entry in session.known())
    CALL.toggle_loaded(object_name="boxes")
    assert session.entry_for(hull).stale
    CALL.toggle_loaded(object_name="boxes")
    assert not session.entry_for(hull).stale
    CALL.toggle_group_loaded(group="cargo")
    assert session.entry_for(hull).stale
    settings(named("ship")).weight.mass += 1
    assert all(entry.stale for entry in session.known())


def test_comparing_keeps_what_is_known(hull: bpy.types.Object) -> None:
    ships.floated(hull)
    before = session.entry_for(hull)
    assert CALL.compare() == {"FINISHED"}
    assert {entry.loading for entry in session.known()} == {None, "departure", "arrival"}
    assert session.entry_for(hull) is before
    masses = {entry.loading: entry.floating.weight.mass for entry in session.known()}
    assert masses[None] == masses["departure"] > masses["arrival"]


def test_an_empty_condition_is_said_in_one_line(hull: bpy.types.Object) -> None:
    for name in ("ship", "fuel"):
        CALL.toggle_loaded(object_name=name)
    assert reads(refusal("compute"), "condition 'arrival' is empty")
    CALL.compare()
    assert session.entry_in(hull, None).floating


def test_renaming_objects_leaves_it_alone(hull: bpy.types.Object) -> None:
    ships.floated(hull)
    named("fuel").name, named("boxes").name = "diesel", "crates"
    bpy.context.view_layer.update()
    arrival = reading(hull)["arrival"]
    assert arrival.fills.keys() == {"diesel"} and arrival.without == ("crates",)
    assert CALL.compute() == {"FINISHED"}


@pytest.mark.parametrize("by_operator", (True, False))
def test_deleting_objects_does_not_break_it(hull: bpy.types.Object, by_operator: bool) -> None:
    for name in ("fuel", "boxes"):
        if by_operator:
            ships.activate(named(name))
            bpy.ops.object.delete()
        else:
            bpy.data.objects.remove(named(name))
    ships.activate(hull)
    assert reading(hull)["arrival"] == Condition("arrival")
    assert CALL.compute() == {"FINISHED"}


def test_a_group_in_no_use_is_reported(hull: bpy.types.Object) -> None:
    CALL.toggle_group_loaded(group="cargo")
    settings(named("boxes")).group = "freight"
    assert CALL.compute() == {"FINISHED"}
    (finding,) = session.entry_for(hull).on_board
    assert finding.code == "lost-group"
    assert finding.subjects == (Subject("condition", "arrival"), Subject("group", "cargo"))
    words = "condition 'arrival' leaves the group 'cargo' ashore, and nothing belongs to it"
    assert reads(finding.text, words)


def test_disabled_parts_do_not_count(hull: bpy.types.Object) -> None:
    named("fuel").hide_viewport = named("boxes").hide_viewport = True
    bpy.context.view_layer.update()
    assert reading(hull)["arrival"] == Condition("arrival")


def test_list_is_edited(hull: bpy.types.Object) -> None:
    chosen = settings(hull)
    CALL.edit_list(action="COPY", **LIST)
    assert names(hull) == ["departure", "arrival", "arrival 2"]
    copied = chosen.condition
    assert copied.name == "arrival 2"
    assert copied.item_settings(named("fuel")).fill == pytest.approx(10)
    copied.item_settings(named("fuel")).fill = 30
    assert chosen.conditions[1].item_settings(named("fuel")).fill == pytest.approx(10)
    CALL.edit_list(action="UP", **LIST)
    assert names(hull) == ["departure", "arrival 2", "arrival"]
    assert chosen.condition.name == "arrival 2"
    for _ in range(2):
        CALL.edit_list(action="DOWN", **LIST)
    assert names(hull) == ["departure", "arrival", "arrival 2"]
    for _ in range(3):
        CALL.edit_list(action="REMOVE", **LIST)
    assert names(hull) == [] and chosen.condition is None
    assert "No loading condition is chosen" in refusal("edit_list", action="REMOVE", **LIST)
    assert "Choose a loading condition first" in refusal("toggle_loaded", object_name="fuel")
    assert "Add a loading condition first" in refusal("compare")


def test_names_stay_apart(hull: bpy.types.Object) -> None:
    settings(hull).condition.name = "departure"
    assert names(hull) == ["departure", "departure 2"]
    settings(hull).condition.name = ""
    assert names(hull) == ["departure", "Condition"]


def test_renaming_a_condition_keeps_the_vessel_in_it(hull: bpy.types.Object) -> None:
    ships.floated(hull)
    settings(hull).condition.name = "homecoming"
    entry = session.entry_for(hull)
    assert entry.loading == "homecoming" and not entry.stale
    assert [entry.loading for entry in session.known()] == ["homecoming"]


def test_removing_the_chosen_one_shows_the_next(hull: bpy.types.Object) -> None:
    ships.floated(hull)
    CALL.edit_list(action="REMOVE", **LIST)
    assert session.entry_for(hull).loading == "departure"
    CALL.edit_list(action="REMOVE", **LIST)
    assert session.entry_for(hull).loading is None


def test_undo_follows(hull: bpy.types.Object) -> None:
    ships.floated(hull)
    bpy.ops.ed.undo_push(message="before")
    settings(hull).loading = Loading.AS_MODELED
    bpy.ops.ed.undo_push(message="after")
    assert session.entry_for(named("box")).loading is None
    bpy.ops.ed.undo()
    assert session.entry_for(named("box")).loading == "arrival"
    bpy.ops.ed.redo()
    assert session.entry_for(named("box")).loading is None


def test_a_file_keeps_them(hull: bpy.types.Object, tmp_path: Path) -> None:
    scene = scene_settings(bpy.context.scene)
    scene.use_held_heel, scene.held_heel = True, -0.5
    chosen: ObjectSettings = settings(hull)
    chosen.service.kind, chosen.service.passengers = "PASSENGER", 8
    CALL.edit_list(which="CRITERIA", action="ADD")
    chosen.custom_criteria[0].at_least_length = 0.35
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "yard.blend"))
    before = reading(hull)
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "yard.blend"))
    hull = named("box")
    assert reading(hull) == before
    chosen = settings(hull)
    assert chosen.condition.name == "arrival"
    assert (chosen.service.kind, chosen.service.passengers) == ("PASSENGER", 8)
    assert chosen.custom_criteria[0].at_least_length == pytest.approx(0.35)
    assert settings(named("fuel")).tank.content == "DIESEL"
    assert (
        settings(named("hatch")).opening.protection == "WEATHERTIGHT"
        and settings(named("house")).role == Role.WINDAGE
    )
    scene = scene_settings(bpy.context.scene)
    assert scene.use_held_heel and scene.held_heel == pytest.approx(-0.5)
    assert ships.floated(hull).loading == "arrival"


def test_a_copied_hull_speaks_of_its_own_parts_only(hull: bpy.types.Object) -> None:
    for obj in bpy.context.scene.objects:
        settings(obj).hull = None if obj == hull else hull
    twin = hull.copy()
    bpy.context.scene.collection.objects.link(twin)
    bpy.context.view_layer.update()
    settings(ships.weight("twin's", 2000, (3, 1, 0.4))).hull = twin
    assert reading(twin)["arrival"] == Condition("arrival")
    assert reading(hull)["arrival"].without == ("boxes",)

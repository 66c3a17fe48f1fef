"""Remedies in the panels, and carried out on the objects of the scene."""

from __future__ import annotations

import bpy
import numpy as np
import pytest
import scene_ships as ships
from test_panels import drawn, words

from addon.blender.controller import corrective_actions, session
from addon.blender.identifiers import Ops
from addon.blender.properties.names import Basis
from addon.blender.properties.settings import settings
from addon.core.messages.subjects import Subject
from tests.language import reads

CALL = bpy.ops.naval_checks


@pytest.fixture(autouse=True)
def nothing_found():
    yield
    corrective_actions.forget()


def listing(parent: bpy.types.Object | None = None) -> bpy.types.Object:
    """A box whose boxes of 600 kg lie 0.4 m to port of the centerline at y = 1."""
    obj = ships.hull()
    settings(obj).form.forward, settings(obj).form.up = "X", "Z"
    ships.weight("ship", 3000, (3, 1, 0.4))
    ships.weight("boxes", 600, (3, 1.4, 0.4), parent)
    bpy.context.view_layer.update()
    ships.activate(obj)
    return obj


def computed(obj: bpy.types.Object) -> session.Entry:
    assert CALL.compute() == {"FINISHED"}
    entry = session.entry_for(obj)
    assert entry and entry.floating
    return entry


def held() -> np.ndarray:
    bpy.context.view_layer.update()
    return np.array(bpy.data.objects["boxes"].matrix_world.translation, dtype=np.float64)


def test_the_panel_tells_and_the_button_moves() -> None:
    obj = listing()
    computed(obj)
    labels = drawn("Floating Position")
    assert reads(words("Floating Position"), "Moving 'ship' 0.080 m to starboard takes")
    assert (Ops.SELECT_OBJECT, "") in labels and (Ops.APPLY_CORRECTIVE_ACTION, "") in labels
    assert CALL.apply_corrective_action(index=0) == {"FINISHED"}
    assert tuple(bpy.data.objects["ship"].location) == pytest.approx((3, 0.92, 0.4))
    there = ships.floated(obj).floating
    assert there and there.equilibrium
    assert np.degrees(there.equilibrium.attitude.heel_rad) == pytest.approx(0.0, abs=1e-3)
    assert "list" not in {finding.code for finding in there.findings}


def test_a_weight_on_a_turned_and_scaled_parent_moves_as_far_in_the_world() -> None:
    frame = bpy.data.objects.new("frame", None)
    bpy.context.scene.collection.objects.link(frame)
    frame.rotation_euler, frame.scale = (0.3, 0.4, 1.1), (2.0, 2.0, 2.0)
    frame.location = (1, 2, 3)
    obj = listing()
    boxes = bpy.data.objects["boxes"]
    boxes.parent = frame
    bpy.context.view_layer.update()
    boxes.matrix_world.translation = (3, 1.4, 0.4)
    bpy.context.view_layer.update()
    assert held() == pytest.approx((3, 1.4, 0.4), abs=1e-5)
    settings(bpy.data.objects["ship"]).weight.fixed = True
    computed(obj)
    assert CALL.apply_corrective_action(index=0) == {"FINISHED"}
    assert held() == pytest.approx((3, 1.0, 0.4), abs=1e-4)


def test_what_is_held_in_place_stays() -> None:
    obj = listing()
    settings(bpy.data.objects["ship"]).weight.fixed = True
    boxes = bpy.data.objects["boxes"]
    boxes.lock_location[1] = True
    computed(obj)
    with pytest.raises(RuntimeError, match="held in place by a lock"):
        CALL.apply_corrective_action(index=0)
    boxes.lock_location[1] = False
    limit = boxes.constraints.new("LIMIT_LOCATION")
    limit.use_min_y, limit.min_y = True, 1.39
    computed(obj)
    with pytest.raises(RuntimeError, match="held in place"):
        CALL.apply_corrective_action(index=0)
    assert held() == pytest.approx((3, 1.4, 0.4))


def test_a_remedy_out_of_date_is_not_carried_out() -> None:
    obj = listing()
    entry = computed(obj)
    session.set_stale(entry, True)
    assert Ops.APPLY_CORRECTIVE_ACTION not in words("Floating Position")
    with pytest.raises(RuntimeError, match="Find the floating position first"):
        CALL.apply_corrective_action(index=0)
    session.set_stale(session.entry_for(obj), False)
    with pytest.raises(RuntimeError, match="out of date"):
        CALL.apply_corrective_action(index=99)


def test_moving_is_one_step_back() -> None:
    computed(listing())
    bpy.ops.ed.undo_push(message="before")
    CALL.apply_corrective_action("EXEC_DEFAULT", True, index=0)
    bpy.ops.ed.undo()
    assert bpy.data.objects["ship"].location.y == pytest.approx(1.0)


def test_a_skin_is_selected_but_not_moved() -> None:
    obj = listing()
    bpy.data.objects.remove(bpy.data.objects["ship"])
    plate = ships.block("plate", (1, 0.5, 0.1), (5, 1.6, 0.3))
    settings(plate).role, settings(plate).weight.basis = "WEIGHT", Basis.SOLID
    bpy.data.objects.remove(bpy.data.objects["boxes"])
    bpy.context.view_layer.update()
    computed(obj)
    labels = drawn("Floating Position")
    (corrective_action,) = corrective_actions.corrective_actions_of(session.entry_for(obj))
    assert corrective_action.subjects == (Subject("weight", "plate"),) and corrective_action.moves
    assert (Ops.SELECT_OBJECT, "") in labels and (Ops.APPLY_CORRECTIVE_ACTION, "") not in labels


def test_cures_stand_under_the_criteria_that_fail() -> None:
    obj = listing()
    bpy.data.objects["boxes"].location = (3, 1, 2.5)
    bpy.data.objects["ship"].location = (3, 1, 0.7)
    settings(obj).criteria.use_codes = True
    settings(obj).criteria.codes_is_code_2_2 = True
    bpy.context.view_layer.update()
    entry = computed(obj)
    assert entry.assessment and entry.assessment.failed
    found = corrective_actions.corrective_actions_of(entry, of_criteria=True)
    assert found and all(
        corrective_action.text in words("Criteria") for corrective_action in found[:1]
    )
    assert found[0].moves
    assert CALL.apply_corrective_action(index=0, of_criteria=True) == {"FINISHED"}
    moved = bpy.data.objects[found[0].weight.name].location
    assert moved.z == pytest.approx(found[0].weight.center[2] + found[0].shift[2], abs=1e-5)


def test_drawing_computes_nothing_and_asks_for_it() -> None:
    obj = listing()
    entry = ships.floated(obj)
    assert corrective_actions.corrective_actions_of(entry) == ()
    assert bpy.app.timers.is_registered(corrective_actions.find_wanted)
    corrective_actions.find_wanted()
    assert len(corrective_actions.corrective_actions_of(entry)) == 1
    again = ships.floated(obj)
    assert corrective_actions.corrective_actions_of(again) == ()

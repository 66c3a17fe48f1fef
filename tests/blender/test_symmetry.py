"""Symmetry of a hull in the scene, and one side made like the other."""

from __future__ import annotations

import bmesh
import bpy
import numpy as np
import pytest
import scene_ships as ships

from addon.blender.controller.symmetry import check
from addon.blender.properties.settings import settings
from addon.examples.loader import load_example
from tests.language import reads

CALL = bpy.ops.naval_checks
PULLED = 0.25


def pulled(vertex: int = 2, **marks: str) -> bpy.types.Object:
    """The box with a port corner of the bottom, at (6, 2, 0), pulled outward."""
    obj = ships.hull()
    obj.data.vertices[vertex].co.y += PULLED
    for name, axis in {"forward": "X", "up": "Z", **marks}.items():
        setattr(settings(obj).form, name, axis)
    for corner in obj.data.vertices:
        corner.co.y -= 1.0
    bpy.context.view_layer.update()
    ships.activate(obj)
    return obj


def places(obj: bpy.types.Object) -> np.ndarray:
    return np.array([vertex.co for vertex in obj.data.vertices], dtype=np.float64)


def test_an_example_ship_is_symmetric() -> None:
    obj = ships.example(load_example("survey-launch"))
    bpy.context.view_layer.update()
    assert len(check(bpy.context, obj).symmetry.unlike) == 0
    ships.activate(obj)
    assert CALL.check_symmetry() == {"FINISHED"}


def test_a_corner_out_of_place_is_found_and_selected() -> None:
    obj = pulled()
    found = check(bpy.context, obj)
    assert found.finding.elements.tolist() == [2]
    assert found.symmetry.max_distance == pytest.approx(PULLED, rel=0.1)
    assert "0.2" in found.finding.text and reads(found.finding.text, "1 vertex has")
    assert CALL.select_asymmetric() == {"FINISHED"}
    assert obj.mode == "EDIT"
    body = bmesh.from_edit_mesh(obj.data)
    assert sorted(vertex.index for vertex in body.verts if vertex.select) == [2]


@pytest.mark.parametrize("keep", ["PORT", "STARBOARD"])
@pytest.mark.parametrize("mode", ["OBJECT", "EDIT"])
@pytest.mark.parametrize("forward", ["X", "NEGATIVE_X"])
def test_the_side_that_is_kept_stays(keep: str, mode: str, forward: str) -> None:
    """The pulled corner lies to +Y, which is port with the bow at +X and starboard at -X."""
    obj = pulled(forward=forward)
    bpy.ops.object.mode_set(mode=mode)
    assert CALL.mirror_side(keep=keep) == {"FINISHED"}
    bpy.ops.object.mode_set(mode="OBJECT")
    stays = (keep == "PORT") == (forward == "X")
    ends = places(obj)[:, 1].min(), places(obj)[:, 1].max()
    assert ends == pytest.approx((-1 - PULLED, 1 + PULLED) if stays else (-1, 1))
    assert len(check(bpy.context, obj).symmetry.unlike) == 0


def test_a_hull_away_from_its_origin_is_mirrored_about_its_middle() -> None:
    """Where the plane cuts the slanting bottom it keeps half the drop."""
    obj = ships.hull()
    obj.data.vertices[2].co.z -= PULLED
    settings(obj).form.forward, settings(obj).form.up = "X", "Z"
    obj.scale = (1.0, -2.0, 1.0)
    bpy.context.view_layer.update()
    ships.activate(obj)
    assert check(bpy.context, obj).symmetry.plane == pytest.approx(-2.0)
    CALL.mirror_side(keep="PORT")
    assert places(obj)[:, 1].min() == pytest.approx(0.0, abs=1e-6)
    assert places(obj)[:, 2].min() == pytest.approx(-PULLED / 2)
    assert len(check(bpy.context, obj).symmetry.unlike) == 0


def test_mirroring_is_one_step_back() -> None:
    obj = pulled()
    before = places(obj)
    bpy.ops.ed.undo_push(message="before")
    CALL.mirror_side("EXEC_DEFAULT", True, keep="STARBOARD")
    assert not np.allclose(places(bpy.data.objects["box"])[:, 1].max(), before[:, 1].max())
    bpy.ops.ed.undo()
    assert places(bpy.data.objects["box"]) == pytest.approx(before)


def test_a_half_hull_is_not_checked() -> None:
    obj = pulled()
    settings(obj).form.mirror = True
    with pytest.raises(RuntimeError, match="Half Hull is on"):
        CALL.check_symmetry()

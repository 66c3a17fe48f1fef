"""Weights dropped by mouse and keys. A stand-in for the viewport looks straight down or abeam."""

from __future__ import annotations

from collections.abc import Iterator
from types import SimpleNamespace

import bpy
import numpy as np
import pytest
import scene_ships as ships
from mathutils import Matrix

from addon.blender.identifiers import Ops
from addon.blender.operators import drop_modal
from addon.blender.operators.drop_modal import Dropping
from addon.blender.panels import menus
from addon.blender.properties.names import Role
from addon.blender.properties.settings import settings
from addon.blender.readers.members import active_hull
from addon.blender.viewport import preview_layer
from addon.blender.viewport.line_of_sight import Viewport
from tests.language import refused

PIXELS = 1000
SPAN = 10.0  # metres of the world across the picture
CALL = bpy.ops.naval_checks


def looking_down() -> SimpleNamespace:
    """An orthographic eye above: the world's origin in the lower left corner, x to the right."""
    view = Matrix.Translation((-SPAN / 2, -SPAN / 2, -50.0))
    window = Matrix.Diagonal((2 / SPAN, 2 / SPAN, -0.02, 1.0))
    return SimpleNamespace(
        is_perspective=False,
        view_matrix=view,
        window_matrix=window,
        perspective_matrix=window @ view,
        view_perspective="ORTHO",
    )


class Context:
    """The context of a modal operator, without a window."""

    window = None
    preferences = SimpleNamespace(system=SimpleNamespace(ui_scale=1.0))
    workspace = SimpleNamespace(status_text_set=lambda text: None)

    def __getattr__(self, name: str) -> object:
        return getattr(bpy.context, name)


def pixel(x: float, y: float) -> dict[str, int]:
    """Where the mouse is above a point of the world."""
    return {"mouse_x": round(x / SPAN * PIXELS), "mouse_y": round(y / SPAN * PIXELS)}


class Hand:
    """Moves the mouse and presses keys."""

    def __init__(self, kind: str = "WEIGHT", mass: float = 100.0, pair: bool = False) -> None:
        self.drop = Dropping()
        self.drop.kind, self.drop.mass, self.drop.pair = kind, mass, pair
        self.at = pixel(0, 0)
        self.drop.begin(Context(), active_hull(bpy.context))

    def event(self, kind: str, value: str = "PRESS", **held: bool) -> set[str]:
        keys = {"ctrl": False, "shift": False, "alt": False, "oskey": False, **held}
        event = SimpleNamespace(type=kind, value=value, ascii="", **self.at, **keys)
        return self.drop.handle(Context(), event)

    def move(self, x: float, y: float, **held: bool) -> None:
        self.at = pixel(x, y)
        assert self.event("MOUSEMOVE", "NOTHING", **held) == {"RUNNING_MODAL"}

    def click(self, x: float, y: float, **held: bool) -> None:
        self.move(x, y, **held)
        self.event("LEFTMOUSE", **held)

    def type(self, *keys: str) -> None:
        for key in keys:
            self.event(key)

    @property
    def reported(self) -> str:
        return " · ".join(text for text, _ in self.drop.layer.preview.rows)


@pytest.fixture
def hull(monkeypatch: pytest.MonkeyPatch) -> Iterator[bpy.types.Object]:
    """The box, 6 m long over the world's x, with 3 t on board, under the eye."""
    region = SimpleNamespace(x=0, y=0, width=PIXELS, height=PIXELS, as_pointer=lambda: 1)
    seen = Viewport(None, region, looking_down(), None)
    monkeypatch.setattr(drop_modal, "viewport_under", lambda window, x, y: seen if x >= 0 else None)
    obj = ships.hull()
    settings(obj).form.forward, settings(obj).form.up = "X", "Z"
    ships.weight("ship", 3000, (3, 1, 0.4))
    bpy.context.view_layer.update()
    ships.activate(obj)
    bpy.ops.ed.undo_push(message="before")
    yield obj
    drop_modal.tidy()


def place(name: str) -> tuple[float, ...]:
    bpy.context.view_layer.update()
    return tuple(bpy.data.objects[name].matrix_world.translation)


def weights() -> list[str]:
    return sorted(obj.name for obj in bpy.data.objects if settings(obj).role == Role.WEIGHT)


class TestDrop:
    @pytest.mark.parametrize(
        ("kind", "y", "pair", "both"),
        [
            ("OPENING", 1.5, False, True),
            ("OPENING", 0.0, False, False),
            ("OPENING", 1.5, True, False),
            ("WEIGHT", 1.5, False, False),
        ],
    )
    def test_openings_aside_on_half_a_hull_are_on_both_sides(
        self, hull: bpy.types.Object, kind: str, y: float, pair: bool, both: bool
    ) -> None:
        settings(hull).form.mirror = True
        hand = Hand(kind, pair=pair)
        hand.click(2.0, y)
        name = hand.drop.dropped[0][0]
        assert settings(bpy.data.objects[name]).both_sides == both

    def test_puts_a_weight_on_deck(self, hull: bpy.types.Object) -> None:
        hand = Hand()
        hand.click(2.0, 0.4)
        weight = bpy.data.objects["Weight"]
        chosen = settings(weight)
        assert place("Weight") == pytest.approx((2.0, 0.4, 1.0), abs=1e-5)
        assert (chosen.role, chosen.weight.mass, chosen.hull) == (Role.WEIGHT, 100, hull)
        assert weight.parent is hull and weight.empty_display_type == "SPHERE"
        assert weight.users_collection == hull.users_collection
        assert bpy.context.selected_objects == [weight]
        assert hand.event("RET") == {"FINISHED"}
        assert not preview_layer.uninstall()

    def test_several_in_a_row_by_typed_masses(self, hull: bpy.types.Object) -> None:
        hand = Hand()
        hand.click(1, 0.4)
        hand.type("TWO", "FIVE", "PERIOD", "FIVE")
        hand.click(2, 0.4)
        hand.type("NUMPAD_7", "FIVE", "BACK_SPACE")
        hand.click(3, 0.4)
        hand.click(4, 0.4)
        names = ("Weight", "Weight.001", "Weight.002", "Weight.003")
        masses = [settings(bpy.data.objects[name]).weight.mass for name in names]
        assert masses == [100, 25.5, 7, 7]
        assert hand.drop.mass == 7

    def test_nothing_without_a_mass(self, hull: bpy.types.Object) -> None:
        hand = Hand()
        hand.move(1, 0.4)
        hand.type("ZERO")
        assert "enter a mass above zero" in hand.reported
        hand.click(1, 0.4)
        assert weights() == ["ship"]

    def test_tells_how_it_would_float(self, hull: bpy.types.Object) -> None:
        """Draft m / (1025 L B) with the weight; the box is turned about its own middle."""
        hand = Hand(mass=600)
        hand.move(3, 1.0)
        draft = 3600 / 1025 / 12
        assert f"draft {draft:.2f} m" in hand.reported
        assert "upright · on an even keel" in hand.reported
        hand.move(3, 0.5)
        assert "to starboard" in hand.reported.split(" · ")[2]
        hand.event("LEFTMOUSE")
        hand.move(3, 1.5)
        assert f"draft {4200 / 1025 / 12:.2f} m" in hand.reported
        assert "upright" in hand.reported

    def test_a_pair_lies_on_both_sides(self, hull: bpy.types.Object) -> None:
        hand = Hand()
        hand.type("X")
        hand.click(2, 1.5)
        assert weights() == ["Weight port", "Weight starboard", "ship"]
        assert place("Weight port") == pytest.approx((2, 1.5, 1), abs=1e-5)
        assert place("Weight starboard") == pytest.approx((2, 0.5, 1), abs=1e-5)
        assert {obj.name for obj in bpy.context.selected_objects} == {*weights()} - {"ship"}
        hand.type("BACK_SPACE")
        assert weights() == ["ship"]

    def test_snaps_to_centerline_and_grid(self, hull: bpy.types.Object) -> None:
        hand = Hand()
        hand.click(2.03, 1.05)
        assert place("Weight") == pytest.approx((2.03, 1.0, 1.0), abs=1e-5)
        hand.click(2.03, 1.05, shift=True)
        assert place("Weight.001")[1] != pytest.approx(1.0, abs=1e-3)
        hand.move(2.03, 1.46)
        hand.click(2.03, 1.46, ctrl=True)
        assert place("Weight.002") == pytest.approx((2.0, 1.4, 1.0), abs=1e-5)
        hand.type("C")
        hand.click(3, 1.9)
        assert place("Weight.003") == pytest.approx((3.0, 1.0, 1.0), abs=1e-5)

    def test_shift_moves_slowly(self, hull: bpy.types.Object) -> None:
        hand = Hand()
        hand.move(2, 1.5, shift=True)
        hand.click(3, 1.5, shift=True)
        assert place("Weight") == pytest.approx((2.1, 1.5, 1.0), abs=1e-5)

    def test_beside_everything_it_lies_at_the_height_of_the_deck(
        self, hull: bpy.types.Object
    ) -> None:
        hand = Hand()
        hand.click(8, 4)
        assert place("Weight") == pytest.approx((8, 4, 1), abs=1e-5)

    def test_looks_through_wires_and_hidden_things(self, hull: bpy.types.Object) -> None:
        box = ships.block("cover", (0, 0, 2), (6, 2, 3))
        bpy.context.view_layer.update()
        hand = Hand()
        hand.click(2, 0.4)
        assert place("Weight")[2] == pytest.approx(3.0)
        box.display_type = "WIRE"
        hand.click(2, 0.4)
        assert place("Weight.001")[2] == pytest.approx(1.0)
        box.display_type = "TEXTURED"
        box.hide_set(True)
        hand.click(2, 0.4)
        assert place("Weight.002")[2] == pytest.approx(1.0)

    def test_tab_goes_on_to_ballast_openings_and_holes(self, hull: bpy.types.Object) -> None:
        hand = Hand()
        hand.type("TAB")
        hand.click(2, 0.4)
        assert settings(bpy.data.objects["Ballast"]).group == "ballast"
        hand.type("TAB")
        hand.move(2, 0.4)
        assert f"{1 - 3100 / 1025 / 12:.2f} m above the waterline" not in hand.reported  # it lists
        assert "above the waterline" in hand.reported
        hand.event("LEFTMOUSE")
        opening = bpy.data.objects["Opening"]
        assert (settings(opening).role, settings(opening).hull) == (Role.OPENING, hull)
        hand.type("TAB")
        hand.click(2, 0.4)
        assert settings(bpy.data.objects["Breach"]).role == Role.BREACH
        hand.type("TAB")
        assert hand.drop.kind == "WEIGHT"

    def test_every_drop_is_one_step_of_undo(self, hull: bpy.types.Object) -> None:
        hand = Hand()
        for x in (1, 2, 3):
            hand.click(x, 0.4)
        hand.event("RET")
        for left in (2, 1, 0):
            bpy.ops.ed.undo()
            assert len(weights()) == left + 1
        for there in (1, 2, 3):
            bpy.ops.ed.redo()
            assert len(weights()) == there + 1
        assert place("Weight.002") == pytest.approx((3, 0.4, 1), abs=1e-5)
        assert settings(bpy.data.objects["Weight.002"]).weight.mass == 100

    def test_takes_the_last_one_back(self, hull: bpy.types.Object) -> None:
        hand = Hand(mass=600)
        hand.click(1, 1.5)
        hand.click(5, 0.5)
        hand.type("BACK_SPACE")
        assert weights() == ["Weight", "ship"]
        hand.event("Z", ctrl=True)
        assert weights() == ["ship"]
        hand.type("BACK_SPACE")
        assert weights() == ["ship"]
        hand.move(3, 1)
        assert f"draft {3600 / 1025 / 12:.2f} m" in hand.reported
        hand.click(2, 0.4)
        assert weights() == ["Weight", "ship"]

    @pytest.mark.parametrize("key", ["ESC", "RIGHTMOUSE", "RET"])
    def test_leaves_nothing_of_the_pending_one(self, hull: bpy.types.Object, key: str) -> None:
        names = {obj.name for obj in bpy.data.objects}
        hand = Hand()
        hand.move(2, 0.4)
        assert hand.event(key) == {"CANCELLED"}
        assert {obj.name for obj in bpy.data.objects} == names
        assert bpy.context.selected_objects == [hull]
        assert not preview_layer.uninstall()

    def test_lets_the_view_turn(self, hull: bpy.types.Object) -> None:
        hand = Hand()
        for kind in ("MIDDLEMOUSE", "WHEELUPMOUSE", "TRACKPADPAN", "NDOF_MOTION"):
            assert hand.event(kind) == {"PASS_THROUGH"}
        assert hand.event("LEFTMOUSE", alt=True) == {"PASS_THROUGH"}

    def test_drops_nothing_outside_the_viewports(self, hull: bpy.types.Object) -> None:
        hand = Hand()
        hand.move(2, 0.4)
        hand.click(-5, 0.4)
        assert weights() == ["ship"]
        assert hand.drop.layer.preview is None

    def test_ends_with_the_file(self, hull: bpy.types.Object) -> None:
        hand = Hand()
        bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
        assert not preview_layer.uninstall()
        assert hand.event("MOUSEMOVE", "NOTHING") == {"CANCELLED"}

    def test_the_first_weight_of_all(self, hull: bpy.types.Object) -> None:
        bpy.data.objects.remove(bpy.data.objects["ship"])
        hand = Hand(mass=3000)
        hand.move(3, 1)
        assert f"draft {3000 / 1025 / 12:.2f} m" in hand.reported
        hand.event("LEFTMOUSE")
        assert hand.drop.loadings[-1].floating_position().weight.mass == 3000

    def test_goes_on_without_a_forecast(self, hull: bpy.types.Object) -> None:
        sheet = ships.mesh_object("sheet", ships.BOX[:4], ships.FACES[:1])
        settings(sheet).role = Role.TANK
        bpy.context.view_layer.update()
        hand = Hand()
        hand.click(2, 0.4)
        assert "sheet" in hand.reported
        assert weights() == ["Weight", "ship"]

    def test_in_a_scene_of_millimeters(self, hull: bpy.types.Object) -> None:
        units = bpy.context.scene.unit_settings
        units.scale_length, units.length_unit = 2.0, "MILLIMETERS"
        hand = Hand()
        hand.move(2, 0.4)
        assert "x 4000 mm" in hand.reported
        hand.event("LEFTMOUSE")
        assert place("Weight") == pytest.approx((2.0, 0.4, 1.0), abs=1e-5)

    def test_on_a_ship_turned_about(self, hull: bpy.types.Object) -> None:
        """Bow to the world's +y: the box's x axis turned by a right angle about its corner."""
        hull.rotation_euler.z = np.pi / 2
        hull.location.x = 4
        bpy.context.view_layer.update()
        hand = Hand()
        hand.move(3.5, 2)
        assert "x 2.00 m, 0.50 m to starboard, z 1.00 m" in hand.reported
        hand.event("LEFTMOUSE")
        assert place("Weight") == pytest.approx((3.5, 2, 1), abs=1e-5)


class Layout:
    """A menu's layout that keeps how each operator would be called."""

    def __init__(self) -> None:
        self.operator_context = "EXEC_REGION_WIN"
        self.called: dict[str, str] = {}

    def operator(self, name: str, **_: object) -> None:
        self.called[name] = self.operator_context

    def menu(self, name: str, **_: object) -> None:
        self.called[name] = self.operator_context

    def operator_menu_enum(self, name: str, *_: object, **__: object) -> None:
        self.called[name] = self.operator_context

    def separator(self) -> None:
        pass


def test_the_menu_hands_it_the_mouse() -> None:
    layout = Layout()
    menus.NAVAL_CHECKS_MT_add.draw(SimpleNamespace(layout=layout), bpy.context)
    assert layout.called[Ops.DROP] == "INVOKE_REGION_WIN"
    assert layout.called[Ops.ADD_OPENING] == layout.operator_context == "EXEC_REGION_WIN"


class TestPoll:
    def test_wants_object_mode_and_a_hull(self) -> None:
        with pytest.raises(RuntimeError, match="Mark a hull first"):
            CALL.drop("INVOKE_DEFAULT")
        ships.activate(ships.hull())
        bpy.ops.object.mode_set(mode="EDIT")
        with pytest.raises(RuntimeError, match="needs Object Mode"):
            CALL.drop("INVOKE_DEFAULT")

    def test_wants_a_hull_that_can_be_read(self) -> None:
        ships.activate(ships.hull("flat", ships.BOX[:4], ships.FACES[:1]))
        with refused("flat"):
            Hand()
        assert not preview_layer.uninstall()

"""Mouse operators on the chart: move it by its title; below that set the held heel, the time of a
flooding, or the inspected position along the hull."""

from __future__ import annotations

from math import radians
from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_
from bpy.props import BoolProperty

from ...charts.panel import ChartDrawing
from ...drawing.pixel_boxes import Box
from ...units.durations import clock
from ...units.quantities import Units
from ..controller import session, shown_state
from ..identifiers import Ops
from ..properties.settings import scene_settings
from ..readers.members import active_hull
from ..viewport.draw_handlers import chart_in
from ..viewport.flooding_playback import pace_of
from ..viewport.readout import angle_words, righting
from .polls import allowed

NO_CHART = n_("No chart is shown: find the floating position first")
STEP = radians(5.0)
MOVES = {"MOUSEMOVE", "INBETWEEN_MOUSEMOVE", "LEFT_CTRL", "RIGHT_CTRL"}


class _OnChart(bpy.types.Operator):
    """A modal operator on the chart until the mouse button or a key ends it.

    `changes` names the settings that it changes, `defaults` their values for Backspace.
    """

    bl_options = {"UNDO_GROUPED", "BLOCKING", "INTERNAL"}

    changes: tuple[str, ...]
    defaults: dict[str, Any]

    release_confirm: BoolProperty(
        name="Confirm on Release",
        description="End when the mouse button is released",
        options={"HIDDEN", "SKIP_SAVE"},
    )

    def follow(self, context: bpy.types.Context, event: bpy.types.Event) -> None:
        """Change the settings as the mouse moves."""
        raise NotImplementedError

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return allowed(cls, chart_in(context.region) is not None, NO_CHART)

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        chosen = scene_settings(context.scene)
        self.drawing = chart_in(context.region)
        self.start = event.mouse_region_x, event.mouse_region_y
        self.before = {
            name: value[:] if hasattr(value := getattr(chosen, name), "__len__") else value
            for name in self.changes
        }
        context.window_manager.modal_handler_add(self)
        if self.release_confirm:
            self.follow(context, event)
        return {"RUNNING_MODAL"}

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if event.type in {"ESC", "RIGHTMOUSE"}:
            self.cancel(context)
            return {"CANCELLED"}
        if event.type == "BACK_SPACE":
            self._reset(context)
            return self._finished(context)
        last = "RELEASE" if self.release_confirm else "PRESS"
        if event.type in {"RET", "NUMPAD_ENTER"} or (
            event.type == "LEFTMOUSE" and event.value == last
        ):
            return self._finished(context)
        if event.type in MOVES:
            self.follow(context, event)
        return {"RUNNING_MODAL"}

    def cancel(self, context: bpy.types.Context) -> None:
        self._put(context, self.before)
        self._finished(context)

    def _finished(self, context: bpy.types.Context) -> set[str]:
        if context.area:
            context.area.header_text_set(None)
        return {"FINISHED"}

    def _reset(self, context: bpy.types.Context) -> None:
        self._put(context, self.defaults)

    def _put(self, context: bpy.types.Context, values: dict[str, Any]) -> None:
        for name, value in values.items():
            setattr(scene_settings(context.scene), name, value)


class NAVAL_CHECKS_OT_move_chart(_OnChart):
    """Move the chart. Drag below its title to hold the vessel at a heel"""

    bl_idname = Ops.MOVE_CHART
    bl_label = "Move Chart"

    changes = ("chart_place",)
    defaults = {"chart_place": (1.0, 0.0)}

    def follow(self, context: bpy.types.Context, event: bpy.types.Event) -> None:
        right, up = event.mouse_region_x - self.start[0], event.mouse_region_y - self.start[1]
        self._put(context, {"chart_place": self.drawing.spot.place(right, up)})
        context.area.header_text_set(
            iface_("Move Chart    Esc: Cancel    Backspace: Default Position")
        )


class NAVAL_CHECKS_OT_scrub_heel(_OnChart):
    """Hold the vessel at the heel under the mouse on the GZ curve"""

    bl_idname = Ops.SCRUB_HEEL
    bl_label = "Scrub Heel"

    changes = ("held_heel", "use_held_heel")
    defaults = {"use_held_heel": False}

    def follow(self, context: bpy.types.Context, event: bpy.types.Event) -> None:
        heel = self.drawing.axes.across_at(event.mouse_region_x)
        if event.ctrl:
            heel = STEP * round(heel / STEP)
        self._put(context, {"held_heel": heel, "use_held_heel": True})
        entry = session.entry_for(active_hull(context))
        heeled = shown_state.at_held_heel(entry, scene_settings(context.scene)) if entry else None
        if heeled:
            arm = Units.of(context.scene).length(righting(heel, heeled.held.arm))
            text = iface_(
                "Heel {heel}    GZ {arm}    Ctrl: Snap to 5°    Esc: Cancel    Backspace: At Rest"
            )
            context.area.header_text_set(text.format(heel=angle_words(heel), arm=arm))


class NAVAL_CHECKS_OT_scrub_time(_OnChart):
    """Go to the time under the mouse on the chart of a flooding"""

    bl_idname = Ops.SCRUB_TIME
    bl_label = "Scrub Time"
    bl_options = {"BLOCKING", "INTERNAL"}

    changes = ()

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self.frame = context.scene.frame_current
        return super().invoke(context, event)

    def follow(self, context: bpy.types.Context, event: bpy.types.Event) -> None:
        time = self.drawing.axes.across_at(event.mouse_region_x)
        context.scene.frame_set(round(pace_of(context.scene).frame(time)))
        text = iface_("Time {time}    Esc: Cancel    Backspace: Start")
        context.area.header_text_set(text.format(time=clock(time)))

    def cancel(self, context: bpy.types.Context) -> None:
        context.scene.frame_set(self.frame)
        self._finished(context)

    def _reset(self, context: bpy.types.Context) -> None:
        context.scene.frame_set(scene_settings(context.scene).flooding_start)


class NAVAL_CHECKS_OT_scrub_place(_OnChart):
    """Inspect the floodable length with its center under the mouse"""

    bl_idname = Ops.SCRUB_PLACE
    bl_label = "Scrub Position"

    changes = ("inspected_place", "use_inspected_place")
    defaults = {"use_inspected_place": False}

    def follow(self, context: bpy.types.Context, event: bpy.types.Event) -> None:
        place = self.drawing.axes.across_at(event.mouse_region_x)
        entry = session.entry_for(active_hull(context))
        found = entry.damage.subdivision if entry else None
        if entry is None or found is None:
            return
        if event.ctrl and found.main_compartments:
            place = min(
                (each.middle for each in found.main_compartments), key=lambda x: abs(x - place)
            )
        inspected = place / entry.ship.frame.unit
        self._put(context, {"inspected_place": inspected, "use_inspected_place": True})
        length = Units.of(context.scene).length
        text = iface_(
            "Center at x {place}    Floodable Length {length}    Ctrl: Snap to Compartments    "
            "Esc: Cancel    Backspace: None"
        )
        shown = text.format(place=length(place), length=length(found.curve.at(place)))
        context.area.header_text_set(shown)


class _ChartGizmo(bpy.types.Gizmo):
    """A part of the chart that takes the mouse; the overlay draws it."""

    @staticmethod
    def part(drawing: ChartDrawing) -> Box | None:
        raise NotImplementedError

    def test_select(self, context: bpy.types.Context, location: Any) -> int:
        drawing = chart_in(context.region)
        part = self.part(drawing) if drawing else None
        return 0 if part and part.holds(location) else -1

    def draw(self, context: bpy.types.Context) -> None:
        pass


class NAVAL_CHECKS_GT_chart_title(_ChartGizmo):
    """The title of the chart"""

    bl_idname = "NAVAL_CHECKS_GT_chart_title"

    @staticmethod
    def part(drawing: ChartDrawing) -> Box:
        return drawing.title


class NAVAL_CHECKS_GT_chart_curve(_ChartGizmo):
    """The GZ curve below the title"""

    bl_idname = "NAVAL_CHECKS_GT_chart_curve"

    @staticmethod
    def part(drawing: ChartDrawing) -> Box | None:
        return drawing.below_title if drawing.shows == "heels" else None


class NAVAL_CHECKS_GT_chart_time(_ChartGizmo):
    """The chart of a flooding below the title"""

    bl_idname = "NAVAL_CHECKS_GT_chart_time"

    @staticmethod
    def part(drawing: ChartDrawing) -> Box | None:
        return drawing.below_title if drawing.shows == "time" else None


class NAVAL_CHECKS_GT_chart_place(_ChartGizmo):
    """The chart of floodable length below the title"""

    bl_idname = "NAVAL_CHECKS_GT_chart_place"

    @staticmethod
    def part(drawing: ChartDrawing) -> Box | None:
        return drawing.below_title if drawing.shows == "place" else None


class NAVAL_CHECKS_GGT_chart(bpy.types.GizmoGroup):
    """Handles of the chart"""

    bl_idname = "NAVAL_CHECKS_GGT_chart"
    bl_label = "Chart"
    bl_space_type = "VIEW_3D"
    bl_region_type = "WINDOW"
    bl_options = {"PERSISTENT"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return chart_in(context.region) is not None

    def setup(self, context: bpy.types.Context) -> None:
        for gizmo, operator in (
            (NAVAL_CHECKS_GT_chart_title, Ops.MOVE_CHART),
            (NAVAL_CHECKS_GT_chart_curve, Ops.SCRUB_HEEL),
            (NAVAL_CHECKS_GT_chart_time, Ops.SCRUB_TIME),
            (NAVAL_CHECKS_GT_chart_place, Ops.SCRUB_PLACE),
        ):
            part = self.gizmos.new(gizmo.bl_idname)
            part.use_tooltip = gizmo is NAVAL_CHECKS_GT_chart_title
            part.target_set_operator(operator).release_confirm = True


register, unregister = bpy.utils.register_classes_factory(
    (
        NAVAL_CHECKS_OT_move_chart,
        NAVAL_CHECKS_OT_scrub_heel,
        NAVAL_CHECKS_OT_scrub_time,
        NAVAL_CHECKS_OT_scrub_place,
        NAVAL_CHECKS_GT_chart_title,
        NAVAL_CHECKS_GT_chart_curve,
        NAVAL_CHECKS_GT_chart_time,
        NAVAL_CHECKS_GT_chart_place,
        NAVAL_CHECKS_GGT_chart,
    )
)

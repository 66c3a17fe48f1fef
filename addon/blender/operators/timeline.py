"""Operators that play a flooding in time on the timeline, and remove it.

No object of the user is animated: the drawn vessel follows the frame, and events are markers.
"""

from __future__ import annotations

import bpy
from bpy.app.translations import pgettext_iface as iface_

from ...core.flooding_time.flooding_history import FloodingHistory
from ...units.durations import clock
from ...units.quantities import Units
from ..controller import session
from ..identifiers import Ops
from ..properties.settings import scene_settings
from ..readers.members import active_hull
from ..viewport.flooding_playback import pace_of, speed_for
from .polls import allowed

MARKER = "Flooding: "
"""Prefix of the names of its markers, by which alone they are known: a marker of the timeline keeps
a name, a frame and a camera, and Blender gives it no custom properties."""


class NAVAL_CHECKS_OT_play_flooding(bpy.types.Operator):
    """Draw the flooding from the start to the end of the timeline, with a marker for every event"""

    bl_idname = Ops.PLAY_FLOODING
    bl_label = "Play on Timeline"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return has_flooded(cls, context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        entry = session.entry_for(active_hull(context))
        session.show_floodable_length(entry, False)
        scene, run = context.scene, entry.flooding_history
        fit(scene, run)
        scene_settings(scene).play_flooding = True
        mark(scene, run)
        scene.frame_set(scene.frame_start)
        return {"FINISHED"}


class NAVAL_CHECKS_OT_stop_flooding(bpy.types.Operator):
    """Draw the intact floating position again, and remove the markers of the flooding"""

    bl_idname = Ops.STOP_FLOODING
    bl_label = "Remove from Timeline"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return bool(scene_settings(context.scene).play_flooding or any(markers(context.scene)))

    def execute(self, context: bpy.types.Context) -> set[str]:
        unmark(context.scene)
        scene_settings(context.scene).play_flooding = False
        return {"FINISHED"}


def has_flooded(operator: type[bpy.types.Operator], context: bpy.types.Context) -> bool:
    """Whether the time to flood of the active hull was found; sets the poll message if not."""
    entry = session.entry_for(active_hull(context))
    found = entry is not None and entry.flooding_history is not None
    return allowed(operator, found, "Find the time to flood first")


def fit(scene: bpy.types.Scene, run: FloodingHistory) -> None:
    """Scale a flooding to last from the start to the end of the timeline."""
    chosen, render = scene_settings(scene), scene.render
    played = (scene.frame_end - scene.frame_start) * render.fps_base / render.fps
    chosen.flooding_start = scene.frame_start
    chosen.flooding_speed = speed_for(float(run.times[-1]), max(played, 1.0))


def mark(scene: bpy.types.Scene, run: FloodingHistory) -> None:
    """Add a marker for every event of a flooding, in place of those of another."""
    unmark(scene)
    pace = pace_of(scene)
    for event in run.events:
        what = Units.of(scene).text(event.what, iface_)
        name = f"{MARKER}{what} ({clock(event.time)})"
        scene.timeline_markers.new(name, frame=round(pace.frame(event.time)))


def unmark(scene: bpy.types.Scene) -> None:
    """Remove the markers of floodings."""
    for marker in markers(scene):
        scene.timeline_markers.remove(marker)


def markers(scene: bpy.types.Scene) -> list[bpy.types.TimelineMarker]:
    """The markers of floodings, known by their prefix."""
    return [marker for marker in scene.timeline_markers if marker.name.startswith(MARKER)]


register, unregister = bpy.utils.register_classes_factory(
    (NAVAL_CHECKS_OT_play_flooding, NAVAL_CHECKS_OT_stop_flooding)
)

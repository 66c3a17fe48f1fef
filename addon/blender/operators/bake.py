"""Operators that bake a flooding in time to a Blender animation, and remove it."""

from __future__ import annotations

import bpy
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import FloatProperty

from ...core.messages.findings import BadInputError
from ..controller import session
from ..identifiers import Ops
from ..properties.settings import scene_settings
from ..readers.members import active_hull
from ..viewport.baked_keys import bake
from ..viewport.flooding_playback import pace_of
from ..wording import reported
from .baked_objects import build, made_for, remove
from .compute import OnHull
from .polls import allowed
from .progress import Progress
from .timeline import fit, has_flooded, mark, unmark


class _Baking(OnHull):
    """An operator on the baked flooding of the active hull."""

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return super().poll(context) and allowed(
            cls, context.mode == "OBJECT", "Adding and removing objects needs Object Mode"
        )


class NAVAL_CHECKS_OT_bake_flooding(_Baking):
    """Bake the flooding to animated objects that play and render without this add-on"""

    bl_idname = Ops.BAKE_FLOODING
    bl_label = "Bake Flooding"
    bl_options = {"REGISTER", "UNDO"}

    distance: FloatProperty(
        name="Distance",
        description="Distance of the baked copy to starboard of the hull, in breadths of the hull; "
        "0 puts it in place of the hull",
        default=3.0,
        soft_min=-10.0,
        soft_max=10.0,
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        entry = session.entry_for(active_hull(context))
        return (
            super().poll(context)
            and has_flooded(cls, context)
            and allowed(
                cls,
                not entry.damage_stale,
                "Changed since flooded: find the time to flood again",
            )
        )

    def execute(self, context: bpy.types.Context) -> set[str]:
        scene, hull = context.scene, active_hull(context)
        entry = session.entry_for(hull)
        if not scene_settings(scene).play_flooding:
            fit(scene, entry.flooding_history)
        try:
            with Progress(context) as progress:
                baking = bake(
                    entry.flooding_history, entry.plan, pace_of(scene), progress.on_progress
                )
                made = build(context, hull, entry, baking, self.distance)
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        mark(scene, entry.flooding_history)
        scene.frame_set(scene.frame_start)
        first, last = (int(baking.pose.frames[end]) for end in (0, -1))
        text = rpt_("Collection '{collection}' floods from frame {first} to {last}")
        self.report({"INFO"}, text.format(collection=made.name, first=first, last=last))
        return {"FINISHED"}


class NAVAL_CHECKS_OT_remove_baked(_Baking):
    """Remove the baked flooding of this hull, and the markers of its events"""

    bl_idname = Ops.REMOVE_BAKED
    bl_label = "Remove Baked Flooding"
    bl_options = {"REGISTER", "UNDO"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return super().poll(context) and allowed(
            cls, made_for(active_hull(context), "objects"), "No flooding of this hull is baked"
        )

    def execute(self, context: bpy.types.Context) -> set[str]:
        remove(active_hull(context))
        if not scene_settings(context.scene).play_flooding:
            unmark(context.scene)
        return {"FINISHED"}


register, unregister = bpy.utils.register_classes_factory(
    (NAVAL_CHECKS_OT_bake_flooding, NAVAL_CHECKS_OT_remove_baked)
)

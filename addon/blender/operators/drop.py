"""Drop weights, ballast, openings and breaches at the mouse."""

from __future__ import annotations

import bpy
from bpy.app.translations import pgettext_iface as iface_

from ...core.messages.findings import BadInputError
from ..identifiers import Ops
from ..readers.members import active_hull
from ..wording import reported
from .compute import has_hull
from .drop_modal import KEYS, Dropping, tidy
from .polls import allowed


class NAVAL_CHECKS_OT_drop(Dropping, bpy.types.Operator):
    """Drop weights at the mouse, with a preview of the floating position"""

    bl_idname = Ops.DROP
    bl_label = "Drop Weights"
    bl_options = {"REGISTER"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return allowed(
            cls, context.mode == "OBJECT", "Dropping weights needs Object Mode"
        ) and has_hull(cls, context)

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        try:
            self.begin(context, active_hull(context))
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        context.window_manager.modal_handler_add(self)
        context.workspace.status_text_set(iface_(KEYS))
        self.follow(context, event)
        return {"RUNNING_MODAL"}

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        try:
            return self.handle(context, event)
        except Exception:
            tidy()
            raise

    def cancel(self, context: bpy.types.Context) -> None:
        tidy()


_register_classes, _unregister_classes = bpy.utils.register_classes_factory((NAVAL_CHECKS_OT_drop,))


def register() -> None:
    _register_classes()
    if tidy not in bpy.app.handlers.load_pre:
        bpy.app.handlers.load_pre.append(tidy)


def unregister() -> None:
    tidy()
    if tidy in bpy.app.handlers.load_pre:
        bpy.app.handlers.load_pre.remove(tidy)
    _unregister_classes()

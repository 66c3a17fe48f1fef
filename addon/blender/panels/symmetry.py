"""Symmetry of a hull in the panel of the hull."""

from __future__ import annotations

import bpy
from bpy.app.translations import pgettext_n as n_

from ..controller.symmetry import checked, is_current
from ..identifiers import Ops
from ..properties.settings import settings
from ..wording import BUTTON, wrapped
from .layout import Layout


def symmetry_lines(layout: Layout, context: bpy.types.Context, hull: bpy.types.Object) -> None:
    """Whether the hull is symmetric, if that was checked, and buttons to correct it."""
    if settings(hull).form.mirror:
        return
    layout.operator(Ops.CHECK_SYMMETRY, icon="MOD_MIRROR")
    found = checked(hull)
    if found is None:
        return
    if not is_current(context.evaluated_depsgraph_get(), hull, found):
        wrapped(layout, context, n_("Changed since symmetry was checked"), "FILE_REFRESH")
        return
    unlike = bool(len(found.symmetry.unlike))
    row = layout.row()
    icon = "ERROR" if unlike else "CHECKMARK"
    wrapped(row.column(), context, found.finding.text, icon, BUTTON if unlike else 0)
    if unlike:
        row.operator(Ops.SELECT_ASYMMETRIC, text="", icon="RESTRICT_SELECT_OFF")
        layout.operator_menu_enum(Ops.MIRROR_SIDE, "keep", icon="MOD_MIRROR")

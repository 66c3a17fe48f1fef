"""Rows that panels share."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.messages.findings import BadInputError, Finding
from ...units.quantities import Units
from ..controller import session
from ..controller.part_figures import passage
from ..identifiers import TAB, Ops
from ..properties.names import PROPERTY, Role
from ..properties.scene_units import unit_scale
from ..properties.settings import scene_settings
from ..readers.members import active_hull, scene_parts
from ..wording import BUTTON, wrapped

Layout = bpy.types.UILayout

NO_HULL_AT_HAND = n_("Mark a hull first, or select one")
NARROW = 240
"""Width of a sidebar, in pixels at a scale of 1, that leaves no room beside the names."""
ICONS = {"warning": "ERROR", "note": "INFO"}


class Described:
    """A panel or menu whose docstring is its tooltip, as with operators."""

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()
        cls.bl_description = cls.__doc__ or ""

    bl_description: str


class SidePanel(Described):
    """A panel of the add-on's tab in the sidebar."""

    bl_space_type = "VIEW_3D"
    bl_region_type = "UI"
    bl_category = TAB


class HullPanel(SidePanel):
    """A panel about the active hull; says how to get one where there is none."""

    layout: Layout

    def draw(self, context: bpy.types.Context) -> None:
        hull = active_hull(context)
        if hull is None:
            wrapped(self.layout, context, NO_HULL_AT_HAND, "INFO")
        else:
            self.draw_hull(context, hull)

    def draw_hull(self, context: bpy.types.Context, hull: bpy.types.Object) -> None:
        """Draw the panel of a hull."""
        raise NotImplementedError


def settings_column(layout: Layout) -> Layout:
    """A column for properties with their names to the left."""
    column = layout.column()
    column.use_property_split = True
    column.use_property_decorate = False
    return column


def section(layout: Layout, key: str, title: str, closed: bool = False) -> Layout | None:
    """A part of a panel under a title that folds it away; None while it is folded."""
    header, body = layout.panel(f"{PROPERTY}_{key}", default_closed=closed)
    header.label(text=title)
    return body


def part_list(layout: Layout, context: bpy.types.Context, kind: str, count: int) -> None:
    """The list of `count` parts of the active hull."""
    layout.template_list(
        kind,
        "",
        context.view_layer,
        "objects",
        scene_settings(context.scene),
        "active_part",
        rows=min(max(count, 2), 6),
    )


def listed_parts(
    layout: Layout, context: bpy.types.Context, kind: str, none: str, *roles: Role
) -> bpy.types.Object | None:
    """List the parts of the active hull, or say what to do first; returns the active object."""
    here = scene_parts(context.view_layer)
    active = context.view_layer.objects.active
    hull = here.active_hull(active)
    unassigned_parts(layout, context, here.parts_of(None, *roles))
    found = here.parts_of(hull, *roles) if hull else []
    if found:
        part_list(layout, context, kind, len(found))
    else:
        wrapped(layout, context, none if hull else NO_HULL_AT_HAND, "INFO")
    return active


def is_wide(context: bpy.types.Context) -> bool:
    """Whether a list in the sidebar has room beside its names."""
    return context.region.width > NARROW * context.preferences.system.ui_scale


def select_button(layout: Layout, obj: bpy.types.Object) -> None:
    """A button that selects an object."""
    layout.operator(Ops.SELECT_OBJECT, text="", icon="RESTRICT_SELECT_OFF").object_name = obj.name


def unassigned_parts(
    layout: Layout, context: bpy.types.Context, parts: Iterable[bpy.types.Object]
) -> None:
    """A line for each part that belongs to no hull."""
    for part in parts:
        row = layout.row()
        text = iface_("{part} belongs to no hull").format(part=part.name)
        wrapped(row.column(), context, text, "ERROR", BUTTON)
        select_button(row, part)


def findings(
    layout: Layout,
    context: bpy.types.Context,
    found: Iterable[Finding],
    start: int,
    below: Callable[[Finding], None] | None = None,
) -> None:
    """A line for each finding, with a button to its place and what `below` adds.

    `start` is the index of the first.
    """
    for index, finding in enumerate(found, start):
        row = layout.row()
        placed = bool(finding.element or len(finding.points))
        taken = BUTTON if placed else 0
        wrapped(row.column(), context, finding.text, ICONS[finding.severity], taken)
        if placed:
            icon: Any = "RESTRICT_SELECT_OFF" if finding.element else "VIEWZOOM"
            row.operator(Ops.SELECT_FINDING, text="", icon=icon).index = index
        if below:
            below(finding)


def table(layout: Layout, rows: Iterable[tuple[str, str]]) -> None:
    """Rows of a name and a figure, which share the width by their lengths."""
    column = layout.column(align=True)
    for name, value in rows:
        share = len(name) / (len(name) + len(value))
        split = column.split(factor=min(max(share, 0.3), 0.8))
        split.label(text=name)
        cell = split.row()
        cell.alignment = "RIGHT"
        cell.label(text=value)


def passage_lines(layout: Layout, context: bpy.types.Context, part: bpy.types.Object) -> None:
    """Area and height of an opening or door, from its mesh or as given."""
    units = Units.of(context.scene)
    try:
        found = passage(context, part)
    except BadInputError as error:
        wrapped(layout, context, error.line, "ERROR")
        return
    if found is None:
        wrapped(layout, context, n_("Area and height come with the floating position"), "INFO")
        return
    table(
        layout, [(n_("Area"), units.area(found.area)), (n_("Height"), units.length(found.height))]
    )


def cells(layout: Layout, texts: tuple[str, ...]) -> None:
    """A row of texts in columns of equal width."""
    grid = layout.grid_flow(row_major=True, columns=len(texts), even_columns=True, align=True)
    for text in texts:
        grid.label(text=text)


def is_stale(context: bpy.types.Context, entry: session.Entry) -> bool:
    """Whether something changed since a result was found, the scene's units included."""
    return entry.stale or is_rescaled(context, entry)


def is_rescaled(context: bpy.types.Context, entry: session.Entry) -> bool:
    """Whether the scene's unit scale changed since a hull was read."""
    return bool(entry.ship and entry.ship.frame.unit != unit_scale(context.scene))


def assessed(layout: Layout, context: bpy.types.Context) -> session.Entry | None:
    """The result of the active hull if its stability is known; else draws the next step."""
    hull = active_hull(context)
    entry = session.entry_for(hull)
    if hull is None:
        wrapped(layout, context, NO_HULL_AT_HAND, "INFO")
    elif entry is None or entry.floating is None:
        wrapped(layout, context, n_("Find the floating position first"), "INFO")
    elif entry.assessment is None:
        wrapped(layout, context, n_("The vessel sinks: reduce its weight first"), "CANCEL")
    else:
        if is_stale(context, entry):
            stale_line(layout, context, n_("Changed since computed"))
        return entry
    return None


def stale_line(layout: Layout, context: bpy.types.Context, text: str) -> None:
    """Say that something changed since a result was found."""
    column = layout.column()
    column.alert = True
    wrapped(column, context, text, "FILE_REFRESH")

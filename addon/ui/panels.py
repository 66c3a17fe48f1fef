"""The sidebar tab: the hull, her weights, how she floats, what is drawn."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from math import degrees
from typing import Any

import bpy

from ..core.caution import CAUTION
from ..core.findings import BadInputError, Finding
from ..core.floating import Floating
from ..scene import session
from ..scene.axes import AUTO
from ..scene.members import glance, hull_at_hand, is_weight
from ..scene.names import PROPERTY, Basis, Look
from ..scene.read import guessed_axes
from ..scene.settings import ObjectSettings, scene_settings, settings, unit_scale
from .names import TAB, Ops
from .weights import NO_MASS, evaluated, mass_of
from .wording import BUTTON, NONE, NOTHING, Units, headline, heel, trim, wrapped

Layout = bpy.types.UILayout

ICONS = {"warning": "ERROR", "note": "INFO"}


class _SidePanel:
    bl_space_type = "VIEW_3D"
    bl_region_type = "UI"
    bl_category = TAB


class NAVAL_CHECKS_PT_hull(_SidePanel, bpy.types.Panel):
    """Which object is the hull, which way she points, and what is wrong with her surface"""

    bl_label = "Hull"

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        hull = hull_at_hand(context)
        if hull is None:
            _choose_hull(layout, context)
            return
        active = context.view_layer.objects.active
        row = layout.row()
        row.label(text=hull.name, icon="OUTLINER_OB_MESH")
        if active != hull:
            row.operator(
                Ops.SELECT_OBJECT, text="", icon="RESTRICT_SELECT_OFF"
            ).object_name = hull.name
        chosen, entry = settings(hull), session.entry_for(hull)
        column = layout.column()
        column.use_property_split = True
        column.use_property_decorate = False
        _axes(column, context, hull, entry)
        column.prop(chosen, "mirror")
        column.prop(chosen, "water")
        if chosen.water == "OTHER":
            column.prop(chosen, "water_density", text="kg/m³")
        _marks(column, chosen)
        if entry and entry.ship:
            _findings(layout, context, entry.surface, len(entry.words))
        elif entry:
            wrapped(layout, context, entry.message or "", "CANCEL")
        if active not in (None, hull) and active.type == "MESH" and not is_weight(active):
            layout.operator(Ops.MARK_HULL, text=f"Mark {active.name} as Hull")


class NAVAL_CHECKS_PT_weights(_SidePanel, bpy.types.Panel):
    """What she carries"""

    bl_label = "Weights"

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        here = glance(context.view_layer)
        hull = here.hull_at_hand(context.view_layer.objects.active)
        for stray in here.weights_of(None):
            row = layout.row()
            wrapped(row.column(), context, f"{stray.name} belongs to no hull", "ERROR", BUTTON)
            row.operator(
                Ops.SELECT_OBJECT, text="", icon="RESTRICT_SELECT_OFF"
            ).object_name = stray.name
        found = here.weights_of(hull) if hull else []
        if found:
            layout.template_list(
                "NAVAL_CHECKS_UL_weights",
                "",
                context.view_layer,
                "objects",
                scene_settings(context.scene),
                "active_weight",
                rows=min(max(len(found), 2), 6),
            )
            _total(layout, context, found)
        elif hull:
            wrapped(layout, context, "No weights yet: add her own first, then what she carries")
        row = layout.row(align=True)
        row.operator(Ops.ADD_WEIGHT, text="Add", icon="ADD")
        row.operator(Ops.TAG_WEIGHTS, text="Tag Selected")
        active = context.view_layer.objects.active
        if is_weight(active):
            _weight(layout, active)


class NAVAL_CHECKS_PT_floating(_SidePanel, bpy.types.Panel):
    """How she floats"""

    bl_label = "Floating Position"

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        here = glance(context.view_layer)
        row = layout.row(align=True)
        row.scale_y = 1.3
        row.operator(Ops.COMPUTE)
        row.operator(Ops.CLEAR, text="", icon="X")
        if len(here.hulls) > 1:
            layout.operator(Ops.COMPUTE, text="All Hulls").every = True
        hull = here.hull_at_hand(context.view_layer.objects.active)
        entry = session.entry_for(hull)
        if entry is not None:
            self._entry(context, entry)
        wrapped(layout.box(), context, CAUTION)

    def _entry(self, context: bpy.types.Context, entry: session.Entry) -> None:
        layout = self.layout
        if entry.floating is None:
            if entry.message and entry.ship:
                wrapped(layout, context, entry.message, "CANCEL")
            return
        if entry.stale or entry.ship.frame.unit != unit_scale(context.scene):
            row = layout.row()
            row.alert = True
            row.label(text="Changed since computed", icon="FILE_REFRESH")
        words, icon = headline(entry.floating)
        layout.label(text=words, icon=icon)
        _findings(layout, context, entry.words, 0)
        units = Units.of(context.scene)
        _figures(layout, figures(entry.floating, units))
        if entry.floating.others:
            header, body = layout.panel(f"{PROPERTY}_others", default_closed=True)
            header.label(text="Other Stable Positions")
            if body:
                _figures(body, others(entry.floating))


class NAVAL_CHECKS_PT_on_screen(_SidePanel, bpy.types.Panel):
    """What is drawn in the viewport"""

    bl_label = "On Screen"
    bl_options = {"DEFAULT_CLOSED"}

    def draw_header(self, context: bpy.types.Context) -> None:
        self.layout.prop(scene_settings(context.scene), "show_overlay", text="")

    def draw(self, context: bpy.types.Context) -> None:
        chosen = scene_settings(context.scene)
        layout = self.layout
        layout.active = chosen.show_overlay
        layout.row().prop(chosen, "look", expand=True)
        column = layout.column()
        column.use_property_split = True
        column.use_property_decorate = False
        if chosen.look == Look.WATER_LEVEL:
            column.prop(chosen, "twin_distance")
        column.prop(chosen, "marker_scale")
        grid = layout.column(align=True)
        for name in SHAPES:
            grid.prop(chosen, name)


SHAPES = (
    "show_water",
    "show_waterline",
    "show_centre_of_gravity",
    "show_centre_of_buoyancy",
    "show_metacentre",
    "show_centre_of_flotation",
    "show_draft_marks",
    "show_names",
)


def figures(ship: Floating, units: Units) -> Iterable[tuple[str, str]]:
    """The figures of a floating ship, name and value."""
    yield "Displacement", units.mass(ship.weight.mass)
    form = ship.hydrostatics
    if form and ship.rest:
        yield "List", heel(ship.rest.attitude.heel_rad)
        yield "Trim", trim(form.trim, units)
        yield "Draft Aft", units.length(form.draft_aft)
        yield "Draft Amidships", units.length(form.draft_mid)
        yield "Draft Forward", units.length(form.draft_forward)
        yield "Least Freeboard", units.length(form.freeboard_min)
        yield "GM", units.length(ship.GM)
    share = ship.reserve_volume / ship.case.hull.volume
    yield "Reserve Buoyancy", f"{100 * share:.0f} %" if share > 0 else NOTHING


def others(ship: Floating) -> Iterable[tuple[str, str]]:
    """Further positions in which she would lie still, list and trim."""
    for rest in ship.others:
        angle = degrees(rest.attitude.trim_rad)
        end = "stern" if angle > 0 else "bow"
        trimmed = f"{abs(angle):.1f}° by the {end}" if abs(angle) >= 0.05 else ""
        listed = heel(rest.attitude.heel_rad)
        yield "Upright" if listed == NONE else f"List {listed}", trimmed


def _choose_hull(layout: Layout, context: bpy.types.Context) -> None:
    candidates = glance(context.view_layer).hulls
    if candidates:
        layout.label(text="Choose a Hull", icon="INFO")
        for hull in candidates:
            layout.operator(Ops.SELECT_OBJECT, text=hull.name).object_name = hull.name
    else:
        wrapped(layout, context, "No hull yet: select her mesh, then mark it", "INFO")
    layout.operator(Ops.MARK_HULL)


def _axes(
    layout: Layout,
    context: bpy.types.Context,
    hull: bpy.types.Object,
    entry: session.Entry | None,
) -> None:
    chosen = settings(hull)
    layout.prop(chosen, "forward")
    layout.prop(chosen, "up")
    if AUTO not in (chosen.forward, chosen.up):
        return
    axes = entry.ship.axes if entry and entry.ship and not entry.stale else None
    with suppress(BadInputError):
        axes = axes or guessed_axes(context.evaluated_depsgraph_get(), hull)
    if axes:
        guesses = {
            "Forward": axes.forward_guessed and axes.forward,
            "Up": axes.up_guessed and axes.up,
        }
        told = ", ".join(f"{name}: {axis}" for name, axis in guesses.items() if axis)
        layout.label(text=f"{told} (guessed)")


def _marks(layout: Layout, chosen: ObjectSettings) -> None:
    layout.prop(chosen, "use_marks")
    if chosen.use_marks:
        layout.prop(chosen, "aft_perpendicular", text="Aft (AP)")
        layout.prop(chosen, "forward_perpendicular", text="Forward (FP)")
        layout.prop(chosen, "baseline")


def _weight(layout: Layout, weight: bpy.types.Object) -> None:
    chosen = settings(weight)
    column = layout.column()
    column.use_property_split = True
    column.use_property_decorate = False
    if weight.type != "EMPTY":
        column.prop(chosen, "basis")
    if chosen.basis == Basis.POINT:
        column.prop(chosen, "scene_mass")
    elif chosen.basis == Basis.SKIN:
        column.prop(chosen, "skin_density", text="kg/m²")
    else:
        column.prop(chosen, "solid_density", text="kg/m³")
    column.prop(chosen, "group")
    column.prop(chosen, "hull")
    if weight.type == "EMPTY":
        column.prop(chosen, "size_by_mass")


def _total(layout: Layout, context: bpy.types.Context, found: Iterable[bpy.types.Object]) -> None:
    masses = [mass_of(context, weight) for weight in found if evaluated(context, weight)]
    known = sum(mass for mass in masses if mass is not None)
    text = Units.of(context.scene).mass(known)
    _figures(layout, [("Total", f"{text} + {NO_MASS}" if None in masses else text)])


def _findings(
    layout: Layout, context: bpy.types.Context, findings: Iterable[Finding], start: int
) -> None:
    """A line each, with a button to the place where there is one; `start` is the first's index."""
    for index, finding in enumerate(findings, start):
        row = layout.row()
        placed = bool(finding.element or len(finding.points))
        taken = BUTTON if placed else 0
        wrapped(row.column(), context, finding.text, ICONS[finding.severity], taken)
        if placed:
            icon: Any = "RESTRICT_SELECT_OFF" if finding.element else "VIEWZOOM"
            row.operator(Ops.SELECT_FAULTS, text="", icon=icon).index = index


def _figures(layout: Layout, rows: Iterable[tuple[str, str]]) -> None:
    column = layout.column(align=True)
    for name, value in rows:
        split = column.split(factor=0.5)
        split.label(text=name)
        right = split.row()
        right.alignment = "RIGHT"
        right.label(text=value)


register, unregister = bpy.utils.register_classes_factory(
    (
        NAVAL_CHECKS_PT_hull,
        NAVAL_CHECKS_PT_weights,
        NAVAL_CHECKS_PT_floating,
        NAVAL_CHECKS_PT_on_screen,
    )
)

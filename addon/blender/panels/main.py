"""The sidebar tab: the hull, her parts, how she floats and is judged, what is drawn."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from functools import partial
from math import degrees

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.criteria.disclaimer import CAUTION, UNCHECKED, criteria_note
from ...core.hydrostatics.floating_position import UPRIGHT, Floating
from ...core.hydrostatics.tank_soundings import sounding_table
from ...core.messages.findings import BadInputError
from ...core.model.tanks import Tank
from ..controller import session
from ..identifiers import Ops
from ..operators.catalog import NAVAL_CHECKS_MT_add_usual, NAVAL_CHECKS_MT_set_usual
from ..operators.compute import LINKED
from ..operators.corrective_actions import remedy_lines
from ..operators.symmetry import symmetry_lines
from ..operators.weights import mass_of
from ..properties.names import PROPERTY, Basis, Look, Role
from ..properties.settings import OTHER, ObjectSettings, scene_settings, settings
from ..readers.axes import AUTO
from ..readers.hulls import guessed_axes
from ..readers.members import core_names, glance, hull_at_hand, is_enabled, is_part
from ..wording import NOTHING, Units, headline, heel, trim, wrapped
from .damage import INTERIOR
from .layout import (
    NO_HULL_AT_HAND,
    Layout,
    SidePanel,
    cells,
    findings,
    is_stale,
    listed_parts,
    part_list,
    passage_lines,
    select_button,
    settings_column,
    strays,
    table,
)
from .named import problem, said
from .stability import JUDGEMENT

NO_WEIGHTS = n_("No weights yet: add her own first, then what she carries")
NO_TANKS = n_("No tanks: select closed meshes, then mark them")
NO_OPENINGS = n_("No openings: put the 3D cursor where water gets in and add")


class NAVAL_CHECKS_PT_hull(SidePanel, bpy.types.Panel):
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
        row.label(text=hull.name, icon="OUTLINER_OB_MESH", translate=False)
        if active != hull:
            select_button(row, hull)
        if not hull.is_editable:
            wrapped(layout, context, LINKED, "INFO")
        chosen, entry = settings(hull), session.entry_for(hull)
        column = settings_column(layout)
        _axes(column, context, hull, entry)
        column.prop(chosen, "mirror")
        column.prop(chosen, "water")
        if chosen.water == OTHER:
            column.prop(chosen, "water_density", text="kg/m³")
        _marks(column, chosen)
        if entry and entry.ship:
            findings(layout, context, entry.surface, len(entry.words))
        elif entry:
            problem(layout, context, entry.message or "", "CANCEL")
        symmetry_lines(layout, context, hull)
        if active not in (None, hull) and active.type == "MESH" and not is_part(active):
            text = iface_("Mark {object} as Hull").format(object=active.name)
            layout.operator(Ops.MARK_HULL, text=text, translate=False)


class NAVAL_CHECKS_PT_weights(SidePanel, bpy.types.Panel):
    """What she carries"""

    bl_label = "Weights"

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        here = glance(context.view_layer)
        hull = here.hull_at_hand(context.view_layer.objects.active)
        strays(layout, context, here.parts_of(None, Role.WEIGHT))
        found = here.parts_of(hull, Role.WEIGHT) if hull else []
        if found:
            part_list(layout, context, "NAVAL_CHECKS_UL_weights", len(found))
            _total(layout, context, found)
        else:
            wrapped(layout, context, NO_WEIGHTS if hull else NO_HULL_AT_HAND, "INFO")
        row = layout.row(align=True)
        row.operator(Ops.ADD_WEIGHT, text="Add", icon="ADD")
        row.menu(NAVAL_CHECKS_MT_add_usual.__name__, text="", icon="DOWNARROW_HLT")
        row.operator(Ops.DROP, text="Drop", icon="TRACKER")
        row.operator(Ops.IMPORT_WEIGHTS, text="", icon="IMPORT")
        row.operator(Ops.EXPORT_WEIGHTS, text="", icon="EXPORT")
        row = layout.row(align=True)
        row.operator(Ops.TAG_WEIGHTS, text="Mark Selected")
        row.operator(Ops.WEIGH)
        active = context.view_layer.objects.active
        if is_part(active, Role.WEIGHT):
            _weight(layout, active)


class NAVAL_CHECKS_PT_tanks(SidePanel, bpy.types.Panel):
    """Liquids that she carries"""

    bl_label = "Tanks"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        active = listed_parts(layout, context, "NAVAL_CHECKS_UL_tanks", NO_TANKS, Role.TANK)
        layout.operator(Ops.MARK_TANKS)
        if is_part(active, Role.TANK):
            _tank(layout, context, active)


class NAVAL_CHECKS_PT_openings(SidePanel, bpy.types.Panel):
    """Where water gets in, and what catches the wind"""

    bl_label = "Openings and Windage"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        layout, roles = self.layout, (Role.OPENING, Role.WINDAGE)
        active = listed_parts(layout, context, "NAVAL_CHECKS_UL_openings", NO_OPENINGS, *roles)
        row = layout.row(align=True)
        row.operator(Ops.ADD_OPENING, text="Add", icon="ADD")
        row.operator(Ops.MARK_OPENINGS, text="Mark Selected")
        layout.operator(Ops.MARK_WINDAGE)
        if is_part(active, *roles):
            column = settings_column(layout)
            if is_part(active, Role.OPENING):
                column.prop(settings(active), "weathertight")
                opening = settings(active).opening
                column.prop(opening, "kind")
                if active.type == "EMPTY":
                    column.prop(opening, "area")
                    column.prop(opening, "height")
                else:
                    passage_lines(column, context, active, opening)
            column.prop(settings(active), "both_sides")
            column.prop(settings(active), "hull")


class NAVAL_CHECKS_PT_floating(SidePanel, bpy.types.Panel):
    """How she floats"""

    bl_label = "Floating Position"

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        here = glance(context.view_layer)
        row = layout.row(align=True)
        row.scale_y = 1.3
        row.operator(Ops.COMPUTE)
        row.prop(scene_settings(context.scene), "live", text="", icon="PLAY")
        row.operator(Ops.CLEAR, text="", icon="X")
        if len(here.hulls) > 1:
            layout.operator(Ops.COMPUTE, text="All Hulls").every = True
        hull = here.hull_at_hand(context.view_layer.objects.active)
        entry = session.entry_for(hull)
        if entry is not None:
            self._entry(context, entry)
        elif hull is None:
            wrapped(layout, context, NO_HULL_AT_HAND, "INFO")
        elif session.known_of(hull):
            wrapped(layout, context, n_("Not computed yet in this condition"), "INFO")
        box = layout.box()
        wrapped(box, context, CAUTION)
        judged = entry.assessment if entry else None
        wrapped(box, context, criteria_note(judged.verdicts) if judged else UNCHECKED)

    def _entry(self, context: bpy.types.Context, entry: session.Entry) -> None:
        layout = self.layout
        if entry.floating is None:
            if entry.message and entry.ship:
                problem(layout, context, entry.message, "CANCEL")
            return
        if is_stale(context, entry):
            row = layout.row()
            row.alert = True
            row.label(text="Changed since computed", icon="FILE_REFRESH")
        elif entry.behind:
            layout.label(text="Stability is of the last settled shape", icon="SORTTIME")
        words, icon = headline(entry.floating)
        layout.label(text=words, icon=icon)
        if entry.loading:
            layout.label(text=entry.loading, icon="PRESET", translate=False)
        findings(layout, context, entry.words, 0, partial(remedy_lines, layout, context, entry))
        said(layout, context, entry.aboard)
        units = Units.of(context.scene)
        table(layout, figures(entry.floating, units))
        if entry.floating.others:
            header, body = layout.panel(f"{PROPERTY}_others", default_closed=True)
            header.label(text="Other Stable Positions")
            if body:
                table(body, others(entry.floating))


class NAVAL_CHECKS_PT_on_screen(SidePanel, bpy.types.Panel):
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
        column = settings_column(layout)
        if chosen.look == Look.WATER_LEVEL:
            column.prop(chosen, "twin_distance")
        column.prop(chosen, "marker_scale")
        if chosen.show_chart:
            column.prop(chosen, "chart_size")
        grid = layout.column(align=True)
        for name in SHAPES:
            grid.prop(chosen, name)


class NAVAL_CHECKS_PT_export(SidePanel, bpy.types.Panel):
    """Where the ship goes from here"""

    bl_label = "Export"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        if hull_at_hand(context) is None:
            wrapped(layout, context, NO_HULL_AT_HAND, "INFO")
        layout.operator(Ops.EXPORT_CASE, icon="EXPORT")


SHAPES = (
    "show_water",
    "show_waterline",
    "show_centre_of_gravity",
    "show_centre_of_buoyancy",
    "show_metacentre",
    "show_centre_of_flotation",
    "show_draft_marks",
    "show_dimensions",
    "show_openings",
    "show_rooms",
    "show_liquids",
    "show_names",
    "show_chart",
)


def figures(ship: Floating, units: Units) -> Iterable[tuple[str, str]]:
    """The figures of a floating ship, name and value."""
    yield n_("Displacement"), units.mass(ship.weight.mass)
    form = ship.hydrostatics
    if form and ship.rest:
        yield n_("List"), heel(ship.rest.attitude.heel_rad)
        yield n_("Trim"), trim(form.trim, units)
        yield n_("Draft Aft"), units.length(form.draft_aft)
        yield n_("Draft Amidships"), units.length(form.draft_mid)
        yield n_("Draft Forward"), units.length(form.draft_forward)
        yield n_("Least Freeboard"), units.length(form.freeboard_min)
        yield n_("GM"), units.length(ship.GM)
        if ship.GM_fluid < ship.GM:
            yield n_("GM, Free Surfaces"), units.length(ship.GM_fluid)
    share = ship.reserve_volume / ship.case.hull.volume
    yield n_("Reserve Buoyancy"), f"{100 * share:.0f} %" if share > 0 else NOTHING


def others(ship: Floating) -> Iterable[tuple[str, str]]:
    """Further positions in which she would lie still, list and trim."""
    for rest in ship.others:
        angle = degrees(rest.attitude.trim_rad)
        text = iface_("{angle}° by the stern") if angle > 0 else iface_("{angle}° by the bow")
        trimmed = text.format(angle=f"{abs(angle):.1f}") if abs(angle) >= 0.05 else ""
        listed = iface_("List {angle}").format(angle=heel(rest.attitude.heel_rad))
        upright = abs(rest.attitude.heel_rad) <= UPRIGHT
        yield iface_("Upright") if upright else listed, trimmed


def _choose_hull(layout: Layout, context: bpy.types.Context) -> None:
    candidates = glance(context.view_layer).hulls
    if candidates:
        layout.label(text="Choose a Hull", icon="INFO")
        for hull in candidates:
            button = layout.operator(Ops.SELECT_OBJECT, text=hull.name, translate=False)
            button.object_name = hull.name
    else:
        wrapped(layout, context, n_("No hull yet: select her mesh, then mark it"), "INFO")
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
            iface_("Forward"): axes.forward_guessed and axes.forward,
            iface_("Up"): axes.up_guessed and axes.up,
        }
        told = ", ".join(f"{name}: {axis}" for name, axis in guesses.items() if axis)
        layout.label(text=iface_("{axes} (guessed)").format(axes=told))


def _marks(layout: Layout, chosen: ObjectSettings) -> None:
    layout.prop(chosen, "use_marks")
    if chosen.use_marks:
        layout.prop(chosen, "aft_perpendicular", text="Aft (AP)")
        layout.prop(chosen, "forward_perpendicular", text="Forward (FP)")
        layout.prop(chosen, "baseline")


def _weight(layout: Layout, weight: bpy.types.Object) -> None:
    chosen = settings(weight)
    layout.menu(NAVAL_CHECKS_MT_set_usual.__name__)
    column = settings_column(layout)
    if weight.type != "EMPTY":
        column.prop(chosen, "basis")
    if chosen.basis == Basis.POINT:
        column.prop(chosen, "scene_mass")
    elif chosen.basis == Basis.SKIN:
        column.prop(chosen, "skin_density", text="kg/m²")
    else:
        column.prop(chosen, "solid_density", text="kg/m³")
    column.prop(chosen, "both_sides")
    column.prop(chosen, "fixed")
    column.prop(chosen, "group")
    column.prop(chosen, "hull")
    if weight.type == "EMPTY":
        column.prop(chosen, "size_by_mass")


def _tank(layout: Layout, context: bpy.types.Context, tank: bpy.types.Object) -> None:
    chosen = settings(tank)
    column = settings_column(layout)
    column.prop(chosen, "content")
    if chosen.content == OTHER:
        column.prop(chosen, "content_density", text="kg/m³")
    column.prop(chosen, "fill", slider=True)
    column.prop(chosen, "permeability", slider=True)
    column.prop(chosen, "both_sides")
    column.prop(chosen, "group")
    column.prop(chosen, "hull")
    entry = session.entry_for(glance(context.view_layer).owner(tank))
    known = entry.floating.case.tanks if entry and entry.floating else ()
    units = Units.of(context.scene)
    for found in known:
        if found.name == core_names(tank)[0]:
            both = chosen.both_sides
            rows = [
                (n_("Holds, Each") if both else n_("Holds"), units.volume(found.capacity)),
                (n_("Content, Each") if both else n_("Content"), units.mass(found.mass)),
            ]
            table(layout, rows)
            header, body = layout.panel(f"{PROPERTY}_soundings", default_closed=True)
            header.label(text="Soundings")
            if body:
                _soundings(body, context, found, units)


def _soundings(layout: Layout, context: bpy.types.Context, tank: Tank, units: Units) -> None:
    """The capacity table of a tank upright, from its lowest point up."""
    found, (unit, symbol) = sounding_table(tank), units.moment_unit
    heads = (n_("Level"), n_("Volume"), n_("Mass"), n_("Moment"))
    cells(layout, heads)
    for level, volume, mass, moment in zip(
        found.levels, found.volumes, found.masses, found.moments, strict=True
    ):
        row = (units.length(level), units.volume(volume), units.mass(mass), f"{moment / unit:.3g}")
        cells(layout, row)
    text = iface_("Moment: that of the free surface, in {unit}")
    wrapped(layout, context, text.format(unit=symbol))


def _total(layout: Layout, context: bpy.types.Context, found: Iterable[bpy.types.Object]) -> None:
    masses = [
        mass_of(context, weight) for weight in found if is_enabled(context.view_layer, weight)
    ]
    known = sum(mass for mass in masses if mass is not None)
    text = Units.of(context.scene).mass(known)
    if None in masses:
        text = iface_("{mass} + what is as modelled").format(mass=text)
    table(layout, [(n_("Total"), text)])


PANELS = (
    NAVAL_CHECKS_PT_hull,
    NAVAL_CHECKS_PT_weights,
    NAVAL_CHECKS_PT_tanks,
    NAVAL_CHECKS_PT_openings,
    NAVAL_CHECKS_PT_floating,
    *JUDGEMENT,
    *INTERIOR,
    NAVAL_CHECKS_PT_on_screen,
    NAVAL_CHECKS_PT_export,
)
"""In the order of the work."""

register, unregister = bpy.utils.register_classes_factory(PANELS)

"""The lists of parts in the sidebar."""

from __future__ import annotations

from typing import ClassVar

import bpy
from bpy.app.translations import pgettext_n as n_

from ...units.quantities import Units
from ..controller.part_figures import mass_of
from ..properties.names import Basis, Role
from ..properties.settings import settings
from ..readers.members import core_names, is_enabled, scene_parts
from .layout import is_wide

NO_MASS = n_("from mesh")


class PartsList(bpy.types.UIList):
    """The parts of the active hull in some roles, out of all objects of the view layer."""

    roles: ClassVar[tuple[Role, ...]]

    def filter_items(self, context, data, property) -> tuple[list[int], list[int]]:
        objects = getattr(data, property)
        helper = bpy.types.UI_UL_list
        flags = (
            helper.filter_items_by_name(self.filter_name, self.bitflag_filter_item, objects)
            if self.filter_name
            else [self.bitflag_filter_item] * len(objects)
        )
        found = scene_parts(context.view_layer)
        hull = found.active_hull(context.view_layer.objects.active)
        own = {part.name for part in found.parts_of(hull, *self.roles)} if hull else ()
        for index, obj in enumerate(objects):
            if obj.name not in own:
                flags[index] &= ~self.bitflag_filter_item
        order = helper.sort_items_by_name(objects) if self.use_filter_sort_alpha else []
        return flags, order


class NAVAL_CHECKS_UL_weights(PartsList):
    """The weights of the active hull."""

    roles = (Role.WEIGHT,)

    def draw_item(
        self, context, layout, data, item, icon, active_data, active_property, index, flt_flag
    ) -> None:
        row = layout.split(factor=0.72)
        row.active = is_enabled(context.view_layer, item)
        row.prop(
            item, "name", text="", emboss=False, icon=WEIGHT_ICONS[settings(item).weight.basis]
        )
        mass = mass_of(context, item)
        right = row.row()
        right.alignment = "RIGHT"
        right.label(text=NO_MASS if mass is None else _mass_text(context, item, mass))


WEIGHT_ICONS = {
    Basis.POINT: "MESH_UVSPHERE",
    Basis.SKIN: "MOD_SOLIDIFY",
    Basis.SOLID: "MESH_CUBE",
}


def _mass_text(context: bpy.types.Context, weight: bpy.types.Object, mass: float) -> str:
    """'40 kg', '2 × 40 kg'."""
    count = len(core_names(weight))
    each = Units.of(context.scene).mass(mass / count)
    return each if count == 1 else f"{count} × {each}"


class NAVAL_CHECKS_UL_tanks(PartsList):
    """The tanks of the active hull and their fill."""

    roles = (Role.TANK,)

    def draw_item(
        self, context, layout, data, item, icon, active_data, active_property, index, flt_flag
    ) -> None:
        row = layout.split(factor=0.6)
        row.active = is_enabled(context.view_layer, item)
        row.prop(item, "name", text="", emboss=False, icon="MESH_CYLINDER")
        row.prop(settings(item).tank, "fill", text="", slider=True)


class NAVAL_CHECKS_UL_openings(PartsList):
    """The openings and windage areas of the active hull."""

    roles = (Role.OPENING, Role.WINDAGE)

    def draw_item(
        self, context, layout, data, item, icon, active_data, active_property, index, flt_flag
    ) -> None:
        chosen = settings(item)
        row = layout.split(factor=0.64)
        row.active = is_enabled(context.view_layer, item)
        kind = n_("Windage")
        if chosen.role == Role.OPENING:
            opening = chosen.opening
            kind = opening.bl_rna.properties["protection"].enum_items[opening.protection].name
        row.prop(item, "name", text="", emboss=False, icon=OPENING_ICONS[chosen.role])
        row.label(text=kind)


OPENING_ICONS = {Role.OPENING: "EMPTY_AXIS", Role.WINDAGE: "FORCE_WIND"}


class NAVAL_CHECKS_UL_boundaries(PartsList):
    """Decks, bulkheads, compartment marks and doors of the active hull."""

    roles = (Role.BOUNDARY, Role.COMPARTMENT, Role.DOOR)

    def draw_item(
        self, context, layout, data, item, icon, active_data, active_property, index, flt_flag
    ) -> None:
        chosen = settings(item)
        wide = chosen.role != Role.BOUNDARY and is_wide(context)
        row = layout.split(factor=0.65) if wide else layout
        row.prop(item, "name", text="", emboss=False, icon=BOUNDARY_ICONS[chosen.role])
        if wide and chosen.role == Role.DOOR:
            row.prop(chosen.door, "closed")
        elif wide:
            row.prop(chosen.compartment, "use", text="")


class NAVAL_CHECKS_UL_breaches(PartsList):
    """The breaches of the active hull and their areas."""

    roles = (Role.BREACH,)

    def draw_item(
        self, context, layout, data, item, icon, active_data, active_property, index, flt_flag
    ) -> None:
        row = layout.split(factor=0.5)
        row.prop(item, "name", text="", emboss=False, icon="MESH_CIRCLE")
        row.prop(settings(item).breach, "area", text="")


BOUNDARY_ICONS = {Role.BOUNDARY: "MESH_GRID", Role.COMPARTMENT: "MESH_CUBE", Role.DOOR: "IMPORT"}


register, unregister = bpy.utils.register_classes_factory(
    (
        NAVAL_CHECKS_UL_weights,
        NAVAL_CHECKS_UL_tanks,
        NAVAL_CHECKS_UL_openings,
        NAVAL_CHECKS_UL_boundaries,
        NAVAL_CHECKS_UL_breaches,
    )
)

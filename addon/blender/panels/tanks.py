"""The panel of tanks."""

from __future__ import annotations

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.model.tanks import Tank
from ...units.quantities import Units
from ..controller.part_figures import soundings, tank_afloat
from ..identifiers import Ops
from ..properties.names import Role
from ..properties.settings import settings
from ..readers.members import is_part
from ..wording import wrapped
from .layout import (
    Layout,
    SidePanel,
    cells,
    listed_parts,
    section,
    settings_column,
    table,
)
from .part_fields import draw_part

NO_TANKS = n_("No tanks: select closed meshes, then mark them")


class NAVAL_CHECKS_PT_tanks(SidePanel, bpy.types.Panel):
    """Tanks and the liquids in them"""

    bl_label = "Tanks"
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        active = listed_parts(layout, context, "NAVAL_CHECKS_UL_tanks", NO_TANKS, Role.TANK)
        layout.operator(Ops.MARK_TANKS)
        if is_part(active, Role.TANK):
            _tank(layout, context, active)


def _tank(layout: Layout, context: bpy.types.Context, tank: bpy.types.Object) -> None:
    draw_part(settings_column(layout), tank)
    found = tank_afloat(context, tank)
    if found is None:
        return
    units, both = Units.of(context.scene), settings(tank).both_sides
    rows = [
        (n_("Capacity (Each)") if both else n_("Capacity"), units.volume(found.capacity)),
        (n_("Content (Each)") if both else n_("Content"), units.mass(found.mass)),
    ]
    table(layout, rows)
    body = section(layout, "soundings", n_("Soundings"), closed=True)
    if body:
        _soundings(body, context, found, units)


def _soundings(layout: Layout, context: bpy.types.Context, tank: Tank, units: Units) -> None:
    """The capacity table of a tank upright, from its lowest point up."""
    found, (unit, symbol) = soundings(tank), units.moment_unit
    heads = (n_("Level"), n_("Volume"), n_("Mass"), n_("Moment"))
    cells(layout, heads)
    for level, volume, mass, moment in zip(
        found.levels, found.volumes, found.masses, found.moments, strict=True
    ):
        row = (units.length(level), units.volume(volume), units.mass(mass), f"{moment / unit:.3g}")
        cells(layout, row)
    text = iface_("Moment: free surface moment, in {unit}")
    wrapped(layout, context, text.format(unit=symbol))

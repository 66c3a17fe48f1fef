"""The panel of stability."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees, isfinite

import bpy
import numpy as np
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.hydrostatics.floating_position import FloatingPosition
from ...core.hydrostatics.upright import UPRIGHT_TOLERANCE
from ...core.model.openings import Opening
from ...core.stability.both_sides import SideStability, Stability
from ...units.quantities import Units
from ..controller import session, shown_state
from ..identifiers import Ops
from ..properties.settings import scene_settings
from ..viewport.readout import righting
from ..wording import BUTTON, trim, wrapped
from .layout import SidePanel, assessed, section, table
from .named import finding_lines

NO_OPENINGS = n_("No openings: add those through which water enters")
NEVER = n_("never")
SIDES = {"starboard": n_("Heeled to Starboard"), "port": n_("Heeled to Port")}
ALIKE = 1e-3
"""Sides whose figures differ by less, in radians or meters, are shown as one."""


class NAVAL_CHECKS_PT_stability(SidePanel, bpy.types.Panel):
    """GZ curve, its angles, and immersion of openings"""

    bl_label = "Stability"

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        entry = assessed(layout, context)
        if entry is None:
            return
        ship, units = entry.assessment.stability, Units.of(context.scene)
        finding_lines(layout, context, entry.curve_findings)
        if not floats_upright(ship.floating):
            table(layout, [(n_("GM Upright"), units.length(ship.GM))])
        floods = ship.starboard.floods_before_vanishing or ship.port.floods_before_vanishing
        differ = sides_differ(ship)
        for side in (ship.starboard, ship.port) if differ else (ship.starboard,):
            if differ:
                layout.label(text=iface_(SIDES[side.name]))
            table(layout, side_rows(side, units, floods))
        self._held_heel(context, entry, units)
        openings = list(active_openings(ship))
        if not openings:
            wrapped(layout, context, NO_OPENINGS, "INFO")
            return
        body = section(layout, "opening_immersion", n_("Opening Immersion Angles"))
        for opening, text in openings if body else ():
            row = body.row()
            wrapped(row.column(), context, f"{opening.name}: {text}", "NONE", BUTTON)
            button = row.operator(Ops.SHOW_OPENING, text="", icon="VIEWZOOM")
            button.opening, button.place = opening.name, opening.point.tolist()

    def _held_heel(self, context: bpy.types.Context, entry: session.Entry, units: Units) -> None:
        layout, chosen = self.layout, scene_settings(context.scene)
        column = layout.column(align=True)
        column.prop(chosen, "use_held_heel")
        heeled = shown_state.at_held_heel(entry, chosen)
        if heeled is None:
            return
        column.prop(chosen, "held_heel", slider=True)
        form = heeled.floating.hydrostatics
        rows = [
            (n_("GZ"), units.length(righting(chosen.held_heel, heeled.held.arm))),
            (n_("Draft Amidships"), units.length(form.draft_mid)),
            (n_("Trim"), trim(form.trim, units)),
        ]
        table(column, rows)


def floats_upright(ship: FloatingPosition) -> bool:
    """Whether the vessel has no list at rest, so that its GM is that at upright."""
    rest = ship.equilibrium
    return rest is not None and abs(rest.attitude.heel_rad) <= UPRIGHT_TOLERANCE


def sides_differ(ship: Stability) -> bool:
    """Whether stability differs to starboard and to port."""

    def figures(side: SideStability) -> list[float]:
        angles = (
            side.equilibrium_heel,
            side.vanishing_angle,
            side.deck_edge_angle,
            side.downflooding_angle,
        )
        return [min(value, 9.0) for value in (*angles, side.max_gz, side.max_gz_heel)]

    return not np.allclose(figures(ship.starboard), figures(ship.port), rtol=0.0, atol=ALIKE)


def side_rows(side: SideStability, units: Units, to_flooding: bool) -> Iterator[tuple[str, str]]:
    """The figures of a side, name and value; those `to_flooding` where water enters first."""
    yield n_("Maximum GZ"), units.length(side.max_gz)
    yield n_("Angle of Maximum GZ"), angle(side.max_gz_heel)
    if to_flooding:
        yield n_("Maximum GZ to Downflooding"), units.length(side.max_gz_to_downflooding[1])
    yield n_("Range of Stability"), angle(side.range)
    if to_flooding:
        yield n_("Range to Downflooding"), angle(side.range_to_downflooding)
    yield n_("Angle of Vanishing Stability"), angle(side.vanishing_angle)
    yield n_("Deck-Edge Immersion Angle"), angle(side.deck_edge_angle)
    yield n_("Downflooding Angle"), angle(side.downflooding_angle)


def angle(radians: float) -> str:
    """'35.2°', 'never'."""
    return f"{degrees(radians):.1f}°" if isfinite(radians) else iface_(NEVER)


def active_openings(ship: Stability) -> Iterator[tuple[Opening, str]]:
    """Every opening, and the heel at which it is immersed as text."""
    under: dict[str, list[tuple[float, SideStability, Opening]]] = {
        opening.name: [] for opening in ship.case.active_openings
    }
    for side in (ship.starboard, ship.port):
        for each in side.immersions:
            found = under.setdefault(each.opening.name, [])
            found.append((each.heel, side, each.opening))
    named = {opening.name: opening for opening in ship.case.active_openings}
    for name, sides in under.items():
        first = min(sides, key=lambda each: each[0], default=None)
        opening = named.get(name) or first[2]
        immersed_at = _immersion_text(sides, first)
        tight = iface_("{immersed_at}, weathertight").format(immersed_at=immersed_at)
        yield opening, tight if opening.weathertight else immersed_at


def _immersion_text(
    sides: list[tuple[float, SideStability, Opening]],
    first: tuple[float, SideStability, Opening] | None,
) -> str:
    if first is None:
        return iface_("never immersed")
    heel, side, _ = first
    if heel <= side.equilibrium_heel:
        return iface_("immersed at rest")
    heels = [each[0] for each in sides]
    both = len(heels) == 2 and abs(heels[0] - heels[1]) < ALIKE
    if both:
        return iface_("{angle} to both sides").format(angle=angle(heel))
    text = iface_("{angle} to starboard") if side.name == "starboard" else iface_("{angle} to port")
    return text.format(angle=angle(heel))

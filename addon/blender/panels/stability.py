"""Panels on how she is judged: stability, criteria, loading conditions."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees, isfinite

import bpy
import numpy as np
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_

from ...core.model.openings import Opening
from ...core.stability.both_sides import SideStability, Stability
from ...units.quantities import Units
from ..controller import session, shown_state
from ..identifiers import Ops
from ..properties.names import PROPERTY
from ..properties.settings import scene_settings
from ..viewport.shapes import righting
from ..wording import BUTTON, trim, wrapped
from .layout import SidePanel, judged, table
from .named import said

NO_WAYS_IN = n_("No openings: add those through which water gets in")
NEVER = n_("never")
ALIKE = 1e-3
"""Sides whose figures differ by less, in radians or meters, are shown as one."""


class NAVAL_CHECKS_PT_stability(SidePanel, bpy.types.Panel):
    """How she rights herself, and where water gets in"""

    bl_label = "Stability"

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        entry = judged(layout, context)
        if entry is None:
            return
        ship, units = entry.assessment.stability, Units.of(context.scene)
        said(layout, context, entry.said)
        table(layout, [(n_("GM Upright"), units.length(ship.GM))])
        floods = ship.starboard.floods_before_vanishing or ship.port.floods_before_vanishing
        if sides_differ(ship):
            table(layout, [("", iface_("Starboard"), iface_("Port"))])
            both = (arms(side, units, floods) for side in (ship.starboard, ship.port))
            pairs = zip(*both, strict=True)
            table(layout, [(name, value, other) for (name, value), (_, other) in pairs])
        else:
            table(layout, arms(ship.starboard, units, floods))
        self._look(context, entry, units)
        ways = list(active_openings(ship))
        if not ways:
            wrapped(layout, context, NO_WAYS_IN, "INFO")
            return
        header, body = layout.panel(f"{PROPERTY}_ways_in")
        header.label(text="Opening Immersion")
        for opening, text in ways if body else ():
            row = body.row()
            wrapped(row.column(), context, f"{opening.name}: {text}", "NONE", BUTTON)
            button = row.operator(Ops.SHOW_OPENING, text="", icon="VIEWZOOM")
            button.opening, button.place = opening.name, opening.point.tolist()

    def _look(self, context: bpy.types.Context, entry: session.Entry, units: Units) -> None:
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


def sides_differ(ship: Stability) -> bool:
    """Whether she is not the same to starboard and to port."""

    def figures(side: SideStability) -> list[float]:
        angles = (
            side.equilibrium_heel,
            side.vanishing_angle,
            side.deck_edge_angle,
            side.downflooding_angle,
        )
        return [min(value, 9.0) for value in (*angles, side.max_gz, side.max_gz_heel)]

    return not np.allclose(figures(ship.starboard), figures(ship.port), rtol=0.0, atol=ALIKE)


def arms(side: SideStability, units: Units, to_flooding: bool) -> Iterator[tuple[str, str]]:
    """The figures of a side, name and value; some `to_flooding` too, where arms end."""
    yield n_("Maximum GZ"), units.length(side.max_gz)
    yield n_("At Heel"), angle(side.max_gz_heel)
    if to_flooding:
        yield n_("GZ to Flooding"), units.length(side.max_gz_to_downflooding[1])
    yield n_("Range"), angle(side.range)
    if to_flooding:
        yield n_("To Downflooding"), angle(side.range_to_downflooding)
    yield n_("Angle of Vanishing Stability"), angle(side.vanishing_angle)
    yield n_("Deck Edge Immersion"), angle(side.deck_edge_angle)
    yield n_("Downflooding Angle"), angle(side.downflooding_angle)


def angle(radians: float) -> str:
    """'35.2°', 'never'."""
    return f"{degrees(radians):.1f}°" if isfinite(radians) else iface_(NEVER)


def active_openings(ship: Stability) -> Iterator[tuple[Opening, str]]:
    """Every opening, and in words the heel at which it goes under."""
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
        under_at = _goes_under(sides, first)
        tight = iface_("{under_at}, weathertight").format(under_at=under_at)
        yield opening, tight if opening.weathertight else under_at


def _goes_under(
    sides: list[tuple[float, SideStability, Opening]],
    first: tuple[float, SideStability, Opening] | None,
) -> str:
    if first is None:
        return iface_("stays dry")
    heel, side, _ = first
    if heel <= side.equilibrium_heel:
        return iface_("under at rest")
    heels = [each[0] for each in sides]
    both = len(heels) == 2 and abs(heels[0] - heels[1]) < ALIKE
    if both:
        return iface_("{angle} either way").format(angle=angle(heel))
    text = iface_("{angle} to starboard") if side.name == "starboard" else iface_("{angle} to port")
    return text.format(angle=angle(heel))

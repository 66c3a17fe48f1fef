"""Settings of a scene: viewport display and inputs of the panels."""

from __future__ import annotations

from math import pi, radians
from typing import Any

import bpy
from bpy.props import (
    BoolProperty,
    EnumProperty,
    FloatProperty,
    FloatVectorProperty,
    IntProperty,
)

from ...core.damage.floodable_vessel import DEFAULT_PERMEABILITY
from .callbacks import display_changed
from .events import Event, emit
from .names import WaterDisplay
from .selection import active_index, make_active

BULKHEAD_COUNT: dict[str, Any] = {
    "name": "Bulkheads",
    "description": "Number of transverse bulkheads to suggest",
    "default": 3,
    "min": 1,
    "soft_max": 12,
    "max": 99,
}
"""The number of bulkheads that the panel and the operator ask for."""


def _live_switched(self: SceneSettings, context: bpy.types.Context) -> None:
    emit(Event.LIVE_SWITCHED)


def _shown(name: str, what: str, default: bool = True) -> Any:
    return BoolProperty(
        name=name, description=f"Show {what}", default=default, update=display_changed
    )


class SceneSettings(bpy.types.PropertyGroup):
    """Viewport display and inputs of the panels."""

    live: BoolProperty(
        name="Live Update",
        description="Update results while modeling: at once where quick, on pauses where it takes "
        "longer, and not automatically where it takes seconds",
        default=True,
        update=_live_switched,
    )
    show_overlay: _shown("Viewport Display", "the floating position in the 3D viewport")
    show_water: _shown("Water", "the water plane")
    show_waterline: _shown("Waterline", "the waterline on the hull")
    show_center_of_gravity: _shown("Center of Gravity", "G, the center of all weights")
    show_center_of_buoyancy: _shown("Center of Buoyancy", "B, the center of the displaced volume")
    show_metacenter: _shown(
        "Metacenter", "M, the transverse metacenter; the vessel is stable with G below it"
    )
    show_center_of_flotation: _shown(
        "Center of Flotation", "F, the centroid of the waterplane, about which the vessel trims"
    )
    show_draft_marks: _shown("Draft Marks", "the drafts at the perpendiculars")
    show_dimensions: _shown(
        "Dimensions", "length, beam, depth, minimum freeboard and air draft", default=False
    )
    show_openings: _shown("Openings", "the openings, red where water enters")
    show_compartments: _shown("Compartments", "transparent compartments, once found")
    show_liquids: _shown("Liquids", "the liquids in tanks, once compartments are found")
    show_chart: _shown(
        "Chart",
        "the chart of the active hull: GZ curve, flooding in time or floodable length",
    )
    show_labels: _shown("Labels", "the letters G, B, M, F and the drafts")
    water_display: EnumProperty(
        name="Water Display",
        description="Display of the water",
        items=(
            (
                WaterDisplay.SHIP_FIXED,
                "On the Hull",
                "Hull as modeled, with inclined water",
            ),
            (
                WaterDisplay.WATER_LEVEL,
                "Floated Copy",
                "A drawn copy beside the hull floats in level water",
            ),
        ),
        update=display_changed,
    )
    copy_distance: FloatProperty(
        name="Copy Distance",
        description="Distance of the floated copy from the hull, in breadths of the hull",
        default=1.5,
        min=0.0,
        soft_max=10.0,
        update=display_changed,
    )
    marker_scale: FloatProperty(
        name="Marker Size",
        description="Size of markers and letters; 1 is the default",
        default=1.0,
        min=0.1,
        soft_max=4.0,
        update=display_changed,
    )
    chart_place: FloatVectorProperty(
        name="Chart Position",
        description="Position of the chart in the viewport, from the left and from the bottom",
        size=2,
        default=(1.0, 0.0),
        min=0.0,
        max=1.0,
        update=display_changed,
    )
    chart_size: FloatProperty(
        name="Chart Size",
        description="Size of the chart; 1 is the default",
        default=1.0,
        min=0.5,
        max=4.0,
        update=display_changed,
    )
    use_held_heel: BoolProperty(
        name="Hold at Heel",
        description="Show the vessel held at a heel instead of at rest",
        update=display_changed,
    )
    held_heel: FloatProperty(
        name="Heel",
        description="Heel at which the vessel is held, positive to starboard; displacement is kept "
        "and trim is free",
        subtype="ANGLE",
        default=radians(30.0),
        min=-pi,
        max=pi,
        step=100,
        update=display_changed,
    )
    use_inspected_place: BoolProperty(
        name="Inspect Position",
        description="Show the floodable length with its center at a position",
        update=display_changed,
    )
    inspected_place: FloatProperty(
        name="Center",
        description="Center of the floodable length, forward of the aft perpendicular",
        subtype="DISTANCE",
        default=0.0,
        step=10,
        update=display_changed,
    )
    bulkheads: IntProperty(**BULKHEAD_COUNT)
    compartment_permeability: FloatProperty(
        name="Permeability",
        description="Share of a flooded length that water can fill, from side to side and from "
        "keel to deck, for suggested bulkheads and the floodable length",
        default=DEFAULT_PERMEABILITY,
        min=0.01,
        max=1.0,
    )
    play_flooding: BoolProperty(
        name="Play Flooding",
        description="Show the flooding at the time of the current frame",
        update=display_changed,
    )
    flooding_start: IntProperty(
        name="Start Frame",
        description="Frame at which the breach opens",
        default=1,
        update=display_changed,
    )
    flooding_speed: FloatProperty(
        name="Speed",
        description="Seconds of flooding in a second of playback",
        default=1.0,
        min=0.01,
        soft_max=600.0,
        update=display_changed,
    )
    active_verdict: IntProperty(
        name="Active Verdict",
        description="Criterion whose values and reason are shown",
        options={"SKIP_SAVE"},
    )
    active_part: IntProperty(
        name="Active Part",
        description="Active object; choosing one selects it",
        get=active_index,
        set=make_active,
        options={"SKIP_SAVE"},
    )

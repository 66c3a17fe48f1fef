"""Settings of a scene: what is drawn in the viewport, and what the panels ask for."""

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

from ...core.damage.floodable_length import DEFAULT_PERMEABILITY
from .callbacks import display_changed
from .events import Event, emit
from .names import WaterDisplay
from .selection import active_index, make_active


def _live_switched(self: SceneSettings, context: bpy.types.Context) -> None:
    emit(Event.LIVE_SWITCHED)


def _shown(name: str, what: str, default: bool = True) -> Any:
    return BoolProperty(
        name=name, description=f"Draw {what}", default=default, update=display_changed
    )


class SceneSettings(bpy.types.PropertyGroup):
    """What is drawn in the viewport."""

    live: BoolProperty(
        name="Live",
        description="Let the figures follow while you model: at once where that is quick, when you "
        "pause where it takes longer, and never by themselves where it takes seconds",
        default=True,
        update=_live_switched,
    )
    show_overlay: _shown("Viewport Display", "the floating position in the 3D viewport")
    show_water: _shown("Water", "the water plane")
    show_waterline: _shown("Waterline", "the line in which the water meets the hull")
    show_center_of_gravity: _shown("Center of Gravity", "G, the center of all weights")
    show_center_of_buoyancy: _shown(
        "Center of Buoyancy", "B, the center of the water she displaces"
    )
    show_metacenter: _shown(
        "Metacenter", "M, the point about which she swings; she is stable with G below it"
    )
    show_center_of_flotation: _shown(
        "Center of Flotation", "F, the center of the waterplane, about which she trims"
    )
    show_draft_marks: _shown("Draft Marks", "the drafts at the perpendiculars")
    show_dimensions: _shown(
        "Dimensions", "lengths, beam, depth, least freeboard and air draft, measured", default=False
    )
    show_openings: _shown("Openings", "the openings, red where water comes in")
    show_compartments: _shown(
        "Compartments", "her compartments, seen through, once they were found"
    )
    show_liquids: _shown("Liquids", "the liquids in tanks, once compartments were found")
    show_chart: _shown(
        "Chart",
        "the chart of the hull at hand: her righting arms, a flooding in time or floodable length",
    )
    show_labels: _shown("Labels", "the letters G, B, M, F and the figures of the drafts")
    water_display: EnumProperty(
        name="Water Display",
        description="What stays and what tilts",
        items=(
            (
                WaterDisplay.SHIP_FIXED,
                "On the Hull",
                "The hull stays as modeled and the water tilts",
            ),
            (
                WaterDisplay.WATER_LEVEL,
                "Floated Copy",
                "A drawn twin beside the hull lies as she floats, in level water",
            ),
        ),
        update=display_changed,
    )
    copy_distance: FloatProperty(
        name="Copy Distance",
        description="Distance of the twin from the hull, in breadths of the hull",
        default=1.5,
        min=0.0,
        soft_max=10.0,
        update=display_changed,
    )
    marker_scale: FloatProperty(
        name="Marker Size",
        description="Size of the markers and letters; 1 is the usual size",
        default=1.0,
        min=0.1,
        soft_max=4.0,
        update=display_changed,
    )
    chart_place: FloatVectorProperty(
        name="Chart Place",
        description="Where the chart lies in the viewport, from left to right and from below",
        size=2,
        default=(1.0, 0.0),
        min=0.0,
        max=1.0,
        update=display_changed,
    )
    chart_size: FloatProperty(
        name="Chart Size",
        description="Size of the chart; 1 is the usual size",
        default=1.0,
        min=0.5,
        max=4.0,
        update=display_changed,
    )
    use_held_heel: BoolProperty(
        name="Hold at a Heel",
        description="Draw the ship held at a heel of your choice instead of at rest",
        update=display_changed,
    )
    held_heel: FloatProperty(
        name="Heel",
        description="Heel at which she is held, positive to starboard; her displacement stays and "
        "she trims as she wants",
        subtype="ANGLE",
        default=radians(30.0),
        min=-pi,
        max=pi,
        step=100,
        update=display_changed,
    )
    use_inspected_place: BoolProperty(
        name="Look at a Place",
        description="Show the longest compartment that may flood with its middle at a place",
        update=display_changed,
    )
    inspected_place: FloatProperty(
        name="Middle At",
        description="Where the middle of the compartment is, forward of the aft perpendicular",
        subtype="DISTANCE",
        default=0.0,
        step=10,
        update=display_changed,
    )
    bulkheads: IntProperty(
        name="Bulkheads",
        description="How many transverse bulkheads to advise on",
        default=3,
        min=1,
        soft_max=12,
        max=99,
    )
    compartment_permeability: FloatProperty(
        name="Permeability",
        description="Share of a flooded length of the ship that water can take, from side to side "
        "and from keel to deck, for the advice on bulkheads and the floodable length",
        default=DEFAULT_PERMEABILITY,
        min=0.01,
        max=1.0,
    )
    play_flooding: BoolProperty(
        name="Play Flooding",
        description="Draw the ship as she floods at the time that the current frame stands for",
        update=display_changed,
    )
    flooding_start: IntProperty(
        name="Start Frame",
        description="The frame at which the hole is made",
        default=1,
        update=display_changed,
    )
    flooding_speed: FloatProperty(
        name="Speed",
        description="Seconds of the flooding in a second of playing",
        default=1.0,
        min=0.01,
        soft_max=600.0,
        update=display_changed,
    )
    active_verdict: IntProperty(
        name="Active Verdict",
        description="The criterion whose figures and reason are shown",
        options={"SKIP_SAVE"},
    )
    active_part: IntProperty(
        name="Active Part",
        description="The object that is active; choosing one selects it",
        get=active_index,
        set=make_active,
        options={"SKIP_SAVE"},
    )

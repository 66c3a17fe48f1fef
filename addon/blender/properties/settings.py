"""What the file keeps: settings of hulls, of their parts and of the drawing in the viewport."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from math import pi, radians
from typing import Any, cast

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    EnumProperty,
    FloatProperty,
    FloatVectorProperty,
    IntProperty,
    PointerProperty,
    StringProperty,
)

from ...core.damage.floodable_length import PERMEABILITY
from ...core.messages.findings import BadInputError
from ...core.model.case import FRESH_WATER, SEA_WATER
from ..controller import session
from ..readers.axes import AUTO, AXES
from . import compartments, conditions, service
from .groups import changed
from .names import PROPERTY, Basis, Loading, Look, Role

GROUPS = ("structure", "machinery", "outfit", "cargo", "crew", "consumables")
IRON = 7870.0
OTHER = "OTHER"
WATERS = {"SEA": SEA_WATER, "FRESH": FRESH_WATER, "BRACKISH": 1010.0}
CONTENTS = {**WATERS, "DIESEL": 850.0, "PETROL": 740.0, "LUBRICANT": 900.0}
"""Densities (kg/m3); those of oils and of brackish water are common practice."""
WATER_ITEMS = (
    ("SEA", "Sea Water", f"{SEA_WATER:g} kg/m³"),
    ("FRESH", "Fresh Water", f"{FRESH_WATER:g} kg/m³"),
    ("BRACKISH", "Brackish Water", f"{WATERS['BRACKISH']:g} kg/m³, common practice in estuaries"),
)
CONTENT_ITEMS = (
    *WATER_ITEMS,
    ("DIESEL", "Diesel", f"{CONTENTS['DIESEL']:g} kg/m³, common practice"),
    ("PETROL", "Petrol", f"{CONTENTS['PETROL']:g} kg/m³, common practice"),
    ("LUBRICANT", "Lubricating Oil", f"{CONTENTS['LUBRICANT']:g} kg/m³, common practice"),
)

Update = Callable[["ObjectSettings", bpy.types.Context], None]

DIRECTIONS = (
    (AUTO, "Guess", "Guess from the shape and from how the object stands in the world"),
    *((axis, axis, f"The object's own {axis} axis") for axis in AXES),
)


def settings(obj: bpy.types.Object) -> ObjectSettings:
    """The add-on's settings of an object."""
    return getattr(obj, PROPERTY)


def scene_settings(scene: bpy.types.Scene) -> SceneSettings:
    """The add-on's settings of a scene."""
    return getattr(scene, PROPERTY)


def unit_scale(scene: bpy.types.Scene) -> float:
    """Metres in a Blender unit."""
    units = scene.unit_settings
    return 1.0 if units.system == "NONE" else units.scale_length


def _changed_sides(self: ObjectSettings, context: bpy.types.Context) -> None:
    from ..controller.handlers import look_again  # which itself reads these settings

    session.names.clear()
    session.mark_stale()
    if session.is_divided() or session.is_subdivided():
        look_again(context.evaluated_depsgraph_get())
    session.redraw()


def _reshaped(self: ObjectSettings, context: bpy.types.Context) -> None:
    session.mark_divided_stale([self.holder.session_uid])
    changed(self, context)


def _mass_changed(self: ObjectSettings, context: bpy.types.Context) -> None:
    self.show_mass()
    changed(self, context)


def _preset(choice: str, density: str, known: Mapping[str, float]) -> tuple[Update, Update]:
    """Callbacks that keep a choice of substance and the density of it in step."""
    names = {value: name for name, value in known.items()}

    def chosen(self: ObjectSettings, context: bpy.types.Context) -> None:
        if getattr(self, choice) in known:
            setattr(self, density, known[getattr(self, choice)])

    def density_changed(self: ObjectSettings, context: bpy.types.Context) -> None:
        name = names.get(getattr(self, density), OTHER)
        if getattr(self, choice) != name:
            setattr(self, choice, name)
        changed(self, context)

    return chosen, density_changed


_water_chosen, _water_changed = _preset("water", "water_density", WATERS)
_content_chosen, _content_changed = _preset("content", "content_density", CONTENTS)


def _marks_wanted(self: ObjectSettings, context: bpy.types.Context) -> None:
    if self.use_marks and self.forward_perpendicular == self.aft_perpendicular:
        from ..readers.hulls import ends  # which itself reads these settings

        with suppress(BadInputError):
            places = ends(context.evaluated_depsgraph_get(), self.holder)
            self.aft_perpendicular, self.forward_perpendicular, self.baseline = places
    _reshaped(self, context)


def _condition_chosen(self: ObjectSettings, context: bpy.types.Context) -> None:
    self.loading = Loading.CONDITION


def _loading_chosen(self: ObjectSettings, context: bpy.types.Context) -> None:
    from ..controller.analysis import follow_loading  # which itself reads these settings

    follow_loading(context.evaluated_depsgraph_get(), self.holder)


def _live_switched(self: SceneSettings, context: bpy.types.Context) -> None:
    for entry in session.known():
        session.set_stale(entry, entry.stale or entry.behind)
    session.mark_changed(None)
    session.redraw()


def _redraw(self: SceneSettings, context: bpy.types.Context) -> None:
    session.redraw()


def suggest_groups(
    self: bpy.types.bpy_struct, context: bpy.types.Context, text: str
) -> Iterator[str]:
    """Groups that contain the text: the usual ones, then those in use."""
    used = {settings(obj).group for obj in context.view_layer.objects} - {""}
    yield from (group for group in (*GROUPS, *sorted(used - {*GROUPS})) if text.lower() in group)


def _scene_mass_unit() -> float:
    """Kilograms in the unit in which Blender keeps the masses of a scene with a unit scale."""
    return unit_scale(bpy.context.scene) ** 3


def _mass_in_scene(self: ObjectSettings) -> float:
    return self.mass / _scene_mass_unit()


def _set_mass_in_scene(self: ObjectSettings, mass: float) -> None:
    self.mass = mass * _scene_mass_unit()


def _is_hull(self: ObjectSettings, obj: bpy.types.Object) -> bool:
    return obj.type == "MESH" and settings(obj).role == Role.HULL


class ObjectSettings(bpy.types.PropertyGroup):
    """What an object is to a ship."""

    role: EnumProperty(
        name="Role",
        description="What this object is to a ship",
        items=(
            (Role.NONE, "None", "No part of a ship's figures"),
            (Role.HULL, "Hull", "The surface that keeps the water out"),
            (
                Role.WEIGHT,
                "Weight",
                "A mass on board. It counts when hidden with the eye, "
                "not when disabled in viewports or in an excluded collection",
            ),
            (Role.TANK, "Tank", "A closed mesh that holds a liquid, which runs to the low side"),
            (
                Role.OPENING,
                "Opening",
                "A point, or a surface across the way in, at which water gets in once it is under",
            ),
            (Role.WINDAGE, "Windage", "A mesh above deck that catches the wind beside the hull"),
            (Role.WALL, "Deck or Bulkhead", "A mesh that parts the hull into rooms"),
            (
                Role.ROOM,
                "Room",
                "A point in a room, which it names; or a closed mesh whose inside is a room",
            ),
            (
                Role.DOOR,
                "Door",
                "A way from one room to another: the middle of its sill, or a surface across it",
            ),
            (Role.HOLE, "Hole", "Where the sea gets in, to find how long she stays afloat"),
        ),
        update=_changed_sides,
    )

    forward: EnumProperty(
        name="Forward",
        description="The hull object's own axis that points to the bow. "
        "Guess: the longest, towards the narrower end",
        items=DIRECTIONS,
        update=_reshaped,
    )
    up: EnumProperty(
        name="Up",
        description="The hull object's own axis that points from keel to deck. "
        "Guess: the one nearest to the world's Z",
        items=DIRECTIONS,
        update=_reshaped,
    )
    mirror: BoolProperty(
        name="Half Hull",
        description="One side is modelled: mirror it about the centreline, the plane through the "
        "object's origin along forward and up, and with it the walls that lie on that side alone. "
        "Not needed with a Mirror modifier",
        update=_reshaped,
    )
    water: EnumProperty(
        name="Water",
        description="What she floats in; sets the density",
        items=(*WATER_ITEMS, (OTHER, "Other", "A density of your own")),
        update=_water_chosen,
    )
    water_density: FloatProperty(
        name="Density",
        description="Density of the water in kg/m³; the denser, the higher she floats",
        default=SEA_WATER,
        min=1.0,
        soft_min=950.0,
        soft_max=1100.0,
        update=_water_changed,
    )
    use_marks: BoolProperty(
        name="Own Marks",
        description="Set perpendiculars and baseline instead of taking the ends and the lowest "
        "point of the surface. Drafts are read at these marks",
        update=_marks_wanted,
    )
    aft_perpendicular: FloatProperty(
        name="Aft Perpendicular",
        description="Where the draft aft is read: distance forward of the object's origin",
        unit="LENGTH",
        update=_reshaped,
    )
    forward_perpendicular: FloatProperty(
        name="Forward Perpendicular",
        description="Where the draft forward is read: distance forward of the object's origin",
        unit="LENGTH",
        update=_reshaped,
    )
    baseline: FloatProperty(
        name="Baseline",
        description="Drafts and heights are measured from here: height above the object's origin",
        unit="LENGTH",
        update=_reshaped,
    )

    basis: EnumProperty(
        name="Mass Of",
        description="Where the mass sits",
        items=(
            (Basis.POINT, "Point", "A given mass at the object's origin"),
            (Basis.SKIN, "Skin", "So many kg/m² over the mesh, modifiers included"),
            (Basis.SOLID, "Solid", "So many kg/m³ in the closed mesh, modifiers included"),
        ),
        update=changed,
    )
    mass: FloatProperty(
        name="Mass (kg)",
        description="Mass in kg, whatever the units of the scene",
        default=100.0,
        min=0.0,
        update=_mass_changed,
    )
    scene_mass: FloatProperty(
        name="Mass",
        description="Mass in the units of the scene",
        unit="MASS",
        min=0.0,
        get=_mass_in_scene,
        set=_set_mass_in_scene,
        options={"SKIP_SAVE"},
    )
    skin_density: FloatProperty(
        name="Mass per Area",
        description="Mass of the skin in kg/m²; steel plate of 1 mm has about 7.85",
        default=7.85,
        min=0.0,
        update=changed,
    )
    solid_density: FloatProperty(
        name="Density",
        description="Density of the solid in kg/m³; lead has about 11340, concrete 2400",
        default=2400.0,
        min=0.0,
        update=changed,
    )
    group: StringProperty(
        name="Group",
        description="What it belongs to, such as machinery; a word of your own will do",
        search=suggest_groups,
        search_options={"SUGGESTION"},
        update=changed,
    )
    fixed: BoolProperty(
        name="Fixed",
        description="It cannot be moved, as the hull's own mass; no advice moves it",
        update=changed,
    )
    hull: PointerProperty(
        name="Hull",
        description="The hull that this belongs to; may stay empty in a scene with one hull",
        type=bpy.types.Object,
        poll=_is_hull,
        update=_changed_sides,
    )
    both_sides: BoolProperty(
        name="Both Sides",
        description="It is there once more on the other side, mirrored about the centreplane of "
        "the hull, as (port) and (starboard)",
        update=_reshaped,
    )
    size_by_mass: BoolProperty(
        name="Size by Mass",
        description="Draw this empty as large as an iron ball of its mass",
        default=True,
        update=_mass_changed,
    )

    content: EnumProperty(
        name="Content",
        description="What the tank holds; sets the density",
        items=(*CONTENT_ITEMS, (OTHER, "Other", "A density of your own")),
        default="FRESH",
        update=_content_chosen,
    )
    content_density: FloatProperty(
        name="Density",
        description="Density of the content in kg/m³",
        default=FRESH_WATER,
        min=1.0,
        soft_min=600.0,
        soft_max=2000.0,
        update=_content_changed,
    )
    fill: FloatProperty(
        name="Fill",
        description="How full the tank is, in % of what it holds",
        subtype="PERCENTAGE",
        precision=1,
        default=50.0,
        min=0.0,
        max=100.0,
        update=changed,
    )
    permeability: FloatProperty(
        name="Permeability",
        description="Share of the tank's volume that liquid can take; frames and pipes take the "
        "rest",
        default=1.0,
        min=0.01,
        max=1.0,
        update=changed,
    )
    weathertight: BoolProperty(
        name="Weathertight",
        description="Shut at sea and tight against it: being under does not count as flooding",
        update=changed,
    )

    opening: PointerProperty(
        name="Opening",
        description="What kind of opening this is, and how large",
        type=compartments.OpeningSettings,
    )
    room: PointerProperty(
        name="Room", description="What stands in the room", type=compartments.RoomSettings
    )
    door: PointerProperty(
        name="Door",
        description="The doorway, and whether it is shut",
        type=compartments.DoorSettings,
    )
    inflow: PointerProperty(
        name="Inflow", description="How water runs into the room", type=compartments.InflowSettings
    )
    hole: PointerProperty(
        name="Hole", description="How large the hole is", type=compartments.HoleSettings
    )

    service: PointerProperty(
        name="Service",
        description="What she is for; criteria ask for it",
        type=service.ServiceSettings,
    )
    choose_codes: BoolProperty(
        name="Choose Codes",
        description="Check the codes chosen here, as a yardstick even for ships outside their "
        "scope, instead of all that speak of such a ship",
        update=changed,
    )
    codes: PointerProperty(
        name="Codes", description="The codes that are checked", type=service.CodeSettings
    )
    rules: CollectionProperty(
        name="Own Criteria", description="Criteria of your own", type=service.RuleSettings
    )
    active_rule: IntProperty(
        name="Active Criterion", description="The criterion whose settings are shown", options=set()
    )
    conditions: CollectionProperty(
        name="Loading Conditions",
        description="Ways to load her",
        type=conditions.ConditionSettings,
    )
    active_condition: IntProperty(
        name="Active Condition",
        description="The condition that is chosen; choosing one loads her so",
        options=set(),
        update=_condition_chosen,
    )
    loading: EnumProperty(
        name="Loaded",
        description="How she is loaded for the figures and the drawing",
        items=(
            (Loading.AS_MODELLED, "As Modelled", "All weights on board, tanks as they are set"),
            (Loading.CONDITION, "In Condition", "As the chosen loading condition says"),
        ),
        options=set(),
        update=_loading_chosen,
    )

    @property
    def condition(self) -> conditions.ConditionSettings | None:
        """The condition that she is loaded in; None as modelled."""
        chosen = self.loading == Loading.CONDITION
        if chosen and 0 <= self.active_condition < len(self.conditions):
            return self.conditions[self.active_condition]
        return None

    @property
    def holder(self) -> bpy.types.Object:
        """The object that has these settings."""
        return cast(bpy.types.Object, self.id_data)

    def show_mass(self) -> None:
        """Draw an empty as large as an iron ball of its mass, if that is wanted."""
        obj = self.holder
        if self.size_by_mass and self.role == Role.WEIGHT and obj.type == "EMPTY" and self.mass > 0:
            obj.empty_display_size = ball_radius(self.mass) / unit_scale(bpy.context.scene)


def ball_radius(mass: float) -> float:
    """Radius (m) of an iron ball of a mass (kg)."""
    return float((3 * mass / (4 * pi * IRON)) ** (1 / 3))


def _active_index(self: SceneSettings) -> int:
    objects = bpy.context.view_layer.objects
    return objects.find(objects.active.name) if objects.active else -1


def _make_active(self: SceneSettings, index: int) -> None:
    objects = bpy.context.view_layer.objects
    if 0 <= index < len(objects):
        select_only(objects[index])


def select_only(*chosen: bpy.types.Object) -> None:
    """Select just these objects of the view layer, the first of them active; none, and what is
    selected stays."""
    if not chosen:
        return
    objects = bpy.context.view_layer.objects
    for other in objects.selected[:]:
        other.select_set(False)
    for obj in chosen:
        obj.select_set(True)
    objects.active = chosen[0]


def _shown(name: str, what: str, default: bool = True) -> Any:
    return BoolProperty(name=name, description=f"Draw {what}", default=default, update=_redraw)


class SceneSettings(bpy.types.PropertyGroup):
    """What is drawn in the viewport."""

    live: BoolProperty(
        name="Live",
        description="Let the figures follow while you model: at once where that is quick, when you "
        "pause where it takes longer, and never by themselves where it takes seconds",
        default=True,
        update=_live_switched,
    )
    show_overlay: _shown("On Screen", "the floating position in the 3D viewport")
    show_water: _shown("Water", "the water plane")
    show_waterline: _shown("Waterline", "the line in which the water meets the hull")
    show_centre_of_gravity: _shown("Centre of Gravity", "G, the centre of all weights")
    show_centre_of_buoyancy: _shown(
        "Centre of Buoyancy", "B, the centre of the water she displaces"
    )
    show_metacentre: _shown(
        "Metacentre", "M, the point about which she swings; she is stable with G below it"
    )
    show_centre_of_flotation: _shown(
        "Centre of Flotation", "F, the centre of the waterplane, about which she trims"
    )
    show_draft_marks: _shown("Draft Marks", "the drafts at the perpendiculars")
    show_dimensions: _shown(
        "Dimensions", "lengths, beam, depth, least freeboard and air draft, measured", default=False
    )
    show_openings: _shown("Openings", "the openings, red where water comes in")
    show_rooms: _shown("Rooms", "her rooms, seen through, once they were found")
    show_liquids: _shown("Liquids", "the liquids in tanks, once rooms were found")
    show_chart: _shown(
        "Chart",
        "the chart of the hull at hand: her righting arms, a flooding in time or floodable length",
    )
    show_names: _shown("Letters", "the letters G, B, M, F and the figures of the drafts")
    look: EnumProperty(
        name="Look",
        description="What stays and what tilts",
        items=(
            (Look.SHIP_FIXED, "On the Hull", "The hull stays as modelled and the water tilts"),
            (
                Look.WATER_LEVEL,
                "Twin Afloat",
                "A drawn twin beside the hull lies as she floats, in level water",
            ),
        ),
        update=_redraw,
    )
    twin_distance: FloatProperty(
        name="Twin Distance",
        description="Distance of the twin from the hull, in breadths of the hull",
        default=1.5,
        min=0.0,
        soft_max=10.0,
        update=_redraw,
    )
    marker_scale: FloatProperty(
        name="Marker Size",
        description="Size of the markers and letters; 1 is the usual size",
        default=1.0,
        min=0.1,
        soft_max=4.0,
        update=_redraw,
    )
    chart_place: FloatVectorProperty(
        name="Chart Place",
        description="Where the chart lies in the viewport, from left to right and from below",
        size=2,
        default=(1.0, 0.0),
        min=0.0,
        max=1.0,
        update=_redraw,
    )
    chart_size: FloatProperty(
        name="Chart Size",
        description="Size of the chart; 1 is the usual size",
        default=1.0,
        min=0.5,
        max=4.0,
        update=_redraw,
    )
    use_look_heel: BoolProperty(
        name="Hold at a Heel",
        description="Draw the ship held at a heel of your choice instead of at rest",
        update=_redraw,
    )
    look_heel: FloatProperty(
        name="Heel",
        description="Heel at which she is held, positive to starboard; her displacement stays and "
        "she trims as she wants",
        subtype="ANGLE",
        default=radians(30.0),
        min=-pi,
        max=pi,
        step=100,
        update=_redraw,
    )
    use_look_place: BoolProperty(
        name="Look at a Place",
        description="Show the longest compartment that may flood with its middle at a place",
        update=_redraw,
    )
    look_place: FloatProperty(
        name="Middle At",
        description="Where the middle of the compartment is, forward of the aft perpendicular",
        subtype="DISTANCE",
        default=0.0,
        step=10,
        update=_redraw,
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
        default=PERMEABILITY,
        min=0.01,
        max=1.0,
    )
    play_flooding: BoolProperty(
        name="Play Flooding",
        description="Draw the ship as she floods at the time that the current frame stands for",
        update=_redraw,
    )
    flooding_start: IntProperty(
        name="Start Frame",
        description="The frame at which the hole is made",
        default=1,
        update=_redraw,
    )
    flooding_speed: FloatProperty(
        name="Speed",
        description="Seconds of the flooding in a second of playing",
        default=1.0,
        min=0.01,
        soft_max=600.0,
        update=_redraw,
    )
    active_verdict: IntProperty(
        name="Active Verdict",
        description="The criterion whose figures and reason are shown",
        options={"SKIP_SAVE"},
    )
    active_part: IntProperty(
        name="Active Part",
        description="The object that is active; choosing one selects it",
        get=_active_index,
        set=_make_active,
        options={"SKIP_SAVE"},
    )


_register_classes, _unregister_classes = bpy.utils.register_classes_factory(
    (*service.CLASSES, *conditions.CLASSES, *compartments.CLASSES, ObjectSettings, SceneSettings)
)


def register() -> None:
    _register_classes()
    setattr(bpy.types.Object, PROPERTY, PointerProperty(type=ObjectSettings))
    setattr(bpy.types.Scene, PROPERTY, PointerProperty(type=SceneSettings))


def unregister() -> None:
    delattr(bpy.types.Scene, PROPERTY)
    delattr(bpy.types.Object, PROPERTY)
    _unregister_classes()

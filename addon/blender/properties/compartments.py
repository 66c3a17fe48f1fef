"""What rooms are for, and the ways through which water gets into them, as the file keeps them."""

from __future__ import annotations

from typing import Any, get_args

import bpy
from bpy.props import BoolProperty, EnumProperty, FloatProperty, StringProperty

from ...core.damage.flooding_paths import Hole
from ...core.flooding_time.flow_network import Pump
from ...core.model.compartment import PERMEABILITY, RoomMark, Use
from ...core.model.openings import Door, Kind, Opening
from .callbacks import compartments_changed, figures_changed
from .suggestions import suggest_compartments

HOUR = 3600.0
USE_ITEMS = tuple(
    (use.upper(), name, f"{what}: {PERMEABILITY[use]:.2f} of it can take water")
    for use, name, what in (
        ("void", "Void", "Nothing stands in it"),
        ("accommodation", "Accommodation", "Cabins and saloons"),
        ("machinery", "Machinery", "Engines and pumps"),
        ("stores", "Stores", "Stores"),
        ("cargo", "Cargo", "Cargo of any kind; full of dry goods it takes less water"),
        ("liquids", "Liquids", "Water, oil or fuel"),
    )
)
"""Uses with their permeabilities, those of SOLAS II-1 regulation 7-3."""
USES: dict[str, Use] = {use.upper(): use for use in get_args(Use)}
KINDS: dict[str, Kind] = {kind.upper().replace(" ", "_"): kind for kind in get_args(Kind)}


class RoomSettings(bpy.types.PropertyGroup):
    """What stands in a room."""

    use: EnumProperty(
        name="Use",
        description="What the room is for; says how much of it water can take",
        items=USE_ITEMS,
        update=compartments_changed,
    )
    own_permeability: BoolProperty(
        name="Own Permeability",
        description="Say how much of the room water can take instead of going by its use",
        update=compartments_changed,
    )
    permeability: FloatProperty(
        name="Permeability",
        description="Share of the room's volume that water can take; what stands in it takes the "
        "rest",
        default=PERMEABILITY["void"],
        min=0.01,
        max=1.0,
        update=compartments_changed,
    )

    def mark(self, name: str, **place: Any) -> RoomMark:
        """The mark of the core, at a point or with a body. Raises BadInputError."""
        own = self.permeability if self.own_permeability else None
        return RoomMark(name, use=USES[self.use], permeability=own, **place)


class OpeningSettings(bpy.types.PropertyGroup):
    """What kind of opening one is, and how large."""

    kind: EnumProperty(
        name="Kind",
        description="What it is",
        items=(
            ("VENT", "Vent", "A pipe or a louvre that lets air in"),
            ("HATCH", "Hatch", "An opening in a deck"),
            ("DOOR", "Door", "A way in on foot"),
            ("OPEN_TOP", "Open Top", "Nothing shuts the space from above, as in a cockpit"),
        ),
        update=figures_changed,
    )
    own_area: BoolProperty(
        name="Own Area",
        description="Give the area that water can pass through instead of that of the mesh",
        update=figures_changed,
    )
    area: FloatProperty(
        name="Area",
        description="What water can pass through; 0 while it is not known",
        unit="AREA",
        min=0.0,
        update=figures_changed,
    )
    height: FloatProperty(
        name="Height",
        description="How far it reaches up from its point; 0 for one that lies flat",
        unit="LENGTH",
        min=0.0,
        update=figures_changed,
    )

    @property
    def has_own_area(self) -> bool:
        """Whether an area is told instead of that of the mesh."""
        return bool(self.own_area and self.area > 0)

    @property
    def core_kind(self) -> Kind:
        """The kind as the core calls it."""
        return KINDS[self.kind]

    def opening(self, name: str, point: Any, weathertight: bool, unit: float) -> Opening:
        """The opening of the core at a point (3,), `unit` metres in a Blender unit."""
        area, height = self.area * unit**2, self.height * unit
        return Opening(name, point, weathertight, self.core_kind, area, height)


class DoorSettings(bpy.types.PropertyGroup):
    """A way from one room to another."""

    width: FloatProperty(
        name="Width",
        description="Clear width of the doorway",
        unit="LENGTH",
        default=0.8,
        min=1e-4,
        update=compartments_changed,
    )
    height: FloatProperty(
        name="Height",
        description="Clear height of the doorway, up from the sill; 0 for a hatch that lies flat",
        unit="LENGTH",
        default=1.9,
        min=0.0,
        update=compartments_changed,
    )
    own_area: BoolProperty(
        name="Own Area",
        description="Give the area that water can pass through instead of width and height, "
        "or of that of the mesh; needed for an empty at a hatch that lies flat",
        update=compartments_changed,
    )
    area: FloatProperty(
        name="Area",
        description="What water can pass through",
        unit="AREA",
        default=1.5,
        min=1e-6,
        update=compartments_changed,
    )
    shut: BoolProperty(
        name="Shut",
        description="Shut and tight: it lets nothing through",
        update=compartments_changed,
    )
    duct: BoolProperty(
        name="Duct",
        description="A duct or a pipe with a discharge of its own, whose rooms need not share a "
        "wall: one that floods across",
        update=compartments_changed,
    )
    discharge: FloatProperty(
        name="Discharge",
        description="Share of the ideal flow that passes: 1/√(sum of its loss coefficients), that "
        "at its end included",
        default=0.5,
        min=0.01,
        max=1.0,
        update=compartments_changed,
    )
    first: StringProperty(
        name="From",
        description="One of the two rooms that the duct joins; both are found from its place where "
        "either is left out",
        search=suggest_compartments,
        update=compartments_changed,
    )
    second: StringProperty(
        name="To",
        description="The other of the two rooms that the duct joins",
        search=suggest_compartments,
        update=compartments_changed,
    )

    @property
    def has_own_area(self) -> bool:
        """Whether an area is told instead of that of the mesh."""
        return bool(self.own_area)

    @property
    def rooms(self) -> tuple[str, ...]:
        """Names of the two rooms that a duct joins, where both are told."""
        return (self.first, self.second) if self.duct and self.first and self.second else ()

    @property
    def own_discharge(self) -> float | None:
        """The coefficient of discharge of a duct as the user reads it, without the noise of single
        precision."""
        return round(self.discharge, 6) if self.duct else None

    def door(self, name: str, point: Any, unit: float) -> Door:
        """The door of the core with the middle of its sill at a point (3,).

        Raises BadInputError for one without an area.
        """
        area = self.area if self.own_area else self.width * self.height
        size = area * unit**2, self.height * unit
        return Door(name, point, *size, self.rooms, self.shut, self.own_discharge)


class InflowSettings(bpy.types.PropertyGroup):
    """How water runs into a room, and out of it again."""

    trapped: BoolProperty(
        name="Keeps Its Air",
        description="Air cannot leave the room, so that water comes in only as far as it presses "
        "the air together",
    )
    pump: FloatProperty(
        name="Pump (m³/h)",
        description="What is pumped out of the room in m³ an hour; 0 for no pump",
        min=0.0,
    )
    delay: FloatProperty(
        name="Pump Starts After (s)",
        description="How long after the hole is made the pump starts, in seconds",
        min=0.0,
    )

    def pumps(self, room: str) -> tuple[Pump, ...]:
        """The pump in a room, if there is one."""
        return (Pump(room, self.pump / HOUR, self.delay),) if self.pump > 0 else ()


class HoleSettings(bpy.types.PropertyGroup):
    """A hole in the hull."""

    area: FloatProperty(
        name="Area",
        description="What water can pass through",
        unit="AREA",
        default=0.01,
        min=1e-9,
        precision=4,
    )
    discharge: FloatProperty(
        name="Discharge",
        description="Share of the ideal flow that passes; about 0.6 for a sharp edge, common "
        "practice",
        default=Hole.discharge,
        min=0.01,
        max=1.0,
    )

    def hole(self, point: Any, unit: float) -> Hole:
        """The hole of the core at a point (3,), `unit` metres in a Blender unit."""
        return Hole(point, self.area * unit**2, self.discharge)


CLASSES = (RoomSettings, OpeningSettings, DoorSettings, InflowSettings, HoleSettings)

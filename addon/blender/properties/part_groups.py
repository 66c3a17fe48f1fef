"""Settings of a hull and its parts: a property group for each kind of part.

Properties come from the declarations in addon/parts; the classes add what only Blender needs:
choices of substances that set a density, how a mass is distributed, the display of an empty.
"""

from __future__ import annotations

from math import pi
from typing import Any

import bpy
from bpy.props import BoolProperty, EnumProperty, StringProperty

from ...core.model.case import FRESH_WATER
from ...core.model.compartment import PERMEABILITY_BY_USE
from ...parts.declarations import (
    BREACH,
    COMPARTMENT,
    CRITERIA,
    CRITERION,
    DOOR,
    HULL,
    INFLOW,
    OPENING,
    SERVICE,
    TANK,
    WATER,
    WEIGHT,
)
from ...parts.specification import Field
from .callbacks import compartments_changed, figures_changed, shape_changed, silent
from .densities import CONTENT_ITEMS, CONTENTS, OTHER, OTHER_ITEM, WATER_ITEMS, WATERS, in_step
from .events import Event, emit
from .names import AUTO, PROPERTY, Basis, Role
from .part_fields import has_switch, switch_of
from .part_settings import PartSettings, made_from
from .scene_units import unit_scale
from .suggestions import suggest_compartments

IRON = 7870.0
"""Density (kg/m3) of the ball that gives the display size of an empty with a mass."""
GUESS = (AUTO, "Automatic", "Guess from the shape and the orientation of the object in the world")
MARKS = tuple(field.name for field in HULL.fields if has_switch(field))
"""Settings that place the ship axes in a hull."""
SEARCHED = {
    f"compartments_{number}": {"search": suggest_compartments, "search_options": {"SUGGESTION"}}
    for number in (1, 2)
}


def _mark_wanted(self: FormSettings, context: bpy.types.Context) -> None:
    emit(Event.MARKS_WANTED, self.id_data)
    shape_changed(self, context)


@made_from(
    HULL,
    shape_changed,
    own={switch_of(name): {"update": _mark_wanted} for name in MARKS},
    unset={"forward": GUESS, "up": GUESS},
)
class FormSettings(PartSettings, bpy.types.PropertyGroup):
    """Direction of a hull, place of its ship axes, and whether it is one half."""


_water_chosen, _water_changed = in_step("kind", "density", WATERS)


@made_from(WATER, figures_changed, own={"density": {"update": _water_changed}})
class WaterSettings(PartSettings, bpy.types.PropertyGroup):
    """The water that the vessel floats in."""

    kind: EnumProperty(
        name="Water",
        description="Water that the vessel floats in; sets the density",
        items=(*WATER_ITEMS, OTHER_ITEM),
        update=_water_chosen,
    )

    leads = {"density": "kind"}

    def shows(self, field: Field) -> bool:
        return self.kind == OTHER


MASSES = {Basis.POINT: "mass", Basis.SKIN: "areal_density", Basis.SOLID: "solid_density"}
"""The field that gives the mass, by its distribution."""


def _mass_changed(self: Any, context: bpy.types.Context) -> None:
    self.show_mass()
    figures_changed(self, context)


@made_from(
    WEIGHT,
    figures_changed,
    own={
        "mass": {"default": 100.0, "update": _mass_changed},
        "areal_density": {"default": 7.85},
        "fixed": {"default": False},
        "solid_density": {"default": 2400.0},
        **{switch_of(name): None for name in MASSES.values()},
    },
)
class WeightSettings(PartSettings, bpy.types.PropertyGroup):
    """A mass on board, and its distribution."""

    basis: EnumProperty(
        name="Mass From",
        description="How the mass is distributed",
        items=(
            (Basis.POINT, "Point", "A given mass at the object's origin"),
            (
                Basis.SKIN,
                "Surface",
                "A mass in kg/m² over the faces of the mesh, modifiers included",
            ),
            (Basis.SOLID, "Solid", "A mass in kg/m³ inside the closed mesh, modifiers included"),
        ),
        update=figures_changed,
    )
    size_by_mass: BoolProperty(
        name="Size by Mass",
        description="Display this empty as large as an iron ball of its mass",
        default=True,
        update=_mass_changed,
    )

    def asks(self, field: Field) -> bool:
        return False

    def gives(self, field: Field) -> bool:
        return field.name not in MASSES.values() or field.name == MASSES[Basis(self.basis)]

    def show_mass(self: Any) -> None:
        """Set the display size of an empty to that of an iron ball of its mass, if enabled."""
        obj = self.id_data
        weighs = getattr(obj, PROPERTY).role == Role.WEIGHT and self.mass > 0
        if self.size_by_mass and weighs and obj.type == "EMPTY":
            obj.empty_display_size = ball_radius(self.mass) / unit_scale(bpy.context.scene)


def ball_radius(mass: float) -> float:
    """Radius (m) of an iron ball of a mass (kg)."""
    return float((3 * mass / (4 * pi * IRON)) ** (1 / 3))


HALF = 50.0
"""Fill of a new tank (%)."""

_content_chosen, _content_changed = in_step("content", "density", CONTENTS)


@made_from(
    TANK,
    figures_changed,
    own={
        "density": {"default": FRESH_WATER, "update": _content_changed},
        "fill": {"default": HALF},
    },
)
class TankSettings(PartSettings, bpy.types.PropertyGroup):
    """Content and fill of a tank."""

    content: EnumProperty(
        name="Content",
        description="Liquid in the tank; sets the density",
        items=(*CONTENT_ITEMS, OTHER_ITEM),
        default="FRESH",
        update=_content_chosen,
    )

    leads = {"density": "content"}

    def shows(self, field: Field) -> bool:
        return field.name != "density" or self.content == OTHER


class PassageSettings(PartSettings):
    """An opening or door, whose size comes from its mesh unless given."""

    def asks(self, field: Field) -> bool:
        sized = self.id_data.type == "EMPTY" and field.name in ("area", "height")
        return super().asks(field) and not sized


@made_from(OPENING, figures_changed, own=SEARCHED)
class OpeningSettings(PassageSettings, bpy.types.PropertyGroup):
    """An opening where water enters once immersed."""


@made_from(
    COMPARTMENT,
    compartments_changed,
    own={"permeability": {"default": PERMEABILITY_BY_USE["void"]}},
)
class CompartmentSettings(PartSettings, bpy.types.PropertyGroup):
    """Use and permeability of a compartment."""


@made_from(DOOR, compartments_changed, own=SEARCHED)
class DoorSettings(PassageSettings, bpy.types.PropertyGroup):
    """A door between two compartments."""


@made_from(INFLOW, silent)
class InflowSettings(PartSettings, bpy.types.PropertyGroup):
    """How water enters and leaves a compartment."""

    def shows(self: Any, field: Field) -> bool:
        return field.name != "pump_delay" or self.pump > 0


@made_from(BREACH, silent)
class BreachSettings(PartSettings, bpy.types.PropertyGroup):
    """A breach through which water enters after damage."""


@made_from(SERVICE, figures_changed)
class ServiceSettings(PartSettings, bpy.types.PropertyGroup):
    """Service data that some criteria depend on."""


@made_from(CRITERIA, figures_changed)
class CriteriaSettings(PartSettings, bpy.types.PropertyGroup):
    """Codes to check."""


@made_from(CRITERION, figures_changed)
class CriterionSettings(PartSettings, bpy.types.PropertyGroup):
    """A custom criterion."""

    name: StringProperty(name="Name", description="Name of the criterion", update=figures_changed)

    def entry(self, meters: float) -> Any:
        """The entry, with `meters` in a Blender unit."""
        return CRITERION.entry(name=self.name, **self.values(meters))


GROUPS: dict[str, Any] = {
    "form": FormSettings,
    "water": WaterSettings,
    "weight": WeightSettings,
    "tank": TankSettings,
    "opening": OpeningSettings,
    "compartment": CompartmentSettings,
    "door": DoorSettings,
    "inflow": InflowSettings,
    "breach": BreachSettings,
    "service": ServiceSettings,
    "criteria": CriteriaSettings,
}
"""By their names in the settings of an object."""
CLASSES = (*GROUPS.values(), CriterionSettings)

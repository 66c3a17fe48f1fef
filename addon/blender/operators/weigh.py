"""The operator that computes masses of meshes from their material."""

from __future__ import annotations

from typing import Any

import bpy
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import BoolProperty, EnumProperty, FloatProperty, StringProperty

from ...core.messages.findings import BadInputError
from ...core.model.materials import MATERIALS, areal_density
from ...units.quantities import Units
from ..identifiers import Ops
from ..properties.densities import OTHER
from ..properties.names import Basis, Role
from ..properties.object_settings import ObjectSettings
from ..properties.scene_units import MM, scene_millimeters
from ..properties.settings import settings
from ..properties.suggestions import suggest_groups
from ..readers.members import core_names
from ..readers.parts import mass_alone
from ..wording import reported
from .parts import mirror_off_center, selected_hull
from .polls import allowed
from .weights import is_first


def _chosen(self: Any, context: bpy.types.Context) -> None:
    if self.material in MATERIALS:
        self.density = MATERIALS[self.material].density


class NAVAL_CHECKS_OT_weigh(bpy.types.Operator):
    """Mark the selected meshes as weights with masses from their material, as plates or solid"""

    bl_idname = Ops.WEIGH
    bl_label = "Weigh Selected"
    bl_options = {"REGISTER", "UNDO"}

    basis: EnumProperty(
        name="Mass From",
        description="How the mass is distributed",
        items=(
            (Basis.SKIN, "Plates", "The faces are plates of the thickness"),
            (Basis.SOLID, "Solid", "The closed mesh is filled with the material"),
        ),
    )
    material: EnumProperty(
        name="Material",
        description="Material; sets the density, which is common practice",
        items=(
            *(
                (key, material.name, f"{material.density:g} kg/m³")
                for key, material in MATERIALS.items()
            ),
            (OTHER, "Custom", "A custom density"),
        ),
        update=_chosen,
    )
    density: FloatProperty(
        name="Density (kg/m³)",
        description="Density in kg/m³",
        default=MATERIALS["STEEL"].density,
        min=1.0,
        soft_max=12000.0,
    )
    thickness: FloatProperty(
        name="Thickness (mm)",
        description="Thickness of the plates in mm, stiffeners included as an equivalent thickness",
        default=6.0,
        min=0.01,
        options={"HIDDEN"},
    )
    scene_thickness: FloatProperty(
        name="Thickness",
        description="Thickness of the plates, stiffeners included as an equivalent thickness",
        precision=4,
        **scene_millimeters("thickness"),
    )
    group: StringProperty(
        name="Group",
        description="Group of the weights; empty keeps the present groups",
        search=suggest_groups,
        search_options={"SUGGESTION"},
    )
    fixed: BoolProperty(
        name="Fixed",
        description="The weights cannot be moved, as the mass of the hull itself; no corrective "
        "action moves them",
        options={"SKIP_SAVE"},
    )

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if not self.properties.is_property_set("fixed"):
            self.fixed = is_first(context, selected_hull(context))
        return self.execute(context)

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        wanted = "Select meshes that are weights or have no role yet"
        return allowed(cls, context.mode == "OBJECT", "Weighing needs Object Mode") and allowed(
            cls, weighable(context), wanted
        )

    def draw(self, context: bpy.types.Context) -> None:
        layout = self.layout
        layout.use_property_split = True
        layout.prop(self, "basis")
        layout.prop(self, "material")
        if self.material == OTHER:
            layout.prop(self, "density")
        if self.basis == Basis.SKIN:
            layout.prop(self, "scene_thickness")
        layout.prop(self, "group")
        layout.prop(self, "fixed")

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull, depsgraph = selected_hull(context), context.evaluated_depsgraph_get()
        masses: dict[bpy.types.Object, float] = {}
        meshes = weighable(context)
        new = [obj for obj in meshes if settings(obj).role == Role.NONE]
        for obj in meshes:
            chosen = settings(obj)
            before = _tags(chosen)
            self._tag(obj, hull)
            try:
                masses[obj] = mass_alone(depsgraph, obj)
            except BadInputError as error:
                for (group, name), value in before.items():
                    setattr(group, name, value)
                self.report({"WARNING"}, reported(context, error.line))
        if not masses:
            return {"CANCELLED"}
        mirror_off_center(context, hull, (obj for obj in new if obj in masses))
        one, many = rpt_("{count} mesh weighs {mass}"), rpt_("{count} meshes weigh {mass}")
        mass = Units.of(context.scene).mass(
            sum(mass * len(core_names(obj)) for obj, mass in masses.items())
        )
        text = one if len(masses) == 1 else many
        self.report({"INFO"}, text.format(count=len(masses), mass=mass))
        return {"FINISHED"}

    def _tag(self, obj: bpy.types.Object, hull: bpy.types.Object | None) -> None:
        chosen = settings(obj)
        if chosen.role == Role.NONE:
            chosen.role, chosen.hull, chosen.weight.fixed = Role.WEIGHT, hull, self.fixed
        chosen.weight.basis = self.basis
        chosen.group = self.group or chosen.group
        if self.basis == Basis.SKIN:
            chosen.weight.areal_density = areal_density(self.density, self.thickness * MM)
        else:
            chosen.weight.solid_density = self.density


def _tags(chosen: ObjectSettings) -> dict[tuple[Any, str], Any]:
    """Settings of a weight, by the group that holds them and their names."""
    names = [(chosen, name) for name in ("role", "hull", "group")]
    names += [
        (chosen.weight, name) for name in ("basis", "fixed", "areal_density", "solid_density")
    ]
    return {(group, name): getattr(group, name) for group, name in names}


def weighable(context: bpy.types.Context) -> list[bpy.types.Object]:
    """The selected meshes that are weights or have no role."""
    return [
        obj
        for obj in context.selected_objects
        if obj.type == "MESH" and obj.is_editable and settings(obj).role in (Role.NONE, Role.WEIGHT)
    ]


register, unregister = bpy.utils.register_classes_factory((NAVAL_CHECKS_OT_weigh,))

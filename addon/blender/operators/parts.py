"""Operators that mark objects as parts, add parts and select objects."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from typing import Any, ClassVar, TypeVar

import bpy
from bpy.app.translations import pgettext_n as n_
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import BoolProperty, EnumProperty, StringProperty

from ...core.messages.findings import BadInputError
from ...core.model.mirrored_parts import is_off_center
from ...parts.declarations import OPENING, TANK
from ...parts.specification import Part
from ..controller.analysis import read_known
from ..identifiers import Ops
from ..properties.densities import CONTENT_ITEMS
from ..properties.names import Role
from ..properties.part_fields import properties
from ..properties.part_groups import HALF
from ..properties.part_settings import with_annotations
from ..properties.selection import select_only
from ..properties.settings import settings
from ..readers.members import active_hull, is_hull
from .polls import allowed
from .view import places_of, turn_view

PASSAGE_TYPES = ("EMPTY", "MESH")
NO_OBJECT = n_("There is no object '{name}' in this view layer")


Operator = TypeVar("Operator", bound=type)


class AsksOfPart:
    """An operator with fields of the part that it makes of an object as properties."""

    role: ClassVar[Role]
    asked: ClassVar[tuple[str, ...]] = ()

    def prepare(self, obj: bpy.types.Object) -> None:
        """Set these fields of the object."""
        for name in self.asked:
            setattr(getattr(settings(obj), self.role.lower()), name, getattr(self, name))


def asking(
    part: Part[Any], *names: str, own: Mapping[str, Mapping[str, Any]] | None = None
) -> Callable[[Operator], Operator]:
    """Add the properties of some fields of a part to an operator; `own` are options by name that
    replace declared ones."""

    def complete(operator: Operator) -> Operator:
        kind: Any = operator
        kind.asked = names
        fields = [part.field(name) for name in names]
        return with_annotations(properties(part, fields, None, own or {}, {}))(operator)

    return complete


class MarkParts(AsksOfPart, bpy.types.Operator):
    """Gives the selected objects of some types a role."""

    kinds: ClassVar[tuple[str, ...]] = ("MESH",)
    wanted: ClassVar[str]

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return allowed(cls, unmarked(context, *cls.kinds), cls.wanted)

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull, chosen = selected_hull(context), unmarked(context, *self.kinds)
        for obj in chosen:
            settings(obj).role = self.role
            settings(obj).hull = hull
            self.prepare(obj)
        mirror_off_center(context, hull, chosen)
        report_owner(self, hull, chosen)
        return {"FINISHED"}


@asking(TANK, "fill", own={"fill": {"default": HALF}})
class NAVAL_CHECKS_OT_mark_tanks(MarkParts):
    """Mark the selected closed meshes as tanks, with a free liquid surface"""

    bl_idname = Ops.MARK_TANKS
    bl_label = "Mark as Tank"
    bl_options = {"REGISTER", "UNDO"}

    role = Role.TANK
    wanted = "Select closed meshes that are neither hulls nor parts yet"

    content: EnumProperty(
        name="Content",
        description="Liquid in the tank; sets the density",
        items=CONTENT_ITEMS,
        default="FRESH",
    )

    def prepare(self, obj: bpy.types.Object) -> None:
        settings(obj).tank.content = self.content
        super().prepare(obj)


class NAVAL_CHECKS_OT_mark_windage(MarkParts):
    """Mark the selected meshes as windage: what is exposed to the wind above deck"""

    bl_idname = Ops.MARK_WINDAGE
    bl_label = "Mark as Windage"
    bl_options = {"REGISTER", "UNDO"}

    role = Role.WINDAGE
    wanted = "Select meshes that are neither hulls nor parts yet"


@asking(OPENING, "protection")
class NAVAL_CHECKS_OT_mark_openings(MarkParts):
    """Mark the selected empties and flat meshes as openings, where water enters once immersed"""

    bl_idname = Ops.MARK_OPENINGS
    bl_label = "Mark as Opening"
    bl_options = {"REGISTER", "UNDO"}

    role, kinds = Role.OPENING, PASSAGE_TYPES
    wanted = "Select empties or flat meshes first, or use Add Opening"


class AddPart(AsksOfPart, bpy.types.Operator):
    """Adds an empty in a role at the 3D cursor."""

    display: ClassVar[Any]
    part_name: str

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return allowed(cls, context.mode == "OBJECT", "Adding a part needs Object Mode")

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull = active_hull(context)
        part = new_empty(context, self.part_name, self.display, hull)
        tag_part(part, hull, self.role)
        self.prepare(part)
        mirror_off_center(context, hull, [part])
        report_owner(self, hull, [part])
        return {"FINISHED"}


@asking(OPENING, "protection")
class NAVAL_CHECKS_OT_add_opening(AddPart):
    """Add an opening at the 3D cursor, where water enters once immersed"""

    bl_idname = Ops.ADD_OPENING
    bl_label = "Add Opening"
    bl_options = {"REGISTER", "UNDO"}

    role, display = Role.OPENING, "PLAIN_AXES"

    part_name: StringProperty(
        name="Name", description="Name of the opening, such as engine vent", default="Opening"
    )


class NAVAL_CHECKS_OT_select_object(bpy.types.Operator):
    """Select this object. With Shift, turn the view to it as well"""

    bl_idname = Ops.SELECT_OBJECT
    bl_label = "Select Object"
    bl_options = {"UNDO", "INTERNAL"}

    object_name: StringProperty(name="Object", description="Name of the object to select")
    turn_view: BoolProperty(name="Turn View", description="Turn the view to the object")

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return allowed(cls, context.mode == "OBJECT", "Selecting an object needs Object Mode")

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        self.turn_view = event.shift
        return self.execute(context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        objects: Any = context.view_layer.objects
        obj = objects.get(self.object_name)
        if obj is None:
            self.report({"ERROR"}, rpt_(NO_OBJECT).format(name=self.object_name))
            return {"CANCELLED"}
        select_only(obj)
        if self.turn_view:
            turn_view(context, places_of(obj))
        return {"FINISHED"}


SHARE = 0.02
"""Size of a new part's empty in lengths of the hull."""


def new_empty(
    context: bpy.types.Context,
    name: str,
    display: Any,
    hull: bpy.types.Object | None,
    place: Sequence[float] | None = None,
) -> bpy.types.Object:
    """A new selected empty at a place in the world or at the 3D cursor, in the collection of a hull
    and parented to it."""
    obj = bpy.data.objects.new(name, None)
    obj.empty_display_type = display
    home_of_parts(context, hull).objects.link(obj)
    obj.location = context.scene.cursor.location if place is None else place
    if hull:
        obj.parent = hull
        obj.matrix_parent_inverse = hull.matrix_world.inverted_safe()
    select_only(obj)
    return obj


def home_of_parts(
    context: bpy.types.Context, hull: bpy.types.Object | None
) -> bpy.types.Collection:
    """The collection for new parts: that of a hull, where it is not linked from another file."""
    own = hull.users_collection if hull else ()
    choice = (*own, context.collection, context.scene.collection)
    return next(each for each in choice if each.is_editable)


def tag_part(obj: bpy.types.Object, hull: bpy.types.Object | None, role: Role) -> None:
    """Give an empty a role on a hull and a display size that suits the hull."""
    obj.empty_display_size = SHARE * max(hull.dimensions[:]) if hull else 1.0
    settings(obj).role, settings(obj).hull = role, hull


def mirror_off_center(
    context: bpy.types.Context, hull: bpy.types.Object | None, parts: Iterable[bpy.types.Object]
) -> None:
    """Set new parts of a half hull that are off center to both sides, except boundaries and
    breaches."""
    if hull is None or not settings(hull).form.mirror:
        return
    context.view_layer.update()
    depsgraph = context.evaluated_depsgraph_get()
    with suppress(BadInputError):
        ship = read_known(depsgraph, hull)
        for part in parts:
            if settings(part).role not in (Role.BOUNDARY, Role.BREACH):
                across = ship.frame.ship(places_of(part))[:, 1]
                settings(part).both_sides = is_off_center(across, ship.hull)


def report_owner(
    operator: Any, hull: bpy.types.Object | None, parts: Sequence[bpy.types.Object]
) -> None:
    """Report the hull of new parts, and which are on both sides."""
    names = ", ".join(part.name for part in parts)
    if hull is None:
        text = rpt_("{parts}: no hull yet; choose one under Hull")
        operator.report({"WARNING"}, text.format(parts=names))
    else:
        both = ", ".join(part.name for part in parts if settings(part).both_sides)
        single = rpt_("{hull}: {parts}")
        doubled = rpt_("{hull}: {parts}; on both sides: {both}")
        text = doubled if both else single
        operator.report({"INFO"}, text.format(hull=hull.name, parts=names, both=both))


def unmarked(context: bpy.types.Context, *kinds: str) -> list[bpy.types.Object]:
    """The selected objects, of some kinds if these are given, that have no role yet."""
    return [
        obj
        for obj in context.selected_objects
        if settings(obj).role == Role.NONE and obj.is_editable and (obj.type in kinds or not kinds)
    ]


def selected_hull(context: bpy.types.Context) -> bpy.types.Object | None:
    """The selected hull, or the active one."""
    selected = [obj for obj in context.selected_objects if is_hull(obj)]
    return selected[0] if len(selected) == 1 else active_hull(context)


register, unregister = bpy.utils.register_classes_factory(
    (
        NAVAL_CHECKS_OT_mark_tanks,
        NAVAL_CHECKS_OT_mark_windage,
        NAVAL_CHECKS_OT_mark_openings,
        NAVAL_CHECKS_OT_add_opening,
        NAVAL_CHECKS_OT_select_object,
    )
)

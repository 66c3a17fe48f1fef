"""The compartments of hulls as a Blender list of what the session knows."""

from __future__ import annotations

from typing import Any, cast

import bpy
from bpy.props import BoolProperty, CollectionProperty, IntProperty, PointerProperty, StringProperty

from ...core.model.compartment import Compartment
from ...units.quantities import Units
from ..controller import known_compartments, session
from ..identifiers import Ops
from ..properties.events import Event, subscribe, unsubscribe
from ..properties.names import PROPERTY
from ..readers.members import active_hull
from .layout import is_wide

operators = cast(Any, bpy.ops).naval_checks
"""Unknown to type checkers."""


def _name(self: CompartmentRow) -> str:
    compartment = self.found
    return compartment.name if compartment else ""


def _rename(self: CompartmentRow, name: str) -> None:
    compartment = self.found
    if compartment and name.strip() not in ("", compartment.name):
        operators.rename_compartment(
            "EXEC_DEFAULT", True, compartment=compartment.name, new_name=name.strip()
        )


def _is_breached(self: CompartmentRow) -> bool:
    compartment = self.found
    return bool(compartment and compartment.name in known_compartments.breached(self.uid))


def _set_breached(self: CompartmentRow, breached: bool) -> None:
    compartment = self.found
    if compartment:
        others = known_compartments.breached(self.uid) - {compartment.name}
        known_compartments.set_breached(
            self.uid, others | {compartment.name} if breached else others
        )


class CompartmentRow(bpy.types.PropertyGroup):
    """A compartment in the list."""

    uid: IntProperty(name="Hull", description="Session identifier of the hull")
    number: IntProperty(name="Number", description="Index among the compartments of the hull")
    name: StringProperty(
        name="Name",
        description="Name of the compartment; a new name adds a compartment mark",
        get=_name,
        set=_rename,
    )
    breached: BoolProperty(
        name="Open to Sea",
        description="Open this compartment to the sea when flooding compartments",
        get=_is_breached,
        set=_set_breached,
    )

    @property
    def found(self) -> Compartment | None:
        """The compartment, while it is known."""
        plan = known_compartments.plan(self.uid)
        compartments = plan.compartments if plan else ()
        return compartments[self.number] if self.number < len(compartments) else None


def _active(self: CompartmentRows) -> int:
    hull = active_hull(bpy.context)
    entry = session.entry_for(hull)
    chosen = entry.chosen_compartment if entry else None
    for index, row in enumerate(self.compartments if chosen else ()):
        if row.uid == entry.uid and row.found is chosen:
            return index
    return -1


def _choose(self: CompartmentRows, index: int) -> None:
    if 0 <= index < len(self.compartments):
        row = self.compartments[index]
        known_compartments.choose_compartment(row.uid, row.name)
        if bpy.context.mode == "OBJECT":
            operators.show_compartment("EXEC_DEFAULT", True, compartment=row.name)


class CompartmentRows(bpy.types.PropertyGroup):
    """All compartments known in this session; never in the file."""

    compartments: CollectionProperty(
        name="Compartments",
        description="Compartments found",
        type=CompartmentRow,
        options={"SKIP_SAVE"},
    )
    active: IntProperty(
        name="Active Compartment",
        description="Active compartment; choosing one selects its marks and boundaries",
        get=_active,
        set=_choose,
        options={"SKIP_SAVE"},
    )


class NAVAL_CHECKS_UL_compartments(bpy.types.UIList):
    """Compartments of the active hull: whether they are breached, their names and volumes."""

    def filter_items(self, context, data, property) -> tuple[list[int], list[int]]:
        rows = getattr(data, property)
        hull = active_hull(context)
        sought = self.filter_name.lower()
        flags = [
            self.bitflag_filter_item
            if hull and row.uid == hull.session_uid and sought in row.name.lower()
            else 0
            for row in rows
        ]
        return flags, []

    def draw_item(
        self, context, layout, data, item, icon, active_data, active_property, index, flt_flag
    ) -> None:
        compartment = item.found
        if compartment is None:
            return
        row = layout.row(align=True)
        row.prop(item, "breached", text="", icon="MOD_FLUIDSIM", emboss=item.breached)
        wide = is_wide(context)
        split = row.split(factor=0.7) if wide else row
        split.prop(
            item,
            "name",
            text="",
            emboss=False,
            icon="CHECKMARK" if compartment.watertight else "ERROR",
        )
        if wide:
            split.label(text=Units.of(context.scene).volume(compartment.volume))
        row.operator(
            Ops.SHOW_COMPARTMENT, text="", icon="VIEWZOOM", emboss=False
        ).compartment = compartment.name


def compartment_rows_of_window() -> CompartmentRows:
    """The list."""
    return cast(CompartmentRows, getattr(bpy.context.window_manager, PROPERTY))


def _write(_: bpy.types.Object | None = None) -> None:
    """Bring the list up to date. Rows stay where they are in memory while as many compartments are
    known: Blender still holds the one whose name the user has just changed."""
    rows = compartment_rows_of_window().compartments
    wanted = [
        (uid, number)
        for uid, plan in known_compartments.divisions()
        for number in range(len(plan.compartments))
    ]
    while len(rows) < len(wanted):
        rows.add()
    while len(rows) > len(wanted):
        rows.remove(len(rows) - 1)
    for row, (uid, number) in zip(rows, wanted, strict=True):
        row.uid, row.number = uid, number


_register_classes, _unregister_classes = bpy.utils.register_classes_factory(
    (CompartmentRow, CompartmentRows, NAVAL_CHECKS_UL_compartments)
)


def register() -> None:
    _register_classes()
    setattr(bpy.types.WindowManager, PROPERTY, PointerProperty(type=CompartmentRows))
    subscribe(Event.COMPARTMENTS_FOUND, _write)


def unregister() -> None:
    unsubscribe(Event.COMPARTMENTS_FOUND, _write)
    delattr(bpy.types.WindowManager, PROPERTY)
    _unregister_classes()

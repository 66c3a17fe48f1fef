"""Operators that export the weights of a hull as a list, and import one."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import bpy
import numpy as np
from bpy.app.translations import pgettext_rpt as rpt_
from bpy.props import EnumProperty, StringProperty
from bpy_extras.io_utils import ExportHelper, ImportHelper
from mathutils import Vector

from ...core.messages.findings import BadInputError
from ...core.model.weights import Weight
from ...files.disk import write_file
from ...files.input_errors import within
from ...parts.weight_changes import Changes, Way, compare
from ...parts.weight_list import ListedWeight, in_few_digits, read_weight_list, weight_list_text
from ..controller import session
from ..identifiers import Ops
from ..properties.names import Basis, Role
from ..properties.settings import settings
from ..readers.axes import Frame
from ..readers.hulls import ReadHull, read_hull
from ..readers.members import active_hull, counted
from ..readers.parts import as_modeled
from ..wording import reported, wrapped
from .compute import OnHull
from .parts import new_empty
from .polls import allowed
from .weights import tag_weight

ROUNDINGS = 4
"""Roundings to single precision between a place as wanted and as Blender has it."""


@dataclass(frozen=True)
class WeightsOnBoard:
    """The weights of a hull; places within `near` m count as equal.

    `modeled` are the names of those whose masses come from their meshes.
    """

    frame: Frame
    weights: tuple[ListedWeight, ...]
    near: float
    modeled: frozenset[str]


def weights_on_board(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> WeightsOnBoard:
    """The loaded weights of a hull. Raises BadInputError."""
    entry = session.entry_for(hull)
    known = entry.ship if entry and not entry.stale else None
    ship = known or read_hull(depsgraph, hull)
    frame = ship.frame
    found = counted(depsgraph, hull)[Role.WEIGHT]
    weights = tuple(listed_weight(depsgraph, obj, ship) for obj in found)
    places = [frame.start, *(frame.world(weight.center) for weight in weights)]
    farthest = np.float32(np.abs(places).max())
    modeled = frozenset(obj.name for obj in found if settings(obj).weight.basis != Basis.POINT)
    near = ROUNDINGS * float(np.spacing(max(farthest, np.float32(1.0)))) * frame.unit
    return WeightsOnBoard(frame, weights, near, modeled)


def listed_weight(
    depsgraph: bpy.types.Depsgraph, obj: bpy.types.Object, ship: ReadHull
) -> ListedWeight:
    """A weight as a row of a list, one row for one on both sides. Raises BadInputError."""
    one: Weight = as_modeled(depsgraph, obj, ship)
    both = settings(obj).both_sides
    row = one.name, one.mass, one.center, one.group
    return ListedWeight(*row, fixed=one.fixed, both_sides=both, fixed_given=True)


def list_text(on_board: WeightsOnBoard) -> str:
    """The list of weights, in as few digits as distinguish places."""
    return weight_list_text(in_few_digits(weight, on_board.near / 2) for weight in on_board.weights)


def changes_by(on_board: WeightsOnBoard, path: Path, way: Way) -> Changes:
    """The changes that a list makes. Raises BadInputError, also for an impossible name."""
    objects: Any = bpy.data.objects
    name: Any = bpy.types.ID.bl_rna.properties["name"]
    longest = name.length_max - 1
    listed = read_weight_list(path)
    with within(str(path)):
        found = compare(on_board.weights, listed, way, on_board.near, on_board.modeled)
        for weight in found.new:
            if objects.get(weight.name):
                text = rpt_(
                    "'{weight}' is the name of an object that is not a weight of this hull; "
                    "rename the object or the weight"
                )
                raise BadInputError(text.format(weight=weight.name))
            if len(weight.name.encode()) > longest:
                text = rpt_(
                    "'{weight}' is too long for Blender; shorten it to {longest} characters"
                )
                raise BadInputError(text.format(weight=weight.name, longest=longest))
    return found


def apply(
    context: bpy.types.Context, hull: bpy.types.Object, frame: Frame, changes: Changes
) -> None:
    """Apply the changes of a list."""
    objects: Any = bpy.data.objects
    for name in changes.removed:
        gone = objects[name]
        if gone.type == "EMPTY":
            objects.remove(gone)
        else:
            settings(gone).role = Role.NONE
    for weight in changes.changed:
        obj = objects[weight.name]
        settings(obj).weight.mass = weight.mass
        settings(obj).group = weight.group or settings(obj).group
        if weight.both_sides is not None:
            settings(obj).both_sides = weight.both_sides
        if weight.fixed_given:
            settings(obj).weight.fixed = weight.fixed
        place = Vector(frame.world(weight.center).tolist())
        carried = obj.parent.matrix_world @ obj.matrix_parent_inverse if obj.parent else None
        obj.location = carried.inverted_safe() @ place if carried else place
    made = []
    for weight in changes.new:
        place = frame.world(weight.center).tolist()
        made.append(new_empty(context, weight.name, "SPHERE", hull, place))
        tag_weight(made[-1], hull, weight.mass, weight.group)
        settings(made[-1]).both_sides = bool(weight.both_sides)
        settings(made[-1]).weight.fixed = weight.fixed
    for obj in made:
        obj.select_set(True)


class _OfHull(OnHull):
    """An operator on the weights of the active hull, with a file."""

    filepath: StringProperty(
        name="File",
        description="File of the weight list",
        subtype="FILE_PATH",
        options={"SKIP_SAVE"},
    )
    filename_ext = ".csv"
    filter_glob: StringProperty(
        name="Shown Files",
        description="Files that the file browser shows",
        default="*.csv;*.txt;*.tsv",
        options={"HIDDEN"},
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        return super().poll(context) and allowed(
            cls, context.mode == "OBJECT", "Weight lists need Object Mode"
        )


class NAVAL_CHECKS_OT_import_weights(_OfHull, ImportHelper):
    """Import a list of weights: CSV with name, mass_kg, x_m, y_m, z_m and group"""

    bl_idname = Ops.IMPORT_WEIGHTS
    bl_label = "Import Weights"
    bl_options = {"REGISTER", "UNDO"}

    mode: EnumProperty(
        name="Mode",
        description="What to do with existing weights",
        items=(
            (Way.ADD, "Add Only", "Add new weights; change none"),
            (Way.UPDATE, "Update", "Add new weights, change those of the same name"),
            (
                Way.REPLACE,
                "Replace",
                "Add new weights, change those of the same name, remove those not listed",
            ),
        ),
        default=Way.UPDATE,
    )

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        try:
            self.on_board = weights_on_board(
                context.evaluated_depsgraph_get(), active_hull(context)
            )
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        return ImportHelper.invoke(self, context, event)

    def check(self, context: bpy.types.Context) -> bool:
        return True

    def draw(self, context: bpy.types.Context) -> None:
        self.layout.column().prop(self, "mode", expand=True)
        path = Path(bpy.path.abspath(self.filepath))
        if path.is_file():
            try:
                text, icon = str(changes_by(self.on_board, path, Way(self.mode))), "INFO"
            except BadInputError as error:
                text, icon = reported(context, error.line).removeprefix(f"{path}: "), "ERROR"
            wrapped(self.layout, context, text, icon)

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull, path = active_hull(context), Path(bpy.path.abspath(self.filepath))
        depsgraph, mode = context.evaluated_depsgraph_get(), Way(self.mode)
        try:
            on_board = weights_on_board(depsgraph, hull)
            changes = changes_by(on_board, path, mode)
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        apply(context, hull, on_board.frame, changes)
        self.report({"INFO"}, f"{hull.name}, {changes}")
        self._check_places(context, hull, changes)
        return {"FINISHED"}

    def _check_places(
        self, context: bpy.types.Context, hull: bpy.types.Object, changes: Changes
    ) -> None:
        """Report weights that are not where the list has them."""
        context.view_layer.update()
        now = weights_on_board(context.evaluated_depsgraph_get(), hull)
        asked = (*changes.new, *changes.changed)
        held = compare(now.weights, asked, Way.UPDATE, now.near).changed
        if held:
            names = ", ".join(weight.name for weight in held)
            text = rpt_("{weights}: held elsewhere by a constraint, an animation or a lock")
            self.report({"WARNING"}, text.format(weights=names))
        if changes.left and self.mode != Way.ADD:
            names = ", ".join(weight.name for weight in changes.left)
            text = rpt_("{weights}: unchanged, as mass and position come from the mesh")
            self.report({"WARNING"}, text.format(weights=names))


class NAVAL_CHECKS_OT_export_weights(_OfHull, ExportHelper):
    """Export the weights of the hull as a list: CSV with masses in kg and positions in ship axes"""

    bl_idname = Ops.EXPORT_WEIGHTS
    bl_label = "Export Weights"
    bl_options = {"REGISTER"}

    def invoke(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if not self.filepath:
            name = bpy.path.clean_name(active_hull(context).name)
            self.filepath = name + "-weights" + self.filename_ext
        return ExportHelper.invoke(self, context, event)

    def execute(self, context: bpy.types.Context) -> set[str]:
        hull, path = active_hull(context), Path(bpy.path.abspath(self.filepath))
        try:
            on_board = weights_on_board(context.evaluated_depsgraph_get(), hull)
            write_file(path, list_text(on_board))
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        count = len(on_board.weights)
        one = rpt_("Wrote {count} weight of {hull} in {path}")
        many = rpt_("Wrote {count} weights of {hull} in {path}")
        text = one if count == 1 else many
        self.report({"INFO"}, text.format(count=count, hull=hull.name, path=path))
        return {"FINISHED"}


register, unregister = bpy.utils.register_classes_factory(
    (NAVAL_CHECKS_OT_import_weights, NAVAL_CHECKS_OT_export_weights)
)

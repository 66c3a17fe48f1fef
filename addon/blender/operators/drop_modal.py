"""What a drop at the mouse does with events: aim, preview, keys, the parts made."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

import bpy
import numpy as np
from bpy.app.handlers import persistent
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_n as n_
from bpy.props import BoolProperty, EnumProperty, FloatProperty

from ...core.advice.trial_loading import TrialLoading
from ...core.arrays import Floats
from ...core.messages.findings import BadInputError
from ...units.lengths import Lengths
from ...units.mass_entry import MassEntry, MassUnit
from ...units.quantities import Units
from ..controller import session
from ..properties.part_groups import ball_radius
from ..readers.cases import read_case
from ..readers.conditions import active_condition
from ..readers.hulls import read_hull
from ..readers.members import counted
from ..viewport import preview_layer
from ..viewport.line_of_sight import Viewport, struck, viewport_under
from ..viewport.preview import DropPreview, forecast, place_words
from ..viewport.shapes import Tone
from ..viewport.snapping import SnapPoint, fine, grid_step, met, named, places
from .drop_kinds import KINDS
from .parts import SHARE, mirror_off_center, new_empty, tag_part
from .weights import tag_weight

REACH = 9.0  # of the centerline, in pixels at a scale of 1
NARROW = 0.1  # the same, in breadths
NUDGE = 1e-4  # by which a ray goes on behind what it passes, in lengths of the hull
LETTERS = 60  # of a line beside the mouse
MARKS = {
    **{
        name: str(digit)
        for digit, name in enumerate(
            ("ZERO", "ONE", "TWO", "THREE", "FOUR", "FIVE", "SIX", "SEVEN", "EIGHT", "NINE")
        )
    },
    **{f"NUMPAD_{digit}": str(digit) for digit in range(10)},
    "PERIOD": ".",
    "NUMPAD_PERIOD": ".",
    "COMMA": ".",
}
VIEWING = ("MIDDLEMOUSE", "WHEEL", "TRACKPAD", "MOUSEROTATE", "MOUSESMARTZOOM", "NDOF", "HOME")
ENDS = {"RET", "NUMPAD_ENTER", "RIGHTMOUSE", "ESC"}
KEYS = n_(
    "LMB: Drop    0–9 . : Mass    Tab: Kind    X: Pair    C: Centerline    Ctrl: Snap to Grid    "
    "Shift: Precise    Backspace: Erase, Undo    Enter: End"
)


class Dropping:
    """The operator's response to mouse and keys."""

    kind: EnumProperty(
        name="Kind",
        description="Kind of part to drop",
        items=(
            ("WEIGHT", "Weight", "A mass on board"),
            ("BALLAST", "Ballast", "A mass in the group ballast"),
            ("OPENING", "Opening", "A point at which water enters once immersed"),
            ("BREACH", "Breach", "A breach, through which the time to flood is found"),
        ),
    )
    mass: FloatProperty(name="Mass (kg)", description="Mass in kg", default=100.0, min=0.0)
    pair: BoolProperty(
        name="Pair",
        description="Drop two at a time, on both sides of the centerline",
    )

    def begin(self, context: bpy.types.Context, hull: bpy.types.Object) -> None:
        """Read the vessel once. Raises BadInputError for a hull that cannot be read."""
        depsgraph = context.evaluated_depsgraph_get()
        entry = session.entry_for(hull)
        known = entry.ship if entry and not entry.stale else None
        self.ship = known or read_hull(depsgraph, hull)
        self.hull_name = hull.name
        self.problem = ""
        self.loadings: list[TrialLoading] = []
        try:
            case = read_case(depsgraph, hull, self.ship).case
            condition = active_condition(depsgraph, hull, counted(depsgraph, hull))
            self.loadings.append(TrialLoading(case, condition).with_known_position())
        except BadInputError as error:
            self.problem = error.line
        self.units = Units.of(context.scene)
        units = context.scene.unit_settings
        self.lengths = Lengths.of(units).for_size(self.ship.hull.length_overall)
        self.entry = MassEntry(MassUnit.of(units.system, units.mass_unit), self.mass)
        self.layer = preview_layer.PreviewLayer(self.ship.frame.to_world)
        self.layer.install()
        self.dropped: list[tuple[str, ...]] = []
        self.snap_point: SnapPoint | None = None
        self.on_centerline = self.centered = False
        self.anchor: Floats | None = None

    def follow(self, context: Any, event: Any) -> None:
        """Aim at the mouse, and show the result of a drop there."""
        viewport = viewport_under(context.window, event.mouse_x, event.mouse_y)
        self.snap_point = self.snapped(context, viewport, event) if viewport else None
        self.layer.preview = None
        text = iface_("Drop: move the mouse over a 3D viewport")
        if viewport and self.snap_point:
            rows = self.rows()
            self.layer.region = viewport.region.as_pointer()
            self.layer.preview = DropPreview(
                KINDS[self.kind].mark,
                np.stack(self.spots),
                self.radius,
                rows,
                self.keel if self.centered else None,
            )
            text = "    ".join(row for row, _ in rows)
        _write(context, viewport, text)

    def snapped(self, context: Any, viewport: Viewport, event: Any) -> SnapPoint | None:
        """The aim at the mouse, snapped as the keys say."""
        region, frame, hull = viewport.region, self.ship.frame, self.ship.hull
        mouse = np.array([event.mouse_x - region.x, event.mouse_y - region.y], np.float64)
        self.anchor = (mouse if self.anchor is None else self.anchor) if event.shift else None
        pixel = mouse if self.anchor is None else fine(self.anchor, mouse)
        start, along = viewport.sight(pixel)
        nudge = NUDGE * hull.length_overall / frame.unit
        found = struck(context, viewport.space, start, along, nudge)
        if found:
            snap_point: SnapPoint | None = SnapPoint(frame.ship(found[0]), frame.turn @ found[1])
        else:
            middle = np.array([hull.length_pp / 2, 0.0, hull.depth])
            snap_point = met(frame.ship(start), frame.turn @ along, middle)
        if snap_point is None:
            return None
        view = viewport.view.of(frame.to_world)
        scale = context.preferences.system.ui_scale
        if event.ctrl:
            step = grid_step(snap_point.point, view, self.lengths, scale, event.shift)
            snap_point = snap_point.on_grid(step)
        near = snap_point.near_centerline(view, REACH * scale, NARROW * hull.breadth)
        self.centered = self.on_centerline or (near and not event.shift)
        return snap_point.on_centerline() if self.centered else snap_point

    @property
    def spots(self) -> tuple[Floats, ...]:
        """Where parts would be dropped now, points (3,) in ship axes."""
        return places(self.snap_point.point, self.pair)

    @property
    def radius(self) -> float:
        """Radius (m) in which the part is drawn."""
        if not KINDS[self.kind].heavy:
            return SHARE * self.ship.hull.length_overall
        return ball_radius(self.entry.kilograms)

    @property
    def keel(self) -> Floats:
        """The centerline at the height of the aim, points (2, 3)."""
        return np.array(
            [[x, 0.0, self.snap_point.point[2]] for x in (0.0, self.ship.hull.length_pp)]
        )

    def rows(self) -> tuple[tuple[str, Tone], ...]:
        """What would be dropped where, and the floating position after it."""
        kind, spots = KINDS[self.kind], self.spots
        name = iface_(kind.name)
        what = [name, str(self.entry)] if kind.heavy else [name]
        times = f"{len(spots)} × " if len(spots) > 1 else ""
        where = place_words(spots[0], self.lengths)
        rows: list[tuple[str, Tone]] = [(times + " ".join(what), "plain"), (where, "plain")]
        if self.problem:
            return (*rows, *_warned(self.units.text(self.problem, iface_)))
        if not kind.heavy:
            return (*rows, *self._above_water(spots))
        if self.entry.kilograms > 0:
            try:
                loaded = self.loadings[-1].with_masses(self.entry.kilograms, spots, kind.group)
                rows_after = forecast(
                    loaded.floating_position(), self.lengths, loaded.case.openings
                )
            except BadInputError as error:
                return (*rows, *_warned(self.units.text(error.line, iface_)))
            return (*rows, *rows_after)
        return (*rows, *_warned(iface_("enter a mass above zero")))

    def _above_water(self, spots: Sequence[Floats]) -> tuple[tuple[str, Tone], ...]:
        """Height of an opening or breach above the present waterline."""
        near = self.loadings[-1].water
        if near is None:
            return ()
        height = float(near.heights(np.stack(spots)).min())
        if height < 0:
            return _warned(
                iface_("{length} below the waterline").format(length=self.lengths(-height))
            )
        above = iface_("{length} above the waterline").format(length=self.lengths(height))
        return ((above, "plain"),)

    def press(self, context: Any, event: Any) -> bool:
        """Handle a key or button; whether it ends the operator."""
        if event.type in ENDS:
            return True
        mark = event.ascii if event.ascii in {*"0123456789."} else MARKS.get(event.type, "")
        if event.type == "LEFTMOUSE":
            self.drop(context)
        elif event.type == "BACK_SPACE" and self.entry.text:
            self.entry = self.entry.erased()
        elif event.type == "BACK_SPACE" or (event.type == "Z" and (event.ctrl or event.oskey)):
            self.undo_drop()
        elif event.type == "TAB":
            kinds = [*KINDS]
            self.kind = kinds[(kinds.index(self.kind) + 1) % len(kinds)]
        elif event.type == "X":
            self.pair = not self.pair
        elif event.type == "C":
            self.on_centerline = not self.on_centerline
        elif mark and not event.ctrl:
            self.entry = self.entry.typed(mark)
        return False

    def drop(self, context: bpy.types.Context) -> None:
        """Add the part at the aim, as one step of undo."""
        objects: Any = bpy.data.objects
        hull, kind, mass = objects.get(self.hull_name), KINDS[self.kind], self.entry.kilograms
        if self.snap_point is None or hull is None or (mass <= 0 and kind.heavy):
            return
        spots, frame = self.spots, self.ship.frame
        made = []
        for name, spot in zip(named(kind.name, spots), spots, strict=True):
            place = frame.world(spot).tolist()
            made.append(new_empty(context, name, kind.display, hull, place))
            if kind.heavy:
                tag_weight(made[-1], hull, mass, kind.group)
            else:
                tag_part(made[-1], hull, kind.role)
        if not (kind.heavy or self.pair):
            mirror_off_center(context, hull, made)
        for obj in made:
            obj.select_set(True)
        self.dropped.append(tuple(obj.name for obj in made))
        self.entry = self.entry.settled()
        self.mass = self.entry.kept
        if self.loadings:
            now = self.loadings[-1]
            if kind.heavy:
                now = now.with_masses(mass, spots, kind.group).with_known_position()
            self.loadings.append(now)
        step = iface_("Drop {kind}").format(kind=iface_(kind.name))
        bpy.ops.ed.undo_push(message=step)

    def undo_drop(self) -> None:
        """Undo the last drop."""
        if self.dropped:
            bpy.ops.ed.undo()
            self.dropped.pop()
            if self.loadings:
                self.loadings.pop()

    def handle(self, context: Any, event: Any) -> set[str]:
        """Handle an event; the result of the modal operator."""
        if not self.layer.installed:
            return {"CANCELLED"}
        if event.type.startswith(VIEWING) or (event.alt and event.type == "LEFTMOUSE"):
            return {"PASS_THROUGH"}
        if event.type == "INBETWEEN_MOUSEMOVE":
            return {"RUNNING_MODAL"}
        if event.value == "PRESS" and self.press(context, event):
            tidy()
            return {"FINISHED"} if self.dropped else {"CANCELLED"}
        self.follow(context, event)
        return {"RUNNING_MODAL"}


def _warned(text: str) -> tuple[tuple[str, Tone], ...]:
    return tuple((line, "warning") for line in textwrap.wrap(text, LETTERS))


def _write(context: Any, viewport: Viewport | None, text: str) -> None:
    """Set the header text of one viewport, or of all, and redraw them."""
    for area in context.window.screen.areas if context.window else ():
        if area.type == "VIEW_3D":
            here = viewport is None or area == viewport.area
            area.header_text_set(text if here else None)
            area.tag_redraw()


@persistent
def tidy(*_: object) -> None:
    """Remove the preview and the texts of a drop in progress."""
    if not preview_layer.uninstall():
        return
    manager = bpy.context.window_manager
    for window in manager.windows if manager else ():
        window.workspace.status_text_set(None)
        for area in window.screen.areas:
            if area.type == "VIEW_3D":
                area.header_text_set(None)
                area.tag_redraw()

"""What a region shows: vessels in place or as floated copies, what is inside them, and a chart."""

from __future__ import annotations

from dataclasses import dataclass

from ...core.arrays import Floats
from ...core.hydrostatics.floating_position import FloatingPosition
from ...units.lengths import Lengths
from .chart_request import ChartRequest
from .compartment_renderer import PosedCompartments
from .dimensions import Dimension
from .floated_copy import level_pose
from .palette import Palette
from .shapes import Show, Tone
from .style import Style
from .vessel_shapes import attitude_of, water_point


@dataclass(frozen=True, eq=False)
class Ship:
    """A vessel to draw. `pose` (4, 4) places the hull or its floated copy in the world.

    `arm` (m) is GZ where the vessel is held at a heel, None at rest. Centers of a `moving` one are
    not drawn. `text` are its lines of read-out, the usual one where there are none. `spans` are
    lengths of the vessel to show.
    """

    key: int
    name: str
    floating: FloatingPosition
    to_world: Floats
    pose: Floats
    copy: bool
    stale: bool
    arm: float | None = None
    moving: bool = False
    text: tuple[tuple[str, Tone], ...] = ()
    spans: tuple[Dimension, ...] = ()


def ship_at(
    key: int,
    name: str,
    floating: FloatingPosition,
    to_world: Floats,
    stale: bool = False,
    copy_distance: float | None = None,
    arm: float | None = None,
) -> Ship:
    """A vessel in place, or its floated copy `copy_distance` breadths to port (None: no copy)."""
    if copy_distance is None:
        return Ship(key, name, floating, to_world, to_world, False, stale, arm)
    to_port = copy_distance * floating.case.hull.breadth
    pose = level_pose(to_world, attitude_of(floating), water_point(floating), to_port)
    return Ship(key, name, floating, to_world, pose, True, stale, arm)


@dataclass(frozen=True, eq=False)
class Scenery:
    """What a region shows, and how: vessels, over a `ground` color, at the scale of the screen."""

    ships: tuple[Ship, ...]
    show: Show
    lengths: Lengths
    ground: tuple[float, float, float]
    scale: float = 1.0
    mark_scale: float = 1.0
    chart: ChartRequest | None = None
    insides: tuple[PosedCompartments, ...] = ()

    def inside(self, ship: Ship) -> PosedCompartments | None:
        """What is shown inside a vessel."""
        return next((inside for inside in self.insides if inside.key == ship.key), None)

    def style(self, palette: Palette) -> Style:
        """How marks and words are laid out."""
        unit, counted = self.lengths.unit, self.lengths.counted
        return Style(palette, self.scale, self.mark_scale, unit, counted)

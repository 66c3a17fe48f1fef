"""Water in the compartments of a vessel: its surfaces, and the equilibrium of the vessel with it.

Floodwater is weight on board with a level surface, as the liquid of a tank. A pose is the
equilibrium with given volumes, and its linear response to a little more: with H the Hessian of the
energy over (rise of the sea level over G, pitch, heel) and a(p) the change of the depth of the sea
over a point p with each of these, a volume dV more on a surface centered at s makes the sea deeper
over p by a(p) . H^-1 a(s) dV.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..buoyancy.attitude import Attitude, water_frame
from ..buoyancy.body import Body
from ..buoyancy.level import immersed_to_volume
from ..hydrostatics.equilibrium import energy, moved, settle
from ..model.compartment import Room
from ..model.load import Hung, Load
from ..model.tanks import UPRIGHT

Array = NDArray[np.float64]

DREGS = 1e-7
TOP = 0.01
PIPE = 1e-7
TOLERANCE = 1e-12
ROUNDING = 1e-14
FLAT = 1e-9
FARTHEST = 0.1


@dataclass(frozen=True)
class Lying:
    """Water in a compartment: its level, and the compartment's lowest and highest points along up
    (m); its net free surface (m2), averaged over the top of a full compartment; the center (3,) of
    that surface and its second moments (2, 2) in m4; the centroid (3,) of the water."""

    level: float
    low: float
    high: float
    area: float
    middle: Array
    surface: Array
    centre: Array


@dataclass(frozen=True)
class Pose:
    """A vessel with `water` (k,) m3 in its compartments, the levels and the lowest and highest
    points of the compartments (k,) along up, the free surfaces (k,) in m2 and their centers (k, 3).

    `yielding` (3, 3) is the compliance: motion (rise of the sea level over `hinge`, which is fixed
    in the vessel, in lengths of `length`; pitch; heel) per load of the same kinds in m3 and m4.
    """

    attitude: Attitude
    water: Array
    levels: Array
    lows: Array
    highs: Array
    areas: Array
    middles: Array
    hinge: Array
    length: float
    yielding: Array

    def arms(self, points: Array) -> Array:
        """Change of the depth of the sea over points (n, 3) with each motion, (n, 3)."""
        across = (points - self.hinge) @ water_frame(self.attitude.up)[:2].T
        return np.column_stack([np.full(len(points), self.length), -across])


Standing = Callable[[Array, "Pose | None"], "Pose | None"]
"""The pose with water (k,) in the compartments, sought from a nearby pose; None where there is
none."""


@dataclass(frozen=True)
class Basin:
    """A compartment that can hold water."""

    room: Room

    @cached_property
    def capacity(self) -> float:
        """Volume of water that it can hold (m3)."""
        return self.room.permeability * self.room.volume

    @cached_property
    def pipe(self) -> float:
        """Area (m2) of the notional vent pipe in which water rises over a full compartment."""
        return PIPE * float(np.cbrt(self.room.volume)) ** 2

    @cached_property
    def centre(self) -> Array:
        """Centroid of its volume (3,)."""
        body = self.room.body
        return body.below(Attitude(UPRIGHT, self.room.ceiling + body.size)).buoyancy

    def lie(self, up: Array, water: float, near: float | None = None) -> Lying:
        """Level and surface of a volume of water (m3), the level sought from the estimate `near`
        (m)."""
        body, share = self.room.body, self.room.permeability
        low, high = body.span(up)
        least = DREGS * self.capacity
        if water >= self.capacity:
            depth = TOP * (high - low)
            below = body.below(Attitude(up, high - depth)).volume
            area = max(share * (body.volume - below) / depth, self.pipe)
            level = high + (water - self.capacity) / self.pipe
            return Lying(level, low, high, area, self.centre, np.zeros((2, 2)), self.centre)
        if water <= ROUNDING * self.capacity:
            area = self.capacity / (high - low)
            return Lying(
                low + water / area, low, high, area, self.centre, np.zeros((2, 2)), self.centre
            )
        wet = immersed_to_volume(body, up, max(water, least) / share, TOLERANCE, near)
        level, area = wet.attitude.level, max(share * wet.waterplane_area, self.pipe)
        if water < least:
            area = least / (level - low)
            level = low + water / area
        middle = wet.flotation if wet.waterplane_area > 0 else wet.buoyancy
        return Lying(level, low, high, area, middle, share * wet.inertia, wet.buoyancy)


@dataclass(frozen=True)
class Held:
    """Compartments of a vessel held fixed, or tanks ashore, whatever flows in or out."""

    attitude: Attitude
    basins: tuple[Basin, ...]

    def __call__(self, water: Array, near: Pose | None = None) -> Pose:
        """Surfaces of water (k,) in them."""
        up = self.attitude.up
        lying = [basin.lie(up, each) for basin, each in zip(self.basins, water, strict=True)]
        return _pose(self.attitude, water, lying, np.zeros(3), 1.0, np.zeros((3, 3)))


@dataclass(frozen=True)
class Afloat:
    """A vessel that finds its equilibrium with the water in its compartments, downhill in energy
    from the last."""

    tree: Body
    load: Load
    basins: tuple[Basin, ...]
    start: Attitude

    def sinks(self, water: Array) -> bool:
        """Whether the vessel with water (k,) in its compartments weighs more than all it can
        displace."""
        return bool(self.load.volume + water.sum() >= self.tree.volume)

    def __call__(self, water: Array, near: Pose | None = None) -> Pose | None:
        """The pose with water (k,) in the compartments; None where the vessel sinks, or no
        equilibrium is found."""
        if self.sinks(water):
            return None
        volume = self.load.volume + float(water.sum())
        middles = [basin.centre for basin in self.basins]
        if near is not None:
            rises = (water - near.water) / near.areas
            middles = [*(near.middles + rises[:, None] * near.attitude.up)]
        wet = [i for i, basin in enumerate(self.basins) if water[i] > DREGS * basin.capacity]
        hangs: dict[bytes, tuple[Hung, dict[int, Lying]]] = {}

        def lie(i: int, up: Array) -> Lying:
            lying = self.basins[i].lie(up, water[i], float(up @ middles[i]))
            middles[i] = lying.middle
            return lying

        def hang(up: Array) -> Hung:
            if up.tobytes() not in hangs:
                hung, found = self.load.hang(up), {i: lie(i, up) for i in wet}
                moment, slack = self.load.volume * hung.centre, hung.slack.copy()
                for i, lying in found.items():
                    moment += water[i] * lying.centre
                    slack += lying.surface
                hangs[up.tobytes()] = Hung(moment / volume, slack), found
            return hangs[up.tobytes()][0]

        start = self.start if near is None else _followed(near, water)
        rest = settle(self.tree, volume, hang, start)
        if not rest.settled:
            return None
        length = float(np.cbrt(volume))
        up = rest.attitude.up
        curve = energy(rest.immersion, volume, length, hang(up))[2] * volume * length
        found = hangs[up.tobytes()][1]
        lying = [found.get(i) or lie(i, up) for i in range(len(self.basins))]
        return _pose(rest.attitude, water, lying, rest.gravity, length, _inverse(curve))


def _pose(
    attitude: Attitude,
    water: Array,
    lying: list[Lying],
    hinge: Array,
    length: float,
    yielding: Array,
) -> Pose:
    return Pose(
        attitude,
        water,
        np.array([each.level for each in lying]),
        np.array([each.low for each in lying]),
        np.array([each.high for each in lying]),
        np.array([each.area for each in lying]),
        np.array([each.middle for each in lying]),
        hinge,
        length,
        yielding,
    )


def _followed(pose: Pose, water: Array) -> Attitude:
    """Predicted attitude with other water (k,) in the compartments."""
    move = pose.yielding @ ((water - pose.water) @ pose.arms(pose.middles))
    if np.linalg.norm(move) > FARTHEST:
        return pose.attitude
    return moved(pose.attitude, move, pose.length, pose.hinge)


def _inverse(curve: Array) -> Array:
    """Pseudoinverse of a symmetric matrix, its null directions left out."""
    values, axes = np.linalg.eigh(curve)
    firm = values > FLAT * np.abs(values).max()
    return (axes[:, firm] / values[firm]) @ axes[:, firm].T

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

from ..arrays import Floats
from ..buoyancy.attitude import Attitude, water_frame
from ..buoyancy.body import Body
from ..buoyancy.level import immersed_to_volume
from ..hydrostatics.equilibrium import find_equilibrium, potential_energy, stepped_attitude
from ..model.compartment import Compartment
from ..model.load import GravityState, Load

MIN_WATER_SHARE = 1e-7
"""Share of its capacity below which a compartment counts as dry."""
TOP_LAYER_SHARE = 0.01
"""Share of the height of a full compartment over which its surface is averaged."""
VENT_AREA_SHARE = 1e-7
"""Area of the vent over a full compartment, over the squared root of its volume."""
VOLUME_TOLERANCE = 1e-12
"""Relative error of a volume of water."""
ROUNDING_SHARE = 1e-14
"""Share of its capacity that is rounding."""
FLAT_CURVATURE_SHARE = 1e-9
"""Share of the largest eigenvalue up to which the Hessian is singular."""
MAX_EXTRAPOLATION = 0.1
"""Norm of a motion (rad, or share of the length) up to which the attitude is extrapolated."""


@dataclass(frozen=True)
class CompartmentWater:
    """Water in a compartment: its level, and the compartment's lowest and highest points along up
    (m); its net free surface (m2), averaged over the top of a full compartment; the center (3,) of
    that surface and its second moments (2, 2) in m4; the centroid (3,) of the water."""

    level: float
    low: float
    high: float
    area: float
    middle: Floats
    surface: Floats
    center: Floats


@dataclass(frozen=True)
class FloodedState:
    """A vessel with `water` (k,) m3 in its compartments, the levels and the lowest and highest
    points of the compartments (k,) along up, the free surfaces (k,) in m2 and their centers (k, 3).

    `compliance` (3, 3) is the compliance: motion (rise of the sea level over `pivot`, which is
    fixed in the vessel, in lengths of `length`; pitch; heel) per load of the same kinds in m3 and
    m4.
    """

    attitude: Attitude
    water: Floats
    levels: Floats
    lows: Floats
    highs: Floats
    areas: Floats
    middles: Floats
    pivot: Floats
    length: float
    compliance: Floats

    def depth_changes(self, points: Floats) -> Floats:
        """Change of the depth of the sea over points (n, 3) with each motion, (n, 3)."""
        across = (points - self.pivot) @ water_frame(self.attitude.up)[:2].T
        return np.column_stack([np.full(len(points), self.length), -across])


StateSolver = Callable[[Floats, "FloodedState | None"], "FloodedState | None"]
"""The pose with water (k,) in the compartments, sought from a nearby pose; None where there is
none."""


@dataclass(frozen=True)
class FloodableCompartment:
    """A compartment that can hold water."""

    compartment: Compartment

    @cached_property
    def capacity(self) -> float:
        """Volume of water that it can hold (m3)."""
        return self.compartment.permeability * self.compartment.volume

    @cached_property
    def vent_area(self) -> float:
        """Area (m2) of the notional vent pipe in which water rises over a full compartment."""
        return VENT_AREA_SHARE * float(np.cbrt(self.compartment.volume)) ** 2

    def water_state(self, up: Floats, water: float, near: float | None = None) -> CompartmentWater:
        """Level and surface of a volume of water (m3), the level sought from the estimate `near`
        (m)."""
        body, share = self.compartment.body, self.compartment.permeability
        low, high = body.span(up)
        least = MIN_WATER_SHARE * self.capacity
        if water >= self.capacity:
            depth = TOP_LAYER_SHARE * (high - low)
            below = body.below(Attitude(up, high - depth)).volume
            area = max(share * (body.volume - below) / depth, self.vent_area)
            level = high + (water - self.capacity) / self.vent_area
            return self._all_or_nothing(level, low, high, area)
        if water <= ROUNDING_SHARE * self.capacity:
            area = self.capacity / (high - low)
            return self._all_or_nothing(low + water / area, low, high, area)
        wet = immersed_to_volume(body, up, max(water, least) / share, VOLUME_TOLERANCE, near)
        level, area = wet.attitude.level, max(share * wet.waterplane_area, self.vent_area)
        if water < least:
            area = least / (level - low)
            level = low + water / area
        middle = wet.flotation if wet.waterplane_area > 0 else wet.buoyancy
        return CompartmentWater(level, low, high, area, middle, share * wet.inertia, wet.buoyancy)

    def _all_or_nothing(
        self, level: float, low: float, high: float, area: float
    ) -> CompartmentWater:
        """The water of a full or a dry compartment, which has no free surface that shifts."""
        center = self.compartment.center
        return CompartmentWater(level, low, high, area, center, np.zeros((2, 2)), center)


@dataclass(frozen=True)
class FixedVessel:
    """Compartments of a vessel held fixed, or tanks ashore, whatever flows in or out."""

    attitude: Attitude
    nodes: tuple[FloodableCompartment, ...]

    def __call__(self, water: Floats, near: FloodedState | None = None) -> FloodedState:
        """Surfaces of water (k,) in them."""
        up = self.attitude.up
        waters = [node.water_state(up, each) for node, each in zip(self.nodes, water, strict=True)]
        return _state(self.attitude, water, waters, np.zeros(3), 1.0, np.zeros((3, 3)))


@dataclass(frozen=True)
class FloatingVessel:
    """A vessel that finds its equilibrium with the water in its compartments, downhill in energy
    from the last."""

    tree: Body
    load: Load
    nodes: tuple[FloodableCompartment, ...]
    start: Attitude

    def sinks(self, water: Floats) -> bool:
        """Whether the vessel with water (k,) in its compartments weighs more than all it can
        displace."""
        return bool(self.load.volume + water.sum() >= self.tree.volume)

    def __call__(self, water: Floats, near: FloodedState | None = None) -> FloodedState | None:
        """The pose with water (k,) in the compartments; None where the vessel sinks, or no
        equilibrium is found."""
        if self.sinks(water):
            return None
        volume = self.load.volume + float(water.sum())
        middles = [node.compartment.center for node in self.nodes]
        if near is not None:
            rises = (water - near.water) / near.areas
            middles = [*(near.middles + rises[:, None] * near.attitude.up)]
        wet = [i for i, node in enumerate(self.nodes) if water[i] > MIN_WATER_SHARE * node.capacity]
        gravity_states: dict[bytes, tuple[GravityState, dict[int, CompartmentWater]]] = {}

        def water_state(i: int, up: Floats) -> CompartmentWater:
            waters = self.nodes[i].water_state(up, water[i], float(up @ middles[i]))
            middles[i] = waters.middle
            return waters

        def gravity_at(up: Floats) -> GravityState:
            if up.tobytes() not in gravity_states:
                gravity_state, found = (
                    self.load.gravity_at(up),
                    {i: water_state(i, up) for i in wet},
                )
                moment, free_surfaces = (
                    self.load.volume * gravity_state.center,
                    gravity_state.free_surfaces.copy(),
                )
                for i, waters in found.items():
                    moment += water[i] * waters.center
                    free_surfaces += waters.surface
                gravity_states[up.tobytes()] = GravityState(moment / volume, free_surfaces), found
            return gravity_states[up.tobytes()][0]

        start = self.start if near is None else _extrapolated_attitude(near, water)
        rest = find_equilibrium(self.tree, volume, gravity_at, start)
        if not rest.converged:
            return None
        length = float(np.cbrt(volume))
        up = rest.attitude.up
        curve = (
            potential_energy(rest.immersion, volume, length, gravity_at(up))[2] * volume * length
        )
        found = gravity_states[up.tobytes()][1]
        waters = [found.get(i) or water_state(i, up) for i in range(len(self.nodes))]
        return _state(rest.attitude, water, waters, rest.gravity, length, _pseudo_inverse(curve))


def _state(
    attitude: Attitude,
    water: Floats,
    waters: list[CompartmentWater],
    pivot: Floats,
    length: float,
    compliance: Floats,
) -> FloodedState:
    return FloodedState(
        attitude,
        water,
        np.array([each.level for each in waters]),
        np.array([each.low for each in waters]),
        np.array([each.high for each in waters]),
        np.array([each.area for each in waters]),
        np.array([each.middle for each in waters]),
        pivot,
        length,
        compliance,
    )


def _extrapolated_attitude(state: FloodedState, water: Floats) -> Attitude:
    """Predicted attitude with other water (k,) in the compartments."""
    move = state.compliance @ ((water - state.water) @ state.depth_changes(state.middles))
    if np.linalg.norm(move) > MAX_EXTRAPOLATION:
        return state.attitude
    return stepped_attitude(state.attitude, move, state.length, state.pivot)


def _pseudo_inverse(curve: Floats) -> Floats:
    """Pseudoinverse of a symmetric matrix, its null directions left out."""
    values, axes = np.linalg.eigh(curve)
    firm = values > FLAT_CURVATURE_SHARE * np.abs(values).max()
    return (axes[:, firm] / values[firm]) @ axes[:, firm].T

"""Points that dip into the water and come out again between two heels."""

from __future__ import annotations

import numpy as np
import pytest

from addon.core.damage.residual_gz import residual_gz_from
from addon.core.hydrostatics.floating_position import find_floating_position
from addon.core.model.case import Case
from addon.core.model.hull import build_hull
from addon.core.model.openings import Opening
from addon.core.model.tanks import Tank
from addon.core.model.weights import Weight
from addon.core.stability.both_sides import stability
from addon.core.stability.immersion_angles import immersion_heel
from addon.core.stability.righting_lever import heeling_of
from tests import bodies

WATER = 1025.0
DUCT = 2.5
STEEPEST = (290 + np.sqrt(290**2 - 4 * 870 * 16)) / (2 * 870)
HIGHEST = 3.5 * STEEPEST + np.sqrt(8 * STEEPEST - 24 * STEEPEST**2)


def catamaran(z: float, side: int = 1) -> Case:
    """Two boxes of 20 x 2 x 4 m, their middles 8 m apart, at 1 m; a duct opens between them, 2.5 m
    from the middle and z m up.

    With m the tangent of the heel, the water at the duct stands 1 + 2.5 m over the keel until at
    m = 1/5 the hull that rises begins to leave it. As long as a wedge of that stays wet, to
    m = 2/7, it stands h = 3.5 m + sqrt(8 m - 24 m^2) over the keel, and then 2 - 1.5 m.
    """
    hulls = (bodies.moved(bodies.box(20.0, 2.0, 4.0), (0, y, 0)) for y in (4.0, -4.0))
    hull = build_hull(bodies.mesh(bodies.joined(*hulls)))
    weight = Weight("all", 80 * WATER, np.array([10.0, 0.0, 1.5]))
    duct = Opening("duct", np.array([10.0, -DUCT * side, z]))
    return Case("catamaran", hull, (weight,), WATER, openings=(duct,))


def goes_under(z: float) -> float:
    """The heel (rad) at which the duct does, the lesser root of h = z while the wedge is wet."""
    b = 7 * z + 8
    return float(np.arctan((b - np.sqrt(b * b - 145 * z * z)) / 72.5))


@pytest.mark.parametrize("depth", [1e-2, 1e-4, 1e-5])
@pytest.mark.parametrize("side", [1, -1])
def test_a_dip_between_two_heels_floods(depth: float, side: int) -> None:
    """Under from 13.7 to 15.7 degrees at a depth of 1 cm, from 14.73 to 14.80 at the least."""
    ship = stability(catamaran(HIGHEST - depth, side))
    low, high = (ship.starboard, ship.port)[::side]
    assert low.downflooding_angle == pytest.approx(goes_under(HIGHEST - depth), abs=1e-8)
    assert high.downflooding_angle > np.pi / 2


def test_what_comes_just_short_of_the_water_does_not_flood() -> None:
    ship = stability(catamaran(HIGHEST + 1e-6))
    assert ship.starboard.downflooding_angle > np.pi / 2


@pytest.mark.parametrize("depth", [1e-2, 1e-3, 1e-4])
def test_residual_arms_end_at_a_dip_between_two_strides(depth: float) -> None:
    floating = find_floating_position(catamaran(HIGHEST - depth), seek_others=False)
    left = residual_gz_from(floating, 1, np.radians(30), 0.1)
    assert left.range == pytest.approx(goes_under(HIGHEST - depth), abs=1e-7) and left.complete


def test_the_first_of_several_points() -> None:
    """One that is under at the second heel, and one that has dipped before."""
    z = HIGHEST - 1e-3
    heeling = heeling_of(catamaran(z))
    here, there = (heeling.at(heel) for heel in np.radians([10.0, 16.0]))
    dips, stays = np.array([10.0, -DUCT, z]), np.array([10.0, -3.0, 1.6])
    assert there.attitude.heights(np.array([dips, stays])).tolist() == [
        pytest.approx(0.0, abs=0.05),
        pytest.approx(-0.1, abs=0.1),
    ]
    found = immersion_heel(heeling, here, there, np.array([dips, stays]))
    assert found == pytest.approx(min(goes_under(z), np.arctan(0.2)), abs=1e-8)
    assert immersion_heel(heeling, here, there, np.zeros((0, 3))) is None
    assert immersion_heel(heeling, there, here, stays[None]) == there.heel


@pytest.mark.parametrize("fixed", [False, True])
def test_lift_is_the_slope_of_heights(fixed: bool) -> None:
    """Free to trim on a body unlike at its ends, with liquid on board."""
    body = bodies.joined(
        bodies.box(8.0, 4.0, 2.6), bodies.moved(bodies.wedge(12.0, 4.0, 2.6), (8.0, 0, 0))
    )
    hull = build_hull(bodies.mesh(body))
    tank = Tank(
        "tank", bodies.tree(bodies.moved(bodies.box(4.0, 2.0, 1.0), (3, 0.5, 0.2))), 900, 0.5
    )
    weight = Weight("all", 0.35 * hull.volume * WATER, np.array([9.0, 0.1, 1.3]))
    heeling = heeling_of(Case("ship", hull, (weight,), WATER, tanks=(tank,)), fixed)
    points = np.random.default_rng(4).uniform(-5, 20, (20, 3))
    for heel in (-0.4, 0.3, 1.2, 2.2):
        held, step = heeling.at(heel), 1e-5
        there, back = (heeling.at(heel + turn, held).attitude for turn in (step, -step))
        slope = (there.heights(points) - back.heights(points)) / (2 * step)
        assert held.height_slopes(points) == pytest.approx(slope, abs=1e-6)
        assert fixed or abs(held.trim_slope) > 1e-4

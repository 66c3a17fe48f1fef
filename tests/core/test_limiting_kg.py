"""Cross curves and limiting KG, against closed forms and against curves computed outright."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from addon.core.criteria.assessment import assess, criteria_inputs_of
from addon.core.criteria.codes import check_criteria
from addon.core.criteria.limiting_kg import POSITIVE_GM, limiting_KG, with_KG
from addon.core.model.case import Case
from addon.core.model.hull import build_hull
from addon.core.model.user_criteria import CustomCriterion
from addon.core.stability.both_sides import stability
from addon.core.stability.cross_curves import cross_curves, on_even_keel
from addon.core.stability.righting_curve import righting_curve
from addon.core.stability.righting_lever import heeling_of
from tests import bodies
from tests.language import refused

HEELS = np.radians(np.arange(-180.0, 181.0, 15.0))
CYLINDER = Case("cylinder", build_hull(bodies.mesh(bodies.horizontal_cylinder(2.0, 10.0, 180))))
RAKED = Case("raked", build_hull(bodies.mesh(bodies.scaled(bodies.star(5, 3, 0.3), (6, 2, 1.5)))))


@pytest.mark.parametrize("mass", [20e3, 60e3, 100e3])
def test_KN_of_a_cylinder_is_its_radius_times_the_sine(mass: float) -> None:
    (curve,) = cross_curves(CYLINDER, [mass], HEELS)
    assert curve.KN == pytest.approx(2.0 * np.sin(HEELS), abs=2e-3)
    assert curve.converged.all() and curve.displacement == mass


@pytest.mark.parametrize("KG", [0.3, 1.2])
def test_KN_less_KG_sine_is_GZ(KG: float) -> None:
    mass = 0.4 * RAKED.hull.volume * RAKED.water_density
    (curve,) = cross_curves(RAKED, [mass], HEELS, KG)
    ship = on_even_keel(RAKED, mass, KG)
    arms = righting_curve(heeling_of(ship), HEELS)
    GZ = np.array([arms.at(float(heel)).arm for heel in HEELS])
    assert curve.KN - KG * np.sin(HEELS) == pytest.approx(GZ, abs=1e-9)
    assert arms.upright.attitude.trim_rad == pytest.approx(0.0, abs=1e-9)


def test_KN_with_the_trim_fixed_does_not_depend_on_KG() -> None:
    mass = 0.4 * RAKED.hull.volume * RAKED.water_density
    low, high = (cross_curves(RAKED, [mass], HEELS, KG, True)[0].KN for KG in (0.0, 2.0))
    assert low == pytest.approx(high, abs=1e-9)


def test_another_height_of_G_is_the_curve_computed_there() -> None:
    mass = 0.4 * RAKED.hull.volume * RAKED.water_density
    low, high = (stability(on_even_keel(RAKED, mass, KG), fixed_trim=True) for KG in (0.4, 0.9))
    lifted = with_KG(criteria_inputs_of(low, low.port), 0.9)
    there = criteria_inputs_of(high, high.port)
    assert lifted.gz_curve.arm(HEELS[12:]) == pytest.approx(
        there.gz_curve.arm(HEELS[12:]), abs=1e-5
    )
    assert lifted.gz_curve.area(0.0, 1.0) == pytest.approx(there.gz_curve.area(0.0, 1.0), abs=1e-6)
    assert lifted.GM == pytest.approx(there.GM, abs=1e-9)
    assert lifted.vanishing_angle == pytest.approx(there.vanishing_angle, abs=1e-4)


@pytest.mark.slow
@pytest.mark.parametrize("fixed_trim", [False, True])
def test_at_the_limit_it_passes_and_just_above_it_fails(fixed_trim: bool) -> None:
    case = replace(RAKED, codes=("is-code-2.2",))
    mass = 0.4 * case.hull.volume * case.water_density
    (limit,) = limiting_KG(case, [mass], fixed_trim)
    assert limit.KG and limit.GM == pytest.approx(limit.KM - limit.KG)
    fails = []
    for KG in (limit.KG - 1e-3, limit.KG + 1e-3):
        verdicts = assess(on_even_keel(case, mass, KG), fixed_trim=fixed_trim).failed
        fails.append([f"{each.code} {each.clause}: {each.what}" for each in verdicts])
    assert not fails[0] and set(limit.governing) <= set(fails[1])


def test_without_criteria_GM_must_be_positive() -> None:
    case = replace(CYLINDER, codes=())
    (limit,) = limiting_KG(case, [60e3])
    assert limit.KG == pytest.approx(limit.KM, abs=1e-4) and limit.governing == (POSITIVE_GM,)


def test_a_rule_that_no_KG_satisfies_has_no_limit() -> None:
    rule = CustomCriterion("stiff", "GM", least=10.0)
    (limit,) = limiting_KG(replace(CYLINDER, codes=(), custom_criteria=(rule,)), [60e3])
    assert limit.KG is None and limit.GM is None
    assert "stiff" in limit.governing[0]


@pytest.mark.slow
def test_an_own_rule_of_GM_sets_KG_to_KM_less_it() -> None:
    rule = CustomCriterion("stiff", "GM", least=0.5)
    (limit,) = limiting_KG(replace(CYLINDER, codes=(), custom_criteria=(rule,)), [60e3])
    assert limit.KG == pytest.approx(limit.KM - 0.5, abs=1e-4)


def test_criteria_do_not_lean_on_the_curve_alone() -> None:
    """The same codes on the same particulars give the same verdicts."""
    ship = assess(on_even_keel(CYLINDER, 60e3, 1.0))
    assert check_criteria(ship.inputs) == ship.verdicts


@pytest.mark.parametrize("mass", [0.0, -5.0, 1e9, float("nan")])
def test_a_displacement_that_it_cannot_have(mass: float) -> None:
    for compute in (
        lambda: cross_curves(CYLINDER, [mass], HEELS),
        lambda: limiting_KG(CYLINDER, [mass]),
    ):
        with refused("cylinder can have any above zero"):
            compute()


@pytest.mark.slow
def test_each_displacement_done_is_reported() -> None:
    heard: list[float] = []
    cross_curves(CYLINDER, [3e4, 6e4], HEELS[12:], on_progress=heard.append)
    limiting_KG(replace(CYLINDER, codes=()), [5e4], on_progress=heard.append)
    assert heard == [3e4, 6e4, 5e4]

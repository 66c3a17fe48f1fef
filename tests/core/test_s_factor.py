"""The s-factor at, below and above each of its limits."""

from __future__ import annotations

from math import radians

import pytest

from addon.core.damage.residual_gz import ResidualGZ
from addon.core.damage.s_factor import (
    heeling_moment,
    s_factor,
    s_final,
    s_intermediate,
    s_moment,
    sufficient_GZ,
)


@pytest.mark.parametrize(
    "kind, heel, share",
    [
        ("passenger", 7.0, 1.0),
        ("passenger", 11.0, 0.5**0.5),
        ("passenger", 15.0, 0.0),
        ("passenger", 20.0, 0.0),
        ("other", 11.0, 0.5**0.5),
        ("cargo", 25.0, 1.0),
        ("cargo", 27.5, 0.5**0.5),
        ("cargo", -27.5, 0.5**0.5),
        ("cargo", 30.0, 0.0),
    ],
)
def test_heel_of_the_final_stage(kind, heel, share) -> None:
    assert s_final(0.12, radians(16), radians(heel), kind) == pytest.approx(share, abs=1e-7)


@pytest.mark.parametrize(
    "arm, reach, s",
    [
        (0.12, 16.0, 1.0),
        (0.5, 40.0, 1.0),
        (0.06, 40.0, 0.5**0.25),
        (0.5, 8.0, 0.5**0.25),
        (0.06, 8.0, 0.25**0.25),
        (0.0, 16.0, 0.0),
        (-0.1, -1.0, 0.0),
    ],
)
def test_arms_of_the_final_stage(arm: float, reach: float, s: float) -> None:
    assert s_final(arm, radians(reach), 0.0, "cargo") == pytest.approx(s, rel=1e-12)


def test_targets_of_ro_ro_passenger_ships() -> None:
    target = 0.20, radians(20.0)
    s = s_final(0.10, radians(10), 0.0, "passenger", target)
    assert s == pytest.approx(0.25**0.25)


@pytest.mark.parametrize(
    "kind, heel, arm, reach, s",
    [
        ("passenger", 15.0, 0.05, 7.0, 1.0),
        ("passenger", 15.001, 0.05, 7.0, 0.0),
        ("cargo", 30.0, 0.05, 7.0, 1.0),
        ("cargo", 30.001, 0.05, 7.0, 0.0),
        ("cargo", 0.0, 0.025, 3.5, 0.25**0.25),
        ("cargo", 0.0, 0.025, 70.0, 0.5**0.25),
    ],
)
def test_intermediate_stages(kind, heel, arm, reach, s) -> None:
    found = s_intermediate(arm, radians(reach), radians(heel), kind)
    assert found == pytest.approx(s, rel=1e-12)


def test_moments() -> None:
    assert s_moment(0.10, 1e6, 0.0) == 1.0
    assert s_moment(0.10, 1e6, 120e3) == pytest.approx(0.5)
    assert s_moment(0.03, 1e6, 120e3) == 0.0
    assert s_moment(0.50, 1e6, 120e3) == 1.0
    assert heeling_moment(10, 8.0, 0.0, 0.0) == pytest.approx(75 * 10 * 3.6)
    assert heeling_moment(10, 8.0, 500.0, 4.0) == pytest.approx(120 * 500 * 4 / 9.806)
    assert sufficient_GZ(1e6, 0.0) == 0.12
    assert s_moment(sufficient_GZ(1e6, 2e5), 1e6, 2e5) == pytest.approx(1.0)


def test_the_least_of_all() -> None:
    last = ResidualGZ(1, radians(2), radians(20), 0.10, 0.02)
    final = s_final(0.10, radians(20), radians(2), "passenger")
    assert s_factor(last, "passenger", 1e6) == pytest.approx(final)
    assert s_factor(last, "passenger", 1e6, 120e3) == pytest.approx(0.5 * final)
    assert s_factor(last, "cargo", 1e6, 120e3) == pytest.approx(final)
    way = ResidualGZ(-1, radians(4), radians(7), 0.01, 0.001)
    found = s_factor(last, "passenger", 1e6, 0.0, [way])
    assert found == pytest.approx(0.2**0.25)
    better = ResidualGZ(-1, radians(4), radians(9), 0.07, 0.001)
    assert s_factor(last, "passenger", 1e6, 0.0, [better]) == pytest.approx(final)

"""Curves of arms drawn by hand, heeling levers in closed form, and roots."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.arrays import Floats
from addon.core.geometry.root_finding import find_root
from addon.core.stability.gz_curve import GZCurve
from addon.core.stability.heeling_levers import Lever


def curve(*points: tuple[float, float, float]) -> GZCurve:
    """A curve through heels, arms and slopes, the area from its start by the cubics' own."""
    heels, arms, slopes = np.array(points, dtype=np.float64).T
    step = np.diff(heels)
    parts = step * (arms[:-1] + arms[1:]) / 2 + step**2 * (slopes[:-1] - slopes[1:]) / 12
    return GZCurve(heels, arms, slopes, np.concatenate([[0.0], np.cumsum(parts)]))


def sine(size: float = 0.5, lean: float = 0.0, count: int = 73) -> GZCurve:
    """size sin(heel - lean) from -180 to 180 degrees, with its exact area from upright."""
    heels = np.linspace(-np.pi, np.pi, count)
    return GZCurve(
        heels,
        size * np.sin(heels - lean),
        size * np.cos(heels - lean),
        size * (np.cos(lean) - np.cos(heels - lean)),
    )


def lines(*points: tuple[float, float]) -> GZCurve:
    """Straight lines from point to point, a corner at each."""
    nodes: list[tuple[float, float, float]] = []
    for (a, p), (b, q) in zip(points, points[1:], strict=False):
        if b == a:
            continue
        slope = (q - p) / (b - a)
        nodes += [(a, p, slope), (b, q, slope)]
    return curve(*nodes)


# Between the points.


@given(size=st.floats(0.01, 5.0), lean=st.floats(-0.5, 0.5), heel=st.floats(-3.14, 3.14))
@settings(max_examples=60, deadline=None)
def test_sine(size: float, lean: float, heel: float) -> None:
    """Cubics over steps of 5 degrees are off by step^4 / 384 of the fourth derivative at most."""
    arms = sine(size, lean)
    within = size * np.radians(5) ** 4 / 384 * 1.01
    assert float(arms.arm(heel)) == pytest.approx(size * np.sin(heel - lean), abs=within)
    assert float(arms.slope(heel)) == pytest.approx(size * np.cos(heel - lean), abs=40 * within)
    area = size * (np.cos(lean) - np.cos(heel - lean))
    assert arms.area(0.0, heel) == pytest.approx(area, abs=within)
    assert arms.area(heel, 0.0) == pytest.approx(-area, abs=within)


def test_nothing_outside() -> None:
    arms = curve((0.0, 0.0, 1.0), (1.0, 1.0, 1.0))
    heels = np.array([[-1e-9, 0.0], [1.0, 1.0 + 1e-9]])
    for found in (arms.arm(heels), arms.slope(heels)):
        assert np.isnan(found).tolist() == [[True, False], [False, True]]
    assert np.isnan(arms.arm(np.nan))
    assert np.isnan(arms.area(-0.1, 0.5)) and np.isnan(arms.area(0.5, 1.1))
    assert np.isnan(arms.maximum(1.1, 2.0)).all() and np.isnan(arms.maximum(-2.0, -0.1)).all()
    assert np.isnan(arms.maximum(0.8, 0.2)).all()
    assert arms.maximum(-1.0, 2.0) == pytest.approx((1.0, 1.0))
    assert np.isfinite(arms.arm([0.0, 1.0])).all()


def test_area_is_that_of_the_points_whatever_the_cubics_hold() -> None:
    """Areas are exact at the points; what a cubic misses is spread evenly over its step."""
    arms = GZCurve(np.array([0.0, 1.0, 2.0]), np.zeros(3), np.zeros(3), np.array([0.0, 0.3, 0.7]))
    assert [arms.area(0.0, heel) for heel in (0.5, 1.0, 1.25, 2.0)] == pytest.approx(
        [0.15, 0.3, 0.4, 0.7]
    )


# Where it is zero.


def zeros(arms: GZCurve) -> list[tuple[float, bool]]:
    return [(round(each.heel, 9), each.rising) for each in arms.crossings]


@pytest.mark.parametrize("lean", [-0.4, 0.0, 0.03, 0.4])
def test_zeros_of_a_sine(lean: float) -> None:
    """Upright in the middle, bottom up on the one end that lies within the curve."""
    found = sine(0.5, lean).crossings
    bottom_up = [] if lean == 0 else [lean - np.copysign(np.pi, lean)]
    expected = sorted([(lean, True), *((heel, False) for heel in bottom_up)])
    assert [each.heel for each in found] == pytest.approx([heel for heel, _ in expected], abs=2e-7)
    assert [each.rising for each in found] == [rising for _, rising in expected]


@pytest.mark.parametrize(
    "points, expected",
    [
        ([(0, -1), (1, 1), (2, -1)], [(0.5, True), (1.5, False)]),
        ([(0, -1), (1, 0), (2, 1)], [(1, True)]),
        ([(0, 1), (1, 0), (2, 1)], []),
        ([(0, -1), (1, 0), (2, -1), (3, 1)], [(2.5, True)]),
        ([(0, -1), (1, 0), (2, 0), (3, 1)], [(2, True)]),
        ([(0, 1), (1, 0), (1.5, 0), (2, 0), (3, -1)], [(1, False)]),
        ([(0, 1), (1, 0), (2, 0), (3, 1)], []),
        ([(0, 0), (1, 1)], []),
        ([(0, 1), (1, 0)], []),
        ([(0, 0), (1, 0)], []),
        ([(0, 0), (1, 0), (2, -1), (3, 1)], [(2.5, True)]),
        ([(0, 1), (1, 1), (1, -1), (2, -1)], [(1, False)]),
        ([(0, 1), (1, 0), (1, -1), (2, -1)], [(1, False)]),
        ([(0, -1), (1, -1), (1, 1), (2, 1)], [(1, True)]),
    ],
)
def test_zeros_of_lines(
    points: list[tuple[float, float]], expected: list[tuple[float, bool]]
) -> None:
    assert zeros(lines(*points)) == expected
    other = [(-heel, -arm) for heel, arm in points[::-1]]
    mirrored = sorted((-heel, rising) for heel, rising in expected)
    assert zeros(lines(*points).mirrored()) == zeros(lines(*other))
    if sum(arm == 0 for _, arm in points) < 2:
        assert zeros(lines(*other)) == mirrored


def test_two_zeros_between_two_points() -> None:
    """Both within one step, where the arms at its ends have the same sign."""
    arms = curve((0.0, 1.0, -6.0), (1.0, 1.0, 6.0))
    low = (1 - np.sqrt(1 / 3)) / 2
    assert zeros(arms) == [(round(low, 9), False), (round(1 - low, 9), True)]
    assert zeros(curve((0.0, 1.5, -6.0), (1.0, 1.5, 6.0))) == []


@given(
    arms=st.lists(st.floats(-1, 1), min_size=2, max_size=8),
    slopes=st.lists(st.floats(-9, 9), min_size=8, max_size=8),
)
@settings(max_examples=100, deadline=None)
def test_sides_of_every_zero(arms: list[float], slopes: list[float]) -> None:
    """Crossings alternate, the arm has one sign between them, and is next to nothing there."""
    drawn = curve(
        *((i, arm, slope) for i, (arm, slope) in enumerate(zip(arms, slopes, strict=False)))
    )
    found = drawn.crossings
    rising = [each.rising for each in found]
    assert all(a != b for a, b in zip(rising, rising[1:], strict=False))
    ends = [0.0, *(each.heel for each in found), len(arms) - 1.0]
    signs = [not rising[0], *rising] if rising else []
    for (low, high), positive in zip(zip(ends, ends[1:], strict=False), signs, strict=False):
        inside = drawn.arm(np.linspace(low, high, 41))
        assert ((inside if positive else -inside) > -1e-9).all()
    for each in found:
        assert abs(float(drawn.arm(each.heel))) < 1e-9


# The greatest.


def test_greatest_of_a_sine() -> None:
    arms = sine(0.5)
    assert arms.maximum(0.0, np.pi) == pytest.approx((np.pi / 2, 0.5), abs=1e-6)
    assert arms.maximum(0.2, 0.7) == pytest.approx((0.7, 0.5 * np.sin(0.7)), abs=1e-6)
    assert arms.maximum(2.0, 3.0) == pytest.approx((2.0, 0.5 * np.sin(2.0)), abs=1e-6)
    assert arms.maximum(0.7, 0.7) == pytest.approx((0.7, 0.5 * np.sin(0.7)), abs=1e-6)


@given(
    arms=st.lists(st.floats(-1, 1), min_size=2, max_size=6),
    slopes=st.lists(st.floats(-9, 9), min_size=6, max_size=6),
    ends=st.tuples(st.floats(0, 1), st.floats(0, 1)),
)
@settings(max_examples=100, deadline=None)
def test_nothing_is_greater(
    arms: list[float], slopes: list[float], ends: tuple[float, ...]
) -> None:
    drawn = curve(
        *((i, arm, slope) for i, (arm, slope) in enumerate(zip(arms, slopes, strict=False)))
    )
    low, high = np.sort(ends) * (len(arms) - 1)
    heel, size = drawn.maximum(low, high)
    assert low <= heel <= high
    assert float(drawn.arm(heel)) == pytest.approx(size, abs=1e-12)
    assert size >= np.max(drawn.arm(np.linspace(low, high, 301))) - 1e-9


def test_greatest_at_a_jump() -> None:
    arms = lines((0, 0), (1, 1), (1, 2), (2, 0))
    assert arms.maximum(0, 2) == (1.0, 2.0)
    assert arms.maximum(0, 1) == (1.0, 1.0)
    assert arms.maximum(1, 2) == (1.0, 2.0)
    assert float(arms.arm(1.0)) == 2.0 and float(arms.arm(1 - 1e-9)) == pytest.approx(1.0)


# The other side, and a part.


@given(start=st.floats(-3.0, 1.0), width=st.floats(0.01, 2.0), share=st.floats(0, 1))
@settings(max_examples=50, deadline=None)
def test_a_part_is_as_the_whole(start: float, width: float, share: float) -> None:
    whole = sine(0.5, 0.1).minus(Lever("wind", 0.1, 1))
    part = whole.clipped(start, start + width)
    heel = start + share * width
    assert float(part.arm(heel)) == pytest.approx(float(whole.arm(heel)), abs=1e-9)
    assert part.area(start, heel) == pytest.approx(whole.area(start, heel), abs=1e-9)
    assert part.heels[0] == start and part.heels[-1] == start + width
    inside = [each for each in whole.crossings if start < each.heel < start + width]
    assert [each.heel for each in part.crossings] == pytest.approx(
        [each.heel for each in inside], abs=1e-9
    )


def test_a_part_to_and_from_a_jump() -> None:
    arms = lines((0, 1), (1, 1), (1, -1), (2, -1))
    before, after = arms.clipped(0, 1), arms.clipped(1, 2)
    assert before.crossings == after.crossings == ()
    assert before.area(0, 1) == pytest.approx(1.0) and after.area(1, 2) == pytest.approx(-1.0)
    assert before.arm([0.0, 0.5, 1.0]).tolist() == [1.0, 1.0, 1.0]
    assert after.arm([1.0, 1.5, 2.0]).tolist() == [-1.0, -1.0, -1.0]


def test_mirrored() -> None:
    arms = sine(0.5, 0.1)
    heels = np.linspace(-3.1, 3.1, 41)
    other = arms.mirrored()
    assert other.arm(heels) == pytest.approx(-arms.arm(-heels), abs=1e-12)
    assert other.slope(heels) == pytest.approx(arms.slope(-heels), abs=1e-12)
    assert other.area(0.2, 0.9) == pytest.approx(arms.area(-0.2, -0.9), abs=1e-12)
    again = other.mirrored()
    assert all(
        (a == b).all()
        for a, b in zip(
            vars(again).values(), (arms.heels, arms.gz, arms.slopes, arms.areas), strict=False
        )
    )


# Levers.


CLOSED: dict[int, tuple[Callable[[Floats], Floats], Callable[[float], float]]] = {
    0: (np.ones_like, lambda heel: heel),
    1: (np.cos, lambda heel: float(np.sin(heel))),
    2: (lambda heel: np.cos(heel) ** 2, lambda heel: heel / 2 + float(np.sin(2 * heel)) / 4),
}


@pytest.mark.parametrize("power", [0, 1, 2])
@pytest.mark.parametrize("upright", [0.12, -0.3])
def test_less_a_lever(power: int, upright: float) -> None:
    share, integral = CLOSED[power]
    lever = Lever("push", upright, power)
    left = sine(0.5).minus(lever)
    heels = np.linspace(-np.pi / 2, np.pi / 2, 91)
    assert lever.arm(heels) == pytest.approx(upright * share(heels), abs=1e-15)
    assert left.arm(heels) == pytest.approx(0.5 * np.sin(heels) - upright * share(heels), abs=1e-6)
    for start, end in ((0.0, 0.7), (-1.1, 0.4), (-1.5, 1.5)):
        area = 0.5 * (np.cos(start) - np.cos(end)) - upright * (integral(end) - integral(start))
        assert left.area(start, end) == pytest.approx(area, abs=1e-6)
    step = 1e-6
    difference = (lever.arm(heels[1:-1] + step) - lever.arm(heels[1:-1] - step)) / (2 * step)
    assert lever.slope(heels[1:-1]) == pytest.approx(difference, abs=1e-9)
    held = [each.heel for each in left.crossings if abs(each.heel) < 1.5 and each.rising]
    steady = {
        0: np.arcsin(2 * upright),
        1: np.arctan(2 * upright),
        2: np.arcsin((np.sqrt(1 + 16 * upright**2) - 1) / (4 * upright)),
    }[power]
    assert held == pytest.approx([steady], abs=2e-6)


@pytest.mark.parametrize("power", [1, 2])
def test_no_lever_beyond_a_right_angle(power: int) -> None:
    lever = Lever("wind", 0.2, power)
    heels = np.radians([91.0, 120.0, 180.0, -95.0, -180.0])
    assert (lever.arm(heels) == 0).all() and (lever.slope(heels) == 0).all()
    whole = float(lever.area(np.pi / 2))
    assert lever.area(heels) == pytest.approx(np.sign(heels) * whole)
    left = sine(0.5).minus(lever)
    beyond = np.radians([96.0, 120.0, 179.0])
    assert left.arm(beyond) == pytest.approx(0.5 * np.sin(beyond), abs=1e-6)
    assert left.area(0.0, np.pi) == pytest.approx(1.0 - whole, abs=1e-9)


# Roots.


SHAPES: dict[str, Callable[[float], float]] = {
    "line": lambda x: x,
    "cube": lambda x: x**3,
    "flat": lambda x: x**9,
    "steep": lambda x: float(np.cbrt(x)),
    "step": lambda x: 1.0 if x > 0 else -1.0,
    "corner": lambda x: x if x > 0 else 1e-6 * x,
    "decay": lambda x: float(np.expm1(30 * x)),
    "tiny": lambda x: 1e-200 * x,
}


@given(
    shape=st.sampled_from(sorted(SHAPES)),
    at=st.floats(-1, 1),
    below=st.floats(1e-6, 1),
    above=st.floats(1e-6, 1),
    falling=st.booleans(),
    turned=st.booleans(),
    digits=st.integers(3, 12),
)
@settings(max_examples=300, deadline=None)
def test_root_is_within_tolerance(
    shape: str, at: float, below: float, above: float, falling: bool, turned: bool, digits: int
) -> None:
    sign = -1.0 if falling else 1.0
    calls: list[float] = []

    def function(x: float) -> float:
        calls.append(x)
        return sign * SHAPES[shape](x - at)

    ends = (at - below, at + above)
    low, high = ends[::-1] if turned else ends
    tolerance = 10.0**-digits
    root = find_root(function, low, high, function(low), function(high), tolerance)
    assert abs(root - at) <= tolerance
    assert all(ends[0] <= x <= ends[1] for x in calls)
    assert len(calls) < 12 + 4 * max(0.0, np.log2((below + above) / tolerance))


def test_root_at_an_end() -> None:
    def function(x: float) -> float:
        return x - 1.0

    assert find_root(function, 1.0, 2.0, 0.0, 1.0, 1e-9) == 1.0
    assert find_root(function, 0.0, 1.0, -1.0, 0.0, 1e-9) == 1.0


def test_root_of_a_smooth_function_takes_few_steps() -> None:
    calls: list[float] = []

    def function(x: float) -> float:
        calls.append(x)
        return float(np.sin(x) - 0.5)

    root = find_root(function, 0.0, 1.5, function(0.0), function(1.5), 1e-9)
    assert root == pytest.approx(np.pi / 6, abs=1e-9) and len(calls) < 14

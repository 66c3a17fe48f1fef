"""How many digits of a figure are shown."""

from __future__ import annotations

import pytest

from addon.units.angles import angle
from addon.units.digits import column, report_places, significant, trimmed
from addon.units.durations import clock, duration


@pytest.mark.parametrize(
    ("value", "digits", "shown"),
    [
        (0.0, 3, "0"),
        (999.4, 3, "999"),
        (12345.6, 3, "12346"),
        (1.2345, 3, "1.23"),
        (0.0012345, 4, "0.001234"),
        (-1.5, 4, "-1.500"),
        (1000.0, 4, "1000"),
    ],
)
def test_figures_before_the_point_are_all_kept(value: float, digits: int, shown: str) -> None:
    assert significant(value, digits) == shown


def test_places_after_the_point_are_limited_and_zeros_dropped() -> None:
    assert significant(0.012345, 3, places=3) == "0.012"
    assert [trimmed(figure) for figure in ("1.500", "10", "100.0", "0.0")] == [
        "1.5",
        "10",
        "100",
        "0",
    ]


def test_a_column_has_one_number_of_places() -> None:
    assert column([1.0, None, -0.00001], "m", 3) == ["1.000", "-", "0.000"]
    assert column([1234.0, 5.0], "kg", 3) == ["1234.0", "5.0"]
    assert column([1234.0, 500.0], "t", 3) == ["1.2340", "0.5000"]
    assert column([12.3], "deg", 3) == ["12.30"]
    assert column([], "m", 3) == [] and column([None], "kg", 3) == ["-"]
    assert column([1e-7], "kg", 3) == ["1.0000e-07"]


def test_lengths_of_small_vessels_have_more_places() -> None:
    assert [report_places(length) for length in (None, 120.0, 8.0, 1.0, 0.5, 0.05)] == [
        *(3, 3, 3, 3),
        *(4, 5),
    ]


def test_angles_and_times() -> None:
    assert [angle(value) for value in (0.0, -0.5, 1.0)] == ["0.0°", "28.6°", "57.3°"]
    assert [clock(value) for value in (59.6, 3600.0)] == ["1:00", "1:00:00"]
    assert [duration(value) for value in (42.0, 725.0, 7380.0)] == [
        "42.0 s",
        "12 min 05 s",
        "2 h 03 min",
    ]

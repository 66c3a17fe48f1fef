"""Capacity tables of tanks, upright and heeled, and what free surfaces do at a heel."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from addon.core.buoyancy.attitude import up_from_angles
from addon.core.hydrostatics.tank_soundings import heeling_moments, sounding_table
from addon.core.messages.subjects import Subject
from addon.core.model.tanks import Tank, free_surface_moment
from tests import bodies
from tests.language import refused

RHO = 850.0


def tank(body: bodies.Body, fill: float = 0.5, permeability: float = 1.0) -> Tank:
    return Tank("tank", bodies.tree(body), RHO, fill, permeability)


def test_box_upright():
    """Volume and moment in proportion, the center half way up to the level."""
    held = tank(bodies.moved(bodies.box(4.0, 2.0, 1.5), (3.0, 0.5, 0.25)), permeability=0.98)
    table = sounding_table(held, 6)
    assert table.levels == pytest.approx(np.linspace(0, 1.5, 7), abs=1e-15)
    assert table.fills == pytest.approx(np.linspace(0, 1, 7), abs=1e-14)
    assert table.volumes == pytest.approx(0.98 * 8 * table.levels, abs=1e-13)
    assert table.masses == pytest.approx(RHO * table.volumes)
    assert np.isnan(table.centers[0]).all()
    middles = np.column_stack([np.full(6, 5.0), np.full(6, 0.5), 0.25 + table.levels[1:] / 2])
    assert table.centers[1:] == pytest.approx(middles, abs=1e-12)
    assert table.moments[0] == 0
    assert table.moments[1:-1] == pytest.approx(np.full(5, 0.98 * RHO * 4 * 2**3 / 12))
    assert table.fills[-1] == 1.0 and table.volumes[-1] == held.capacity


@pytest.mark.parametrize("heel", [-0.3, 0.25, 0.5])
def test_box_at_a_heel(heel):
    """Sections are triangles, then parallelograms as the surface reaches from side to side."""
    length, breadth, depth = 4.0, 2.0, 1.5
    low = breadth * np.sin(abs(heel))
    levels = np.array([0.2, 0.7, 1.0]) * low
    side = np.sign(heel)
    corner = -side * breadth / 2
    for level, table in (
        (level, sounding_table(tank(bodies.box(length, breadth, depth)), [level], heel))
        for level in levels
    ):
        across, up = level / np.sin(abs(heel)), level / np.cos(heel)
        assert table.volumes == pytest.approx([length * across * up / 2], rel=1e-9)
        assert table.centers[0] == pytest.approx(
            [length / 2, corner + side * across / 3, up / 3], abs=1e-9
        )
        if level < low:
            surface = np.hypot(across, up)
            assert table.moments == pytest.approx([RHO * length * surface**3 / 12], rel=1e-9)
    above = sounding_table(tank(bodies.box(length, breadth, depth)), [low + 0.1], heel)
    mean = breadth / 2 * np.tan(abs(heel)) + 0.1 / np.cos(heel)
    assert above.volumes == pytest.approx([length * breadth * mean], rel=1e-9)
    wide = breadth / np.cos(heel)
    assert above.moments == pytest.approx([RHO * length * wide**3 / 12], rel=1e-9)


@pytest.mark.slow
@pytest.mark.parametrize("heel", [0.0, 0.6, -2.0])
def test_round_tank(heel):
    """A segment of a circle whatever the heel: area, center below the axis, chord."""
    radius, length = 0.8, 3.0
    held = tank(bodies.horizontal_cylinder(radius, length, 1440))
    shares = np.array([0.1, 0.37, 0.5, 0.83, 0.97])
    table = sounding_table(held, 2 * radius * shares * np.cos(np.pi / 1440), heel)
    half = np.arccos(1 - 2 * shares)
    areas = radius**2 * (half - np.sin(half) * np.cos(half))
    below = 2 * radius * np.sin(half) ** 3 / (3 * (half - np.sin(half) * np.cos(half)))
    assert table.volumes == pytest.approx(length * areas, rel=1e-4)
    axis = np.array([length / 2, 0.0, radius])
    up = up_from_angles(heel, 0.0)
    assert table.centers == pytest.approx(axis - below[:, None] * up, abs=1e-4)
    chord = 2 * radius * np.sin(half)
    assert table.moments == pytest.approx(RHO * length * chord**3 / 12, rel=1e-4)


def test_wedge():
    """A vee: volume by the square of the level, the center two thirds up, moment by its cube."""
    table = sounding_table(tank(bodies.wedge(6.0, 3.0, 2.0)), 8)
    shares = table.levels / 2.0
    assert table.fills == pytest.approx(shares**2, abs=1e-12)
    assert table.centers[1:, 2] == pytest.approx(2 / 3 * table.levels[1:], abs=1e-12)
    assert table.moments[:-1] == pytest.approx(RHO * 6 * (3 * shares[:-1]) ** 3 / 12, abs=1e-9)


def test_trimmed_box():
    """By the stern at 0.1: a triangle at the after end, until its surface has come forward."""
    slope = np.tan(0.1)
    table = sounding_table(tank(bodies.box(4.0, 2.0, 1.5)), [0.2], trim=0.1)
    deep = 0.2 / np.cos(0.1)
    assert table.volumes == pytest.approx([2.0 * deep * deep / slope / 2], rel=1e-9)
    assert table.centers[0] == pytest.approx([deep / slope / 3, 0.0, deep / 3], abs=1e-9)


@given(seed=st.integers(0, 10**6), heel=st.floats(-3.1, 3.1), trim=st.floats(-1.5, 1.5))
@settings(max_examples=30, deadline=None)
def test_tables_are_monotone_and_agree_with_the_liquid(seed, heel, trim):
    """Any body, any attitude: more volume at each level, and the same liquid by its fill."""
    held = tank(bodies.moved(bodies.star(seed, 2), (30.0, -4.0, 2.0)), permeability=0.9)
    table = sounding_table(held, 24, heel, trim)
    assert (np.diff(table.fills) > 0).all()
    assert table.fills[0] == 0 and table.fills[-1] == pytest.approx(1, abs=1e-12)
    low, _ = held.body.span(table.up)
    for place in (5, 12, 20):
        liquid = held.filled(float(table.fills[place])).liquid(table.up)
        assert liquid.level - low == pytest.approx(table.levels[place], abs=1e-8)
        assert liquid.mass == pytest.approx(table.masses[place])
        assert liquid.center == pytest.approx(table.centers[place], abs=1e-8)
        assert RHO * liquid.surface[1, 1] == pytest.approx(table.moments[place], rel=1e-6)


def test_small_heels_have_the_classical_moment():
    held = tank(bodies.moved(bodies.star(3, 2), (5.0, 1.0, 2.0)))
    classical, exact = heeling_moments(held, [-1e-5, 1e-5])
    assert classical == pytest.approx(free_surface_moment(held) * np.sin([-1e-5, 1e-5]))
    assert exact == pytest.approx(classical, rel=1e-3)


def test_exact_moments_fall_behind_as_the_floor_dries():
    """Wall-sided at 20 degrees, (1 + tan^2/2) times the classical one; far less beyond."""
    held = tank(bodies.box(10.0, 4.0, 4.0))
    heels = np.radians([20.0, 60.0, 85.0])
    classical, exact = heeling_moments(held, heels)
    assert classical == pytest.approx(free_surface_moment(held) * np.sin(heels))
    assert exact[0] == pytest.approx(classical[0] * (1 + np.tan(heels[0]) ** 2 / 2), rel=1e-9)
    shallow = tank(bodies.box(10.0, 4.0, 0.2))
    classical, exact = heeling_moments(shallow, heels)
    assert (exact < 0.25 * classical).all()
    empty, none = heeling_moments(held.filled(0.0), heels)
    assert (empty == 0).all() and (none == 0).all()


@pytest.mark.parametrize(
    "steps, words",
    [
        (0, "0 steps"),
        (10**6, "1000000 steps"),
        ([0.5, 1.6], "no level of 1.6 m; it is 1.5 m"),
        ([-0.1], "no level of -0.1 m"),
        ([float("nan")], "no level of nan"),
    ],
)
def test_levels_that_are_not_there(steps, words):
    with refused(words, Subject("tank", "tank")):
        sounding_table(tank(bodies.box(4.0, 2.0, 1.5)), steps)

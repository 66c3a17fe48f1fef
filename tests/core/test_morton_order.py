"""The order along the Morton curve."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from addon.core.arrays import Floats
from addon.core.geometry.morton_order import morton_order


def on_a_hull(count: int) -> Floats:
    points = np.random.default_rng(7).normal(size=(count, 3))
    return points / np.linalg.norm(points, axis=1)[:, None] * (50.0, 8.0, 5.0)


def walk(points: Floats) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def key(cells: list[int]) -> int:
    digits = zip(*(format(cell, "010b") for cell in reversed(cells)), strict=True)
    return int("".join(map("".join, digits)), 2)


@given(arrays(float, st.tuples(st.integers(0, 40), st.just(3)), elements=st.floats(-1e9, 1e9)))
def test_is_a_permutation(points: Floats) -> None:
    assert sorted(morton_order(points)) == list(range(len(points)))


def test_follows_the_keys_and_keeps_ties_in_order() -> None:
    points = np.repeat(on_a_hull(500), 2, axis=0)
    low, high = points.min(axis=0), points.max(axis=0)
    cells = np.minimum((points - low) / ((high - low).max() / 1024), 1023).astype(int).tolist()
    assert morton_order(points).tolist() == sorted(range(1000), key=lambda i: key(cells[i]))


@pytest.mark.parametrize("size, shift", [(1.0, 0.0), (1.0, 1e4), (1e-3, 1e4), (1e4, 0.0)])
def test_neighbors_in_space_become_neighbors_in_order(size: float, shift: float) -> None:
    points = on_a_hull(20_000) * size + shift
    assert walk(points[morton_order(points)]) < 0.02 * walk(points)


@pytest.mark.parametrize("count", [0, 1, 2, 1000])
def test_one_point_many_times_keeps_its_order(count: int) -> None:
    assert morton_order(np.full((count, 3), 3.7)).tolist() == list(range(count))


@pytest.mark.parametrize("axis", range(3))
def test_a_line_is_followed_from_end_to_end(axis: int) -> None:
    points = np.zeros((1000, 3))
    points[:, axis] = np.random.default_rng(3).permutation(1000) - 400.0
    assert np.all(np.diff(points[morton_order(points), axis]) > 0)


def test_reads_a_view_and_leaves_it_alone() -> None:
    points = on_a_hull(1000)
    view = np.ascontiguousarray(points.T).T
    assert np.array_equal(morton_order(view), morton_order(points))
    assert np.array_equal(view, points)

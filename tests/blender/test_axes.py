"""Which way a hull points: the guess, and what it is guessed from."""

from __future__ import annotations

import numpy as np
import pytest
import scene_ships as ships

from addon.blender.properties.names import AUTO
from addon.blender.readers.axes import Frame, ObjectAxes, choose_axes, ship_turn
from addon.core.model.axes import AXES
from addon.examples.loader import EXAMPLES, load_example
from tests.language import refused

WEDGE = np.array([[x, y, z] for x, b in ((0, 2), (3, 2), (10, 0)) for y in (-b, b) for z in (0, 1)])
"""Ten meters long, four across aft, pointed at x = 10."""


def turned(to: str, up: str) -> np.ndarray:
    """Rows of the axes of a mesh whose bow points along `to` and deck along `up`."""
    return ship_turn(ObjectAxes(to, up), np.eye(3))


@pytest.mark.parametrize("up", AXES)
@pytest.mark.parametrize("forward", AXES)
def test_bow_and_deck_are_found(forward: str, up: str) -> None:
    if forward[1] == up[1]:
        with refused("lie along one axis"):
            choose_axes(WEDGE, np.eye(3), forward, up)
        return
    turn = turned(forward, up)
    points = WEDGE @ turn
    stood_up = np.array([[1.0, 0, 0], [0, 1, 0], [0, 0, 1]]) @ turn
    assert choose_axes(points, stood_up, AUTO, AUTO) == ObjectAxes(forward, up, True, True)
    assert choose_axes(points, np.eye(3), AUTO, up) == ObjectAxes(forward, up, True, False)
    assert choose_axes(points, stood_up, forward, AUTO) == ObjectAxes(forward, up, False, True)


def test_two_like_ends_point_ahead() -> None:
    assert choose_axes(np.array(ships.BOX, float), np.eye(3), AUTO, AUTO).forward == "+X"


def test_length_is_judged_as_scaled() -> None:
    axes = choose_axes(np.array(ships.BOX, float), np.diag([0.1, 1, 1]), AUTO, AUTO)
    assert axes.forward == "+Y"


@pytest.mark.parametrize("key", EXAMPLES)
def test_example_ships_point_forward(key: str) -> None:
    ship = load_example(key)
    axes = choose_axes(ship.hull.vertices, np.eye(3), AUTO, AUTO)
    assert (axes.forward, axes.up) == ("+X", "+Z")


def test_frame_goes_there_and_back() -> None:
    turn = ship_turn(ObjectAxes("-Y", "+X"), np.array([[1, 0.3, 0], [0, 2, 0.1], [0.2, 0, 3]]))
    assert turn @ turn.T == pytest.approx(np.eye(3))
    assert np.linalg.det(turn) == pytest.approx(1)
    frame = Frame(turn, np.array([5.0, 6.0, 7.0]), 0.001).moved(np.array([1.0, 2.0, 3.0]))
    points = np.arange(12.0).reshape(4, 3)
    world = points @ frame.to_world[:3, :3].T + frame.to_world[:3, 3]
    assert frame.ship(world) == pytest.approx(points)
    assert frame.ship(np.array([5.0, 6.0, 7.0])) == pytest.approx([-1, -2, -3])


def test_an_empty_mesh_points_ahead() -> None:
    assert choose_axes(np.zeros((0, 3)), np.eye(3), AUTO, AUTO).forward == "+X"

"""Divisions made by hand for the tests: compartments of given bodies, without finding them."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from addon.core.model.compartment import Compartment, CompartmentPlan, Gap
from tests import bodies


def compartment(name: str, body: bodies.Body, permeability: float = 1.0) -> Compartment:
    """A compartment that fills a body."""
    mesh = bodies.mesh(body)
    return Compartment(
        name, bodies.tree(body), mesh.vertices, mesh.triangles, permeability=permeability
    )


def block(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> bodies.Body:
    """The box between two x, two y and two z."""
    size = x[1] - x[0], y[1] - y[0], z[1] - z[0]
    return bodies.moved(bodies.box(*size), (x[0], (y[0] + y[1]) / 2, z[0]))


def divided(
    *compartments: Compartment,
    neighbors: Iterable[tuple[str, str]] = (),
    gaps: Iterable[Gap] = (),
) -> CompartmentPlan:
    """A ship of these compartments."""
    return CompartmentPlan(compartments, tuple(neighbors), tuple(gaps))


def gap(first: str, second: str, boundary: str, *points: tuple[float, float, float]) -> Gap:
    """A gap in a boundary between two spaces, round these corners."""
    corners = np.array(points)
    edges = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    return Gap((first, second), boundary, edges, 1.0, corners[corners[:, 2].argmin()])

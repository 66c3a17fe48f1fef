"""Weights: point masses, and the masses of surfaces and solids as modeled."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from ..arrays import Floats, Ints
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, kilograms
from ..messages.subjects import Subject


@dataclass(frozen=True)
class Weight:
    """A mass (kg) at a center (3,) in ship axes (m).

    `inertia` (3, 3) is the integral of x x^T dm about the mass's own center in kg m2; zero
    for a point. `group` is the user's own word for what it belongs to, `pair` the name
    that it shares with its mirror image on the other side, which moves with it. One that is
    `fixed`, as the hull's own mass, is never advised to be moved; a `margin` stands for what is not
    known yet and follows the others.
    """

    name: str
    mass: float
    center: Floats
    group: str = ""
    inertia: Floats = field(default_factory=lambda: np.zeros((3, 3)))
    pair: str = ""
    fixed: bool = False
    margin: bool = False

    def __post_init__(self) -> None:
        if not (np.isfinite(self.mass) and self.mass > 0):
            raise BadInputError(
                Sentence(
                    "weight '{weight}': the mass is {mass}; give a mass above zero",
                    weight=Subject("weight", self.name),
                    mass=kilograms(self.mass, "g"),
                )
            )
        if not np.isfinite(self.center).all():
            raise BadInputError(
                Sentence(
                    "weight '{weight}': its position is not a number; give x, y, z in meters",
                    weight=Subject("weight", self.name),
                )
            )


def combined(weights: tuple[Weight, ...], name: str = "total") -> Weight:
    """One weight with the mass, the center and the inertia of all (parallel axes)."""
    if not weights:
        words = "there are no weights; add at least one, such as the hull's own"
        raise BadInputError(Sentence(words))
    masses = np.array([weight.mass for weight in weights])
    centers = np.array([weight.center for weight in weights])
    mass = float(masses.sum())
    center = masses @ centers / mass
    arms = centers - center
    inertia = sum(weight.inertia for weight in weights) + (arms.T * masses) @ arms
    return Weight(name, mass, center, inertia=inertia)


def surface_weight(
    name: str, vertices: Floats, triangles: Ints, areal_density: float, group: str = ""
) -> Weight:
    """Weight of a surface (n, 3), (m, 3) with a mass per area in kg/m2."""
    corners, middle = _centered_corners(vertices, triangles)
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    masses = areal_density * np.linalg.norm(normals, axis=1) / 2
    _check_density(name, areal_density, "kg/m2", float(masses.sum()))
    return _weight_of_simplices(name, corners, masses, middle, group, points=3)


def solid_weight(
    name: str, vertices: Floats, triangles: Ints, density: float, group: str = ""
) -> Weight:
    """Weight of a closed outward surface filled with a density in kg/m3."""
    corners, middle = _centered_corners(vertices, triangles)
    volumes = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6
    masses = density * volumes
    _check_density(name, density, "kg/m3", float(masses.sum()))
    return _weight_of_simplices(name, corners, masses, middle, group, points=4)


def _centered_corners(vertices: Floats, triangles: Ints) -> tuple[Floats, Floats]:
    """Corners (m, 3, 3) measured from the mean of the vertices, and that mean (3,)."""
    middle = vertices.mean(axis=0)
    return vertices[triangles] - middle, middle


def _check_density(name: str, density: float, unit: str, mass: float) -> None:
    if not (np.isfinite(density) and density > 0):
        raise BadInputError(
            Sentence(
                "weight '{weight}': {density} {unit} is no density; give a value above zero",
                weight=Subject("weight", name),
                density=f"{density:g}",
                unit=unit,
            )
        )
    if not mass > 0:
        words = "weight '{weight}': its mesh has no extent; give it area or volume"
        raise BadInputError(Sentence(words, weight=Subject("weight", name)))


def _weight_of_simplices(
    name: str, corners: Floats, masses: Floats, middle: Floats, group: str, points: int
) -> Weight:
    """Weight of triangles (3 points), or of tetrahedra from `middle` to them (4), by mass.

    The mean of x x^T over a simplex with n corners is (sum v v^T + s s^T) / (n (n + 1)),
    s the sum of the corners.
    """
    total = corners.sum(axis=1)
    mass = float(masses.sum())
    center = masses @ total / (points * mass)
    second = np.einsum("t,tvi,tvj->ij", masses, corners, corners)
    second += np.einsum("t,ti,tj->ij", masses, total, total)
    second /= points * (points + 1)
    return Weight(name, mass, center + middle, group, second - mass * np.outer(center, center))

"""Wavefront OBJ: vertices and polygons, exact to the last bit."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from ..core.arrays import Floats
from ..core.messages.findings import BadInputError

Polygons = tuple[tuple[int, ...], ...]


@dataclass(frozen=True, eq=False)
class PolygonMesh:
    """Polygons over shared `vertices` (n, 3), meters; outward normals by the right-hand rule."""

    name: str
    vertices: Floats
    polygons: Polygons


def obj_text(mesh: PolygonMesh) -> str:
    """`mesh` as Wavefront OBJ: polygons kept whole, coordinates exact to the last bit."""
    lines = [f"o {mesh.name}"]
    lines += [f"v {x:.17g} {y:.17g} {z:.17g}" for x, y, z in mesh.vertices]
    lines += ["f " + " ".join(str(i + 1) for i in polygon) for polygon in mesh.polygons]
    return "\n".join(lines) + "\n"


def parse_obj(text: str) -> tuple[Floats, Polygons]:
    """Vertices (n, 3) and polygons of all the objects together; the rest is passed over."""
    vertices: list[tuple[float, ...]] = []
    polygons: list[tuple[int, ...]] = []
    for number, line in enumerate(re.sub(r"\\\r?\n", " ", text).splitlines(), 1):
        word, *cells = line.split() or [""]
        try:
            if word == "v":
                vertices.append(_three(cells))
            elif word == "f":
                polygons.append(_corners(cells, len(vertices)))
        except ValueError:
            wanted = "x y z" if word == "v" else "three vertex numbers or more"
            raise BadInputError(
                f"line {number} is '{line.strip()[:40]}'; '{word}' should be followed by {wanted}"
            ) from None
    return np.array(vertices, dtype=np.float64).reshape(-1, 3), tuple(polygons)


def _three(cells: list[str]) -> tuple[float, ...]:
    x, y, z = cells[:3]
    return float(x), float(y), float(z)


def _corners(cells: list[str], count: int) -> tuple[int, ...]:
    """Indices from 0 of corners such as '7', '7/1/3' or '-1', the last of `count` so far."""
    numbers = [int(cell.split("/", 1)[0]) for cell in cells]
    if len(numbers) < 3 or 0 in numbers:
        raise ValueError
    return tuple(number - 1 if number > 0 else count + number for number in numbers)

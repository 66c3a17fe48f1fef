"""Space that tanks have in common, beside exact intersections by manifold3d."""

from __future__ import annotations

import json
from pathlib import Path

import manifold3d
import numpy as np
import pytest

from addon.cli.main import main
from addon.core.arrays import Floats
from addon.core.geometry.shared_volume import shared_volumes
from tests import bodies
from tests.core.written_cases import written_case
from tests.language import NONSENSE, reads

TOUCH = 1e-6
BOX = (3.0, 2.0, 2.0)


def corners(body: bodies.Body) -> Floats:
    mesh = bodies.mesh(body)
    return mesh.vertices[mesh.triangles]


def solid(body: bodies.Body) -> manifold3d.Manifold:
    mesh = bodies.mesh(body)
    return manifold3d.Manifold(
        manifold3d.Mesh64(
            np.ascontiguousarray(mesh.vertices), np.ascontiguousarray(mesh.triangles, np.uint64)
        )
    )


def shared(one: bodies.Body, other: bodies.Body) -> float:
    found = list(shared_volumes([corners(one), corners(other)], TOUCH))
    return found[0][2] if found else 0.0


@pytest.mark.parametrize(
    ("size", "corner", "volume"),
    [
        (BOX, (1.0, 0.0, 0.0), 8.0),  # side by side but for two metres, faces on faces
        (BOX, (3.0, 0.0, 0.0), 0.0),  # wall to wall
        (BOX, (3.0, 2.0, 2.0), 0.0),  # corner to corner
        (BOX, (0.0, 0.0, 0.0), 12.0),  # the same twice
        ((1.0, 1.0, 1.0), (1.0, 0.0, 0.5), 1.0),  # one inside the other
        ((1.0, 4.0, 2.0), (1.0, 0.0, 0.0), 4.0),  # across each other
        (BOX, (2.9, 0.0, 0.0), 0.4),
    ],
)
def test_boxes(
    size: tuple[float, float, float], corner: tuple[float, float, float], volume: float
) -> None:
    other = bodies.moved(bodies.box(*size), corner)
    assert shared(bodies.box(*BOX), other) == pytest.approx(volume)
    assert shared(other, bodies.box(*BOX)) == pytest.approx(volume)


@pytest.mark.parametrize("seed", range(8))
def test_bodies_of_any_form(seed: int) -> None:
    one, other = bodies.star(seed, 2), bodies.moved(bodies.star(seed + 50, 2), (0.9, 0.3, 0.2))
    exact = (solid(one) ^ solid(other)).volume()
    assert shared(one, other) == pytest.approx(exact, rel=1e-4, abs=1e-6)


def test_wing_tanks_on_both_sides_of_a_slope() -> None:
    """Their boxes overlap; they meet in the slope and share nothing, unless one is moved."""
    lower = bodies.prism([(0.0, 0.0), (2.0, 0.0), (1.0, 2.0), (0.0, 2.0)])
    upper = bodies.prism([(2.0, 0.0), (4.0, 0.0), (4.0, 2.0), (1.0, 2.0)])
    assert shared(lower, upper) == 0.0
    assert shared(bodies.moved(lower, (0.0, 0.1, 0.0)), upper) > 0.0


CASE = """
[hull]
mesh = "hull.obj"

[[weight]]
mass_kg = 40000
position_m = [5, 0, 1]

[[tank]]
name = "fuel"
box_m = [[2, -1, 0.5], [5, 1, 2.5]]
density_kg_m3 = 850
fill = 0.5

[[tank]]
name = "water"
box_m = [[4.5, -1, 0.5], [7, 1, 2.5]]
density_kg_m3 = 1000
"""
MESSAGE = "tanks 'fuel' and 'water' share 2 m3"


@pytest.fixture
def case(tmp_path: Path) -> Path:
    return written_case(tmp_path, CASE, bodies.box(10.0, 4.0, 3.0))


@pytest.mark.parametrize("word", ["float", "hydrostatics", "stability", "tanks", "cross-curves"])
def test_every_word_says_so(word: str, case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main([word, str(case), "--json"])
    warnings = json.loads(capsys.readouterr().out)["warnings"]
    assert NONSENSE or [text for text in warnings if text.startswith(MESSAGE)] != []
    main([word, str(case)])
    assert reads(capsys.readouterr().out, f"! {MESSAGE}")


@pytest.mark.parametrize("words", [["compartments"], ["flood", "--each"]])
def test_compartments_refuse_them_in_the_same_words(
    words: list[str], case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([words[0], str(case), *words[1:]]) == 2
    assert reads(capsys.readouterr().err, MESSAGE)

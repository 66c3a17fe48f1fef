"""Weights that cannot be moved: in lists, in case files, and for the margin of a condition."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from addon.core.model.case import Case
from addon.core.model.hull import build_hull
from addon.core.model.loaded_case import Condition, in_condition
from addon.core.model.weights import Weight
from addon.files.obj import PolygonMesh, obj_text
from addon.parts.case_file import read_case
from addon.parts.weight_changes import Way, compare
from addon.parts.weight_list import parse_weight_list, weight_list_text
from tests.bodies import box, mesh
from tests.language import refused

HEADER = "name,mass_kg,x_m,y_m,z_m,group,fixed\n"
AREAL = "areal_density_kg_m2 = 80.0"


def test_a_list_says_what_is_fixed() -> None:
    rows = "hull,9,1,0,1,,true\ncrew,9,1,0,1,,\nwinch,9,1,0,1,,FALSE\n"
    listed = parse_weight_list(HEADER + rows)
    assert [each.fixed for each in listed] == [True, False, False]
    assert [each.fixed_given for each in listed] == [True, False, True]
    assert [each.weight.fixed for each in listed] == [True, False, False]
    again = weight_list_text(listed)
    assert again.startswith(HEADER)
    assert [each.fixed for each in parse_weight_list(again)] == [True, False, False]
    assert "fixed" not in weight_list_text(listed[1:])
    with refused("row 2: fixed is 'yes'; it should be true, false or empty"):
        parse_weight_list(HEADER + "hull,9,1,0,1,,yes\n")


@pytest.mark.parametrize(
    ("known", "reported", "changed"),
    [("true", "false", True), ("", "true", True), ("true", "", False), ("true", "true", False)],
)
def test_a_list_that_is_silent_leaves_it(known: str, reported: str, changed: bool) -> None:
    before, after = (parse_weight_list(f"{HEADER}hull,9,1,0,1,,{x}\n") for x in (known, reported))
    assert bool(compare(before, after, Way.UPDATE, 1e-6).changed) == changed


@pytest.mark.parametrize(
    ("reported", "fixed"),
    [
        (f'mesh = "hull.obj"\n{AREAL}', True),
        (f'mesh = "hull.obj"\n{AREAL}\nfixed = false', False),
        (f'mesh = "deck.obj"\n{AREAL}', False),
        (f'mesh = "deck.obj"\n{AREAL}\nfixed = true', True),
        ("mass_kg = 900.0\nposition_m = [5.0, 0.0, 1.0]", False),
        ("mass_kg = 900.0\nposition_m = [5.0, 0.0, 1.0]\nfixed = true", True),
        ("mass_kg = 900.0\nposition_m = [5.0, 1.0, 1.0]\nfixed = true\nboth_sides = true", True),
    ],
)
def test_the_mass_of_the_hull_is_fixed_unless_given_otherwise(
    tmp_path: Path, reported: str, fixed: bool
) -> None:
    for name in ("hull", "deck"):
        (tmp_path / f"{name}.obj").write_text(obj_text(PolygonMesh(name, *box(10.0, 4.0, 3.0))))
    case = f'[hull]\nmesh = "hull.obj"\n[[weight]]\nname = "engine"\n{reported}\n'
    (tmp_path / "case.toml").write_text(case)
    weights = read_case(tmp_path / "case.toml").weights
    assert {weight.fixed for weight in weights} == {fixed}


def test_a_margin_is_known_by_its_flag() -> None:
    hull = build_hull(mesh(box(10.0, 4.0, 3.0)))
    named = Weight("margin of trials", 900.0, np.array([5.0, 0.0, 1.0]))
    case = Case("box", hull, (named,))
    weights = in_condition(case, Condition("spare", mass_margin=0.1)).weights
    assert [weight.margin for weight in weights] == [False, True]
    assert weights[1].mass == pytest.approx(90.0)

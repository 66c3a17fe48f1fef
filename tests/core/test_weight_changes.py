"""What a weight list changes, and the digits in which one is written."""

from __future__ import annotations

import numpy as np
import pytest

from addon.parts.weight_changes import Way, compare
from addon.parts.weight_list import ListedWeight as Weight
from addon.parts.weight_list import in_few_digits
from tests.language import refused

NEAR = 1e-5


def weight(name: str, mass: float = 100.0, x: float = 1.0, group: str = "") -> Weight:
    return Weight(name, mass, np.array([x, 0.0, 0.5]), group)


PRESENT = (weight("engine", 850, 2.0, "machinery"), weight("mast"), weight("keel", 3000))


def names(weights: tuple[Weight, ...]) -> list[str]:
    return [each.name for each in weights]


@pytest.mark.parametrize(
    ("way", "reported"),
    [
        (Way.ADD, "4 weights: 2 new, 1 the same, 1 left as they are"),
        (Way.UPDATE, "4 weights: 2 new, 1 changed, 1 the same"),
        (Way.REPLACE, "4 weights: 2 new, 1 changed, 1 the same, 1 removed"),
    ],
)
def test_the_ways_to_take_a_list_in(way: Way, reported: str) -> None:
    listed = (weight("boat"), weight("engine", 900, 2.0), weight("mast"), weight("anchor"))
    changes = compare(PRESENT, listed, way, NEAR)
    assert str(changes) == reported
    assert names(changes.new) == ["boat", "anchor"]
    assert names(changes.same) == ["mast"]
    assert names(changes.changed) == ([] if way == Way.ADD else ["engine"])
    assert changes.removed == (("keel",) if way == Way.REPLACE else ())


@pytest.mark.parametrize(
    ("listed", "same"),
    [
        (weight("engine", 850, 2.0), True),
        (weight("engine", 850, 2.0, "machinery"), True),
        (weight("engine", 850, 2.0, "outfit"), False),
        (weight("engine", 850.0001, 2.0), True),
        (weight("engine", 850.001, 2.0), False),
        (weight("engine", 850, 2.0 + 0.9 * NEAR), True),
        (weight("engine", 850, 2.0 + 1.1 * NEAR), False),
    ],
)
def test_what_counts_as_a_change(listed: Weight, same: bool) -> None:
    changes = compare(PRESENT, (listed,), Way.UPDATE, NEAR)
    assert len(changes.same) == same
    assert len(changes.changed) == (not same)


def test_no_list_changes_what_weighs_by_its_mesh() -> None:
    listed = (weight("mast", 120), weight("keel", 3000))
    changes = compare(PRESENT, listed, Way.UPDATE, NEAR, {"mast", "keel"})
    assert str(changes) == "2 weights: 1 the same, 1 left as they are"


def test_an_empty_list_and_a_name_twice() -> None:
    assert str(compare(PRESENT, (), Way.UPDATE, NEAR)) == "0 weights"
    assert str(compare((), (weight("one"),), Way.UPDATE, NEAR)) == "1 weight: 1 new"
    with refused("'one' is named twice"):
        compare((), (weight("one"), weight("one")), Way.ADD, NEAR)


@pytest.mark.parametrize("mass", [0.1, 25.3, 1234.567, 3e7])
def test_masses_in_as_few_digits_as_single_precision_has(mass: float) -> None:
    kept = float(np.float32(mass))
    assert in_few_digits(weight("one", kept), NEAR).mass == mass


def test_places_in_as_few_digits_as_tell_them_apart() -> None:
    place = np.array([12.3450004, -0.0000004, 1.23456])
    assert in_few_digits(Weight("one", 1.0, place), 1e-6).center.tolist() == [12.345, 0.0, 1.23456]

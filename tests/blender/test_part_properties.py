"""Property groups of parts: each declared field is there, and reads as the entry has it."""

from __future__ import annotations

from math import radians
from typing import Any

import bpy
import pytest
import scene_ships as ships

from addon.blender.properties import events
from addon.blender.properties.events import Event
from addon.blender.properties.names import Role
from addon.blender.properties.part_fields import (
    SHOWN,
    has_switch,
    is_kept,
    name_in,
    numbered,
    switch_of,
    units_of,
)
from addon.blender.properties.part_groups import GROUPS
from addon.blender.properties.part_settings import SHARED
from addon.blender.properties.settings import settings
from addon.blender.readers.cases import case_entry
from addon.blender.readers.hulls import read_hull
from addon.parts.declarations import (
    CONDITION,
    CRITERION,
    PARTS,
    SCENE_PARTS,
    TANK,
)
from addon.parts.specification import Field, Kind, Part, Source

FIELDS = [
    (part, field)
    for part in (*PARTS, *SCENE_PARTS)
    for field in part.fields
    if is_kept(field) and field.name not in SHARED
]


def group_of(part: Part[Any]) -> Any:
    """A new property group of a part."""
    obj = ships.mesh_object("thing", ships.BOX, ships.FACES)
    if part is CRITERION:
        return settings(obj).custom_criteria.add()
    if part is CONDITION:
        return settings(obj).conditions.add()
    return next(getattr(settings(obj), name) for name in GROUPS if GROUPS[name].part is part)


def named(pair: tuple[Part[Any], Field]) -> str:
    return f"{pair[0].key} {pair[1].name}"


@pytest.mark.parametrize("pair", FIELDS, ids=named)
def test_every_declared_field_is_a_property(pair: tuple[Part[Any], Field]) -> None:
    part, field = pair
    group = group_of(part)
    rna = group.bl_rna.properties
    if field.kind == Kind.NAMES:
        names = numbered(field) or [name for name in rna.keys() if name.startswith("codes_")]
        assert len(names) == (field.count or len(field.choices))
        return
    for unit in units_of(part, field):
        found = rna[name_in(field, unit)]
        assert found.description == field.doc
        assert found.name.split(" (")[0] == field.label
        if field.kind == Kind.CHOICE:
            labels = [item.name for item in found.enum_items]
            assert labels[field.optional :] == [choice.label for choice in field.choices]
        if field.kind == Kind.NUMBER and field.maximum is not None:
            assert found.hard_max == pytest.approx(field.maximum * SHOWN[unit].per)


def test_no_field_of_a_scene_is_left_out() -> None:
    """Only what the object tells, and lists that objects stand for, have no property."""
    left = {
        f"{part.key}.{field.name}"
        for part in (*PARTS, *SCENE_PARTS)
        for field in part.fields
        if field.source == Source.PROPERTY and not is_kept(field)
    }
    assert left == {
        "condition.fill",
        "condition.without",
        "condition.without_groups",
        "condition.flooded",
    }


@pytest.mark.parametrize("pair", [pair for pair in FIELDS if has_switch(pair[1])], ids=named)
def test_a_value_that_may_be_left_out_is_given_by_its_switch(pair: tuple[Part[Any], Field]) -> None:
    part, field = pair
    group = group_of(part)
    if part.key == "weight":
        assert switch_of(field.name) not in group.bl_rna.properties
        return
    assert field.name not in group.values(1.0)
    setattr(group, switch_of(field.name), True)
    assert field.name in group.values(1.0)


def test_values_are_in_si_units_and_free_of_the_noise_of_single_precision() -> None:
    tank = group_of(TANK)
    tank.fill, tank.permeability, tank.density = 35.1, 0.97, 850.3
    assert tank.values(0.5) == {"density": 850.3, "fill": 0.351, "permeability": 0.97}
    criterion = group_of(CRITERION)
    criterion.measure, criterion.end = "AREA", radians(40.0)
    assert criterion.values(1.0)["end"] == radians(40.0)
    criterion.measure, criterion.use_at_least, criterion.at_least_length = "GM", True, 0.3
    assert criterion.values(0.5) == {"measure": "GM", "at_least": 0.15}


def test_a_scene_as_entries() -> None:
    hull = ships.outfitted()
    fuel = bpy.data.objects["fuel"]
    settings(fuel).tank.fill, settings(fuel).group = 40.0, "oil"
    depsgraph = bpy.context.evaluated_depsgraph_get()
    entry = case_entry(depsgraph, hull, read_hull(depsgraph, hull))
    assert [each.name for each in entry.weights] == ["boxes", "ship"]
    assert (entry.tanks[0].fill, entry.tanks[0].group) == (0.4, "oil")
    assert {each.name: each.protection for each in entry.openings} == {
        "vent": "unprotected",
        "hatch": "weathertight",
    }
    assert entry.windage[0].name == "house" and entry.title == hull.name


def test_listeners_hear_events_until_they_leave() -> None:
    heard: list[Any] = []
    crate = ships.weight("crate", 10.0, (0, 0, 0))
    events.subscribe(Event.FIGURES_CHANGED, heard.append)
    settings(crate).weight.mass = 20.0
    assert heard == [crate]
    settings(crate).role = Role.NONE
    assert heard == [crate], "another event"
    events.unsubscribe(Event.FIGURES_CHANGED, heard.append)
    settings(crate).weight.mass = 30.0
    assert heard == [crate]

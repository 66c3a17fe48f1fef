"""What the user finds: tooltips, menus, keys, preferences, usual weights."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import bmesh
import bpy
import pytest
import scene_ships as ships
from test_panels import Layout, context

import addon
from addon.blender import keymap
from addon.blender.identifiers import Ops
from addon.blender.operators import view
from addon.blender.operators.hulls import NAVAL_CHECKS_OT_mark_hull
from addon.blender.operators.weights import NAVAL_CHECKS_OT_add_weight, NAVAL_CHECKS_OT_mark_weights
from addon.blender.panels import menus, named, typical_weights
from addon.blender.properties.densities import CONTENTS, OTHER, WATERS
from addon.blender.properties.names import Basis, Role
from addon.blender.properties.settings import settings
from addon.blender.properties.suggestions import GROUPS
from addon.blender.properties.typical_weights import TYPICAL_WEIGHTS
from addon.core.messages.sentence import Sentence
from addon.core.messages.subjects import Subject, SubjectKind
from addon.core.model.case import FRESH_WATER, SEA_WATER

UNIT = re.compile(
    r"\bkg\b|%|\bm rad\b|\bmeters\b|\bbreadths\b|\bShare\b|"
    r"\b1 is the default\b|m³|\bseconds\b|\(s\)",
    re.I,
)
BASES = (
    bpy.types.PropertyGroup,
    bpy.types.Operator,
    bpy.types.Panel,
    bpy.types.Menu,
    bpy.types.UIList,
    bpy.types.AddonPreferences,
)


def classes(*bases: Any) -> Iterator[Any]:
    """All kinds of these that the add-on has registered."""
    for base in bases:
        yield from classes(*base.__subclasses__())
        if base.__module__.startswith(addon.__name__) and "bl_rna" in vars(base):
            yield base


def properties() -> Iterator[tuple[str, Any]]:
    for kind in classes(*BASES):
        built_in = kind.bl_rna.base.properties.keys()
        for rna in kind.bl_rna.properties:
            if rna.identifier not in built_in and not rna.is_hidden:
                yield f"{kind.__name__}.{rna.identifier}", rna


def test_every_property_says_what_it_does_and_in_which_unit() -> None:
    found = dict(properties())
    assert len(found) > 90
    for name, rna in found.items():
        assert rna.name and rna.description, f"{name} has no description"
        assert not rna.description.endswith("."), name
        if rna.type == "FLOAT" and not rna.is_array:
            labels = rna.unit != "NONE" or rna.subtype in ("PERCENTAGE", "ANGLE")
            words = f"{rna.name} {rna.description}"
            assert labels or UNIT.search(words), f"{name} does not say its unit"
        for item in rna.enum_items if rna.type == "ENUM" else ():
            assert item.name and item.description, f"{name}: {item.identifier} is not described"


def test_everything_on_the_desk_is_described() -> None:
    operators = [*classes(bpy.types.Operator)]
    assert {kind.bl_idname for kind in operators} == {*Ops}
    for kind in (*operators, *classes(bpy.types.Panel, bpy.types.Menu)):
        text = getattr(kind, "bl_description", None)
        if kind in operators:
            module, name = kind.bl_idname.split(".")
            text = getattr(getattr(bpy.ops, module), name).get_rna_type().description
        assert text and not text.endswith("."), kind
        assert kind.bl_label[0].isupper(), kind


def offered(name: str) -> set[str]:
    """Operators in one of Blender's menus and in our menus under it."""
    draws = getattr(bpy.types, name).draw
    ours = [draw for draw in draws._draw_funcs if draw.__module__.startswith(addon.__name__)]
    found: set[str] = set()
    todo: list[Any] = [*ours]
    while todo:
        layout, draw = Layout(), todo.pop()
        draw(SimpleNamespace(layout=layout), context())
        for labels in (part if isinstance(part, str) else part[0] for part in layout.labels):
            kind = getattr(bpy.types, labels, None)
            if kind is None:
                found.add(labels)
            else:
                todo.append(lambda self, at, kind=kind: kind.draw(_menu(kind, self.layout), at))
    return found


def _menu(kind: Any, layout: Layout) -> SimpleNamespace:
    return SimpleNamespace(layout=layout, to_active=getattr(kind, "to_active", None))


def test_operators_are_in_the_menus_that_search_looks_through() -> None:
    """Search finds what the menus of the editor's header and of the top bar have."""
    found = {name for name, _ in menus.ENTRIES for name in offered(name)}
    meant = {
        kind.bl_idname for kind in classes(bpy.types.Operator) if "INTERNAL" not in kind.bl_options
    }
    assert found == meant
    assert {Ops.ADD_WEIGHT, Ops.ADD_OPENING, Ops.USE_TYPICAL_WEIGHT} <= offered("VIEW3D_MT_add")
    marking = {Ops.MARK_HULL, Ops.MARK_WEIGHTS, Ops.MARK_TANKS, Ops.MARK_OPENINGS, Ops.UNMARK}
    for name in ("VIEW3D_MT_object", "VIEW3D_MT_object_context_menu"):
        assert marking <= offered(name)


def blenders_keys() -> Iterator[tuple[tuple[Any, ...], str]]:
    """Keys of Blender's own configuration that act in the 3D viewport, and what they do."""
    (path,) = (
        path
        for folder in bpy.utils.preset_paths("keyconfig")
        for path in Path(folder, "keymap_data").glob("blender_default.py")
    )
    spec = spec_from_file_location("blender_default", path)
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    for name, where, content in module.generate_keymaps(module.Params()):
        if where["space_type"] in ("EMPTY", "VIEW_3D"):
            for operator, key, _ in content["items"]:
                held = (bool(key.get(held)) for held in ("ctrl", "alt", "shift", "oskey"))
                yield (key["type"], *held), f"{name}: {operator}"


def test_keys_collide_with_none_of_blender() -> None:
    ours = [item for _, item in keymap.found_in(bpy.context.window_manager.keyconfigs.addon)]
    assert {item.idname for item in ours} == {*keymap.KEYS}
    taken = dict(blenders_keys())
    assert ("G", False, False, False, False) in taken and len(taken) > 300
    for item in ours:
        key = (item.type, *map(bool, (item.ctrl, item.alt, item.shift, item.oskey)))
        assert key not in taken, f"{item.idname} collides with {taken[key]}"


def test_without_a_keyconfig_nothing_is_placed(monkeypatch: pytest.MonkeyPatch) -> None:
    manager = SimpleNamespace(keyconfigs=SimpleNamespace(addon=None))
    monkeypatch.setattr(
        keymap, "bpy", SimpleNamespace(context=SimpleNamespace(window_manager=manager))
    )
    before = list(keymap._placed)
    keymap.register()
    assert keymap._placed == before
    assert [*keymap.found_in(None)] == []


@pytest.fixture
def enabled() -> Iterator[Any]:
    """The preferences as of an add-on that is enabled."""
    addons = bpy.context.preferences.addons
    entry = addons.new()
    entry.module = addon.__name__
    yield entry.preferences
    addons.remove(entry)


def test_new_hulls_and_weights_begin_as_preferred(enabled: Any) -> None:
    enabled.water_density, enabled.group = FRESH_WATER, "outfit"
    body = ships.mesh_object("box", ships.BOX, ships.FACES)
    ships.activate(body)
    invoked(NAVAL_CHECKS_OT_mark_hull)
    assert settings(body).water.density == FRESH_WATER and settings(body).water.kind == "FRESH"
    settings(body).water.kind = "SEA"
    invoked(NAVAL_CHECKS_OT_mark_hull)
    assert settings(body).water.density == SEA_WATER
    assert invoked(NAVAL_CHECKS_OT_add_weight).group == "outfit"
    assert invoked(NAVAL_CHECKS_OT_mark_weights, group="crew").group == "crew"


def test_the_first_weight_of_a_hull_begins_as_fixed(enabled: Any) -> None:
    assert not invoked(NAVAL_CHECKS_OT_add_weight).fixed
    ships.activate(ships.hull())
    assert invoked(NAVAL_CHECKS_OT_add_weight).fixed
    assert not invoked(NAVAL_CHECKS_OT_add_weight, fixed=False).fixed
    ships.weight("hull", 3000, (3, 1, 0.4))
    bpy.context.view_layer.update()
    assert not invoked(NAVAL_CHECKS_OT_add_weight).fixed


def invoked(kind: Any, **given: Any) -> Any:
    """What an operator that the user starts is going to be executed with."""
    operator = SimpleNamespace(
        properties=SimpleNamespace(is_property_set=lambda name: name in given),
        execute=lambda _: {"FINISHED"},
        **given,
    )
    assert kind.invoke(operator, bpy.context, None) == {"FINISHED"}
    return operator


def test_scripts_are_not_touched_by_preferences(enabled: Any) -> None:
    enabled.water_density, enabled.group = FRESH_WATER, "outfit"
    body = ships.mesh_object("box", ships.BOX, ships.FACES)
    ships.activate(body)
    bpy.ops.naval_checks.mark_hull()
    bpy.ops.naval_checks.add_weight(mass=5.0)
    assert settings(body).water.density == SEA_WATER
    assert settings(bpy.context.active_object).group == ""


@pytest.mark.parametrize("kind", TYPICAL_WEIGHTS)
def test_usual_weight_is_added(kind: str) -> None:
    hull = ships.hull()
    bpy.ops.naval_checks.use_typical_weight(kind=kind, amount=2)
    added = bpy.context.active_object
    chosen = settings(added)
    assert (chosen.role, chosen.hull, added.parent) == (Role.WEIGHT, hull, hull)
    assert chosen.weight.mass == pytest.approx(2 * TYPICAL_WEIGHTS[kind].mass)
    assert chosen.group in GROUPS
    assert added.name.startswith(TYPICAL_WEIGHTS[kind].name)


def test_usual_weight_is_given_to_the_active_one() -> None:
    ships.hull()
    crate = ships.mesh_object("crate", ships.BOX, ships.FACES)
    settings(crate).role, settings(crate).weight.basis = Role.WEIGHT, Basis.SKIN
    ships.activate(crate)
    before = len(bpy.data.objects)
    bpy.ops.naval_checks.use_typical_weight(kind="DIESEL", amount=200, to_active=True)
    assert len(bpy.data.objects) == before
    assert crate.name == "Diesel, 200 L" and settings(crate).weight.basis == Basis.POINT
    assert settings(crate).weight.mass == pytest.approx(170)
    ships.activate(None)
    with pytest.raises(RuntimeError, match="Select a weight first"):
        bpy.ops.naval_checks.use_typical_weight(kind="PERSON", to_active=True)


def test_menu_offers_every_usual_weight() -> None:
    layout = Layout()
    typical_weights.NAVAL_CHECKS_MT_add_typical_weight.draw(
        SimpleNamespace(layout=layout, to_active=False), context()
    )
    assert len(layout.labels) == len(TYPICAL_WEIGHTS)
    assert (Ops.USE_TYPICAL_WEIGHT, "Anchor Chain, 8 mm, 40 m") in layout.labels


def buttons_of(text: str) -> list[Any]:
    layout = Layout()
    named.problem(layout, context(), text, "CANCEL")
    return [part for part in layout.labels if part[0] in {*Ops}]


def test_problems_lead_to_what_they_name() -> None:
    hull = ships.outfitted()
    for which in ("CONDITIONS", "CRITERIA"):
        bpy.ops.naval_checks.edit_list(which=which, action="ADD")
        bpy.ops.naval_checks.edit_list(which=which, action="ADD")
    select, choose = [(Ops.SELECT_OBJECT, "")], [(Ops.CHOOSE_ITEM, "")]
    about: tuple[tuple[SubjectKind, str, Any], ...] = (
        ("tank", "fuel", select),
        ("opening", "vent", select),
        ("windage", "house", select),
        ("object", "box", select),
        ("vessel", "any title", select),
        ("condition", "Condition 2", choose),
        ("criterion", "Criterion", choose),
        ("tank", "ballast", []),
        ("opening", "fuel", []),
    )
    for kind, name, buttons in about:
        assert buttons_of(Sentence("blah {what}", what=Subject(kind, name))) == buttons
    group = Subject("group", "crew")
    both = Sentence("{one} {other}", one=Subject("condition", "Condition 2"), other=group)
    assert buttons_of(Sentence("{before}: {after}", before="x", after=both)) == choose
    for text in ("tank 'fuel': the mesh is open", Sentence("tank 'fuel'")):
        assert buttons_of(text) == []
    bpy.ops.naval_checks.choose_item(which="CRITERIA", item_name="Criterion")
    assert settings(hull).active_criterion == 0
    bpy.ops.naval_checks.choose_item(which="CONDITIONS", item_name="Condition")
    assert settings(hull).condition.name == "Condition"
    with pytest.raises(RuntimeError, match="no custom criterion 'gone'"):
        bpy.ops.naval_checks.choose_item(which="CRITERIA", item_name="gone")


def real_problem(spoil: str) -> str:
    """What is said of the outfitted box with something of its own spoilt."""
    hull = ships.outfitted()
    if spoil == "tank":
        mesh = bmesh.new()
        mesh.from_mesh(bpy.data.objects["fuel"].data)
        mesh.faces.ensure_lookup_table()
        bmesh.ops.delete(mesh, geom=[mesh.faces[0]], context="FACES_ONLY")
        mesh.to_mesh(bpy.data.objects["fuel"].data)
    elif spoil == "opening":
        bpy.data.objects["vent"].location = (3, 1, 0.5)
    elif spoil == "windage":
        bpy.data.objects["house"].data.clear_geometry()
    elif spoil == "weight":
        settings(bpy.data.objects["boxes"]).weight.mass = 0
    elif spoil == "criterion":
        bpy.ops.naval_checks.edit_list(which="CRITERIA", action="ADD")
        settings(hull).custom_criteria[0].use_at_least = False
    else:
        bpy.ops.naval_checks.edit_list(which="CONDITIONS", action="ADD")
        for name in ("ship", "boxes", "fuel"):
            bpy.ops.naval_checks.toggle_loaded(object_name=name)
    bpy.context.view_layer.update()
    return ships.floated(hull).message or ""


@pytest.mark.parametrize(
    ("spoil", "operator"),
    (
        ("tank", Ops.SELECT_OBJECT),
        ("opening", Ops.SELECT_OBJECT),
        ("windage", Ops.SELECT_OBJECT),
        ("weight", Ops.SELECT_OBJECT),
        ("criterion", Ops.CHOOSE_ITEM),
        ("condition", Ops.CHOOSE_ITEM),
    ),
)
def test_what_stops_the_figures_can_be_clicked(spoil: str, operator: Ops) -> None:
    message = real_problem(spoil)
    assert message
    assert buttons_of(message) == [(operator, "")], message


def test_view_turns_to_an_object() -> None:
    hull = ships.hull()
    hull.location.x = 10
    vent = ships.opening("vent", (3, 1, 2), hull)
    bpy.context.view_layer.update()
    assert view.places_of(vent).tolist() == [[13, 1, 2]]
    assert view.places_of(hull).max(axis=0).tolist() == [16, 2, 1]
    region = SimpleNamespace(view_perspective="CAMERA", view_location=None, view_distance=0.0)
    space = SimpleNamespace(type="VIEW_3D", region_3d=region)
    at = SimpleNamespace(view_layer=bpy.context.view_layer, space_data=space)
    view.turn_view(at, view.places_of(vent))
    assert region.view_perspective == "PERSP" and region.view_location[:] == (13, 1, 2)
    assert region.view_distance == pytest.approx(1.5 * view.LEAST_VIEW * 6)


@pytest.mark.parametrize(
    ("group", "choice", "known"),
    (("water", "kind", WATERS), ("tank", "content", CONTENTS)),
)
def test_substances_and_densities_keep_in_step(
    group: str, choice: str, known: dict[str, float]
) -> None:
    chosen, density = getattr(settings(ships.hull()), group), "density"
    assert {*chosen.bl_rna.properties[choice].enum_items.keys()} == {*known, OTHER}
    for name, value in known.items():
        setattr(chosen, choice, name)
        assert getattr(chosen, density) == value
        setattr(chosen, density, 1234.0)
        assert getattr(chosen, choice) == OTHER
        setattr(chosen, density, value)
        assert getattr(chosen, choice) == name

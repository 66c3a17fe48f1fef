"""Every panel drawn with a layout that writes down what it is given."""

from __future__ import annotations

import re
from dataclasses import replace
from math import atan, degrees
from types import SimpleNamespace
from typing import Any

import blf
import bpy
import pytest
import scene_ships as ships

from addon.blender import wording
from addon.blender.controller import known_compartments, session
from addon.blender.identifiers import TAB, Ops
from addon.blender.panels import compartment_list, criteria, floating_position, sidebar, stability
from addon.blender.panels.part_lists import (
    NAVAL_CHECKS_UL_openings,
    NAVAL_CHECKS_UL_tanks,
    NAVAL_CHECKS_UL_weights,
)
from addon.blender.properties.names import Basis, Role, WaterDisplay
from addon.blender.properties.part_fields import scene_mass_of
from addon.blender.properties.settings import scene_settings, settings
from addon.blender.readers.members import is_part
from addon.core.buoyancy.attitude import Attitude, up_from_angles
from addon.core.criteria.codes import CODES
from addon.core.criteria.disclaimer import CAUTION, UNCHECKED
from addon.examples.loader import listing_launch
from addon.parts.declarations import SERVICE
from addon.parts.declarations.assessment import MEASURES
from addon.parts.specification import Choice, Unit
from tests.language import reads

PANELS = {kind.bl_label: kind for kind in sidebar.PANELS}
SCALE = 1.5
MIDDLE = (3.0, 1.0, 0.5)


class Layout:
    """A layout that keeps labels, properties, operators and lists, its parts' included."""

    operator_context = "EXEC_REGION_WIN"

    def __init__(self, labels: list[Any] | None = None) -> None:
        self.labels: list[Any] = [] if labels is None else labels

    def part(self, *_: Any, **__: Any) -> Layout:
        return Layout(self.labels)

    row = column = box = split = grid_flow = part

    def panel(self, name: str, default_closed: bool = False) -> tuple[Layout, Layout]:
        return self.part(), self.part()

    def label(self, text: str = "", icon: str = "NONE", translate: bool = True) -> None:
        assert icon in ICONS, icon
        self.labels.append(text)

    def prop(self, data: Any, name: str, text: str | None = None, icon: str = "NONE", **_: Any):
        assert icon in ICONS, icon
        rna = data.bl_rna.properties[name]
        assert rna.description or not data.bl_rna.identifier.endswith("Settings")
        self.labels.append(name)

    def operator(
        self,
        name: str,
        text: str | None = None,
        icon: str = "NONE",
        emboss: bool = True,
        translate: bool = True,
    ) -> SimpleNamespace:
        assert icon in ICONS, icon
        assert name in set(Ops)
        self.labels.append(name if text is None else (name, text))
        return SimpleNamespace()

    def operator_menu_enum(
        self, name: str, property: str, text: str | None = None, icon: str = "NONE"
    ) -> SimpleNamespace:
        module, own = name.split(".")
        kind = getattr(getattr(bpy.ops, module), own).get_rna_type()
        assert kind.properties[property].type == "ENUM"
        return self.operator(name, text, icon)

    def menu(self, name: str, text: str | None = None, icon: str = "NONE") -> None:
        assert icon in ICONS, icon
        assert hasattr(bpy.types, name)
        self.labels.append(name if text is None else (name, text))

    def template_list(self, kind: str, _: str, data: Any, name: str, *rest: Any, **__: Any) -> None:
        assert hasattr(bpy.types, kind) and hasattr(data, name)
        assert hasattr(rest[0], rest[1])
        self.labels.append(kind)

    def separator(self, **_: Any) -> None:
        pass


ICONS = set(bpy.types.UILayout.bl_rna.functions["label"].parameters["icon"].enum_items.keys())


ICON = 20
"""Width of an icon, in pixels at a scale of 1."""


def context() -> SimpleNamespace:
    """The real one, with a sidebar to draw in."""
    real = bpy.context
    return SimpleNamespace(
        view_layer=real.view_layer,
        window_manager=real.window_manager,
        scene=real.scene,
        preferences=SimpleNamespace(
            system=SimpleNamespace(ui_scale=SCALE),
            ui_styles=[SimpleNamespace(widget=SimpleNamespace(points=11))],
        ),
        evaluated_depsgraph_get=real.evaluated_depsgraph_get,
        region=SimpleNamespace(width=280 * SCALE),
    )


def drawn(label: str) -> list[Any]:
    layout = Layout()
    panel = SimpleNamespace(layout=layout)
    kind = PANELS[label]
    for name in vars(kind):
        own = name.startswith("_") and name[1] != "_" or name == "draw_hull"
        if own and callable(getattr(kind, name)):
            setattr(panel, name, getattr(kind, name).__get__(panel))
    if hasattr(kind, "draw_header"):
        kind.draw_header(panel, context())
    kind.draw(panel, context())
    return layout.labels


def words(label: str) -> str:
    return " ".join(part if isinstance(part, str) else part[1] for part in drawn(label))


def test_one_tab_in_the_order_of_the_work() -> None:
    assert list(PANELS) == [
        "Hull",
        "Weights",
        "Tanks",
        "Openings and Windage",
        "Floating Position",
        "Stability",
        "Criteria",
        "Service",
        "Criteria to Check",
        "Loading Conditions",
        "Compartments",
        "Flooding",
        "Viewport Display",
        "Export",
    ]
    assert {kind.bl_category for kind in PANELS.values()} == {TAB}


@pytest.mark.parametrize("label", PANELS)
def test_empty_scene(label: str) -> None:
    drawn(label)
    assert "No hull yet" in words("Hull")
    assert Ops.MARK_HULL in drawn("Hull")
    assert CAUTION.split()[0] in words("Floating Position")
    for name in PANELS:
        if name not in ("Hull", "Viewport Display"):
            assert "Mark a hull first, or select one" in words(name), name


@pytest.mark.parametrize("label", PANELS)
def test_hull_alone(label: str) -> None:
    ships.hull()
    drawn(label)
    assert "Forward: +X, Up: +Z (guessed)" in words("Hull")
    assert "No weights yet" in words("Weights")
    assert Ops.COMPUTE in drawn("Floating Position")


def test_chosen_axes_are_not_called_guessed() -> None:
    hull = ships.hull()
    settings(hull).form.forward = "NEGATIVE_X"
    assert "Up: +Z (guessed)" in words("Hull")
    settings(hull).form.up = "Z"
    assert "guessed" not in words("Hull")


def test_several_hulls_are_offered() -> None:
    for name in ("first", "second"):
        ships.hull(name)
    ships.activate(None)
    labels = drawn("Hull")
    assert "Choose a Hull" in labels
    assert (Ops.SELECT_OBJECT, "second") in labels
    ships.activate(bpy.data.objects["second"])
    assert "second" in drawn("Hull")
    ballast = ships.weight("ballast", 10, MIDDLE)
    ships.activate(ballast)
    assert "ballast belongs to no hull" in words("Weights")
    settings(ballast).hull = bpy.data.objects["first"]
    assert "first" in drawn("Hull")


def test_ship_afloat() -> None:
    hull = ships.example(listing_launch())
    ships.floated(hull)
    for water_display in WaterDisplay:
        scene_settings(bpy.context.scene).water_display = water_display
        for label in PANELS:
            drawn(label)
        assert ("copy_distance" in drawn("Viewport Display")) == (
            water_display == WaterDisplay.WATER_LEVEL
        )
    labels = words("Floating Position")
    assert "Afloat, with a list" in labels
    for figure in ("Displacement 13220 kg", "° to port", "by the", "GM", "Reserve Buoyancy"):
        assert figure in labels
    assert "Total 12000 kg" in words("Weights")


@pytest.mark.parametrize("slope", (0.05, -0.05))
def test_trim_and_drafts_are_at_the_right_ends(slope: float) -> None:
    """B of a box trimmed by the stern by a slope t is L² t / 12 d aft of amidships and L² t² / 24 d
    higher than on an even keel; the line from G to B stands upright."""
    draft, length, low = 3000 / 1025 / 12, 6.0, 0.5
    higher = draft / 2 + (length * slope) ** 2 / (24 * draft) - low
    x = length / 2 - length**2 * slope / (12 * draft) - slope * higher
    labels = dict(afloat(x, 1.0, low))
    aft, forward = (draft + sign * length / 2 * slope for sign in (1, -1))
    assert labels["Draft Aft"] == f"{aft:.3f} m"
    assert labels["Draft Amidships"] == f"{draft:.3f} m"
    assert labels["Draft Forward"] == f"{forward:.3f} m"
    assert labels["Trim"] == f"0.300 m by the {'stern' if slope > 0 else 'bow'}"
    assert labels["List"] == "none"


@pytest.mark.parametrize("slope", (0.1, -0.1))
def test_a_list_is_to_the_right_side(slope: float) -> None:
    """The same across the box, a list to starboard counting as positive."""
    draft, breadth, low = 3000 / 1025 / 12, 2.0, 0.5
    higher = draft / 2 + (breadth * slope) ** 2 / (24 * draft) - low
    y = -(breadth**2) * slope / (12 * draft) - slope * higher
    labels = dict(afloat(3.0, 1.0 + y, low))
    side = "starboard" if slope > 0 else "port"
    assert labels["List"] == f"{degrees(atan(0.1)):.1f}° to {side}"
    assert labels["Trim"] == "none"


def afloat(*center: float) -> list[tuple[str, str]]:
    """What the panel says of the box of 6 × 2 × 1 m with 3 t at a place, name and value."""
    hull = ships.hull()
    settings(hull).forward, settings(hull).up = "+X", "+Z"
    ships.weight("all", 3000, center)
    ships.floated(hull)
    labels = drawn("Floating Position")
    return list(zip(labels[:-1], labels[1:], strict=True))


@pytest.mark.parametrize(
    ("heel", "trim", "labels"),
    (
        (0.0, 0.2, ("Upright", "11.5° by the stern")),
        (0.0, -0.2, ("Upright", "11.5° by the bow")),
        (0.3, 0.0, ("List 17.2° to starboard", "")),
        (-0.3, 0.0, ("List 17.2° to port", "")),
    ),
)
def test_other_positions_lie_to_the_right_ends_and_sides(
    heel: float, trim: float, labels: tuple[str, str]
) -> None:
    other = SimpleNamespace(attitude=Attitude(up_from_angles(heel, trim), 0.0))
    assert list(floating_position.others(SimpleNamespace(others=(other,)))) == [labels]


def test_stale_figures_are_called_so() -> None:
    hull = ships.hull()
    ships.weight("all", 3000, MIDDLE)
    ships.floated(hull)
    assert "Changed since computed" not in words("Floating Position")
    bpy.context.scene.unit_settings.scale_length = 0.5
    assert "Changed since computed" in words("Floating Position")
    bpy.context.scene.unit_settings.scale_length = 1
    settings(hull).water.kind = "FRESH"
    assert "Changed since computed" in words("Floating Position")


@pytest.mark.parametrize(
    ("mass", "place", "headline"),
    (
        (3000, MIDDLE, "Afloat, upright"),
        (3000, (3, 1.4, 0.5), "Afloat, with a list"),
        (9000, (3, 1, 3), "Capsized"),
        (13000, MIDDLE, "Sinks"),
    ),
)
def test_state_comes_first(mass: float, place: tuple[float, ...], headline: str) -> None:
    hull = ships.hull()
    ships.weight("all", mass, place)
    ships.floated(hull)
    labels = drawn("Floating Position")
    assert headline in labels
    if headline != "Sinks":
        assert labels.index(headline) < labels.index("Displacement")


def test_swamped_hull_and_faults_of_the_surface() -> None:
    hull = ships.hull("box", ships.BOX, ships.FACES[:1] + ships.FACES[2:])
    ships.weight("all", 11000, (5, 1, 0.5))
    ships.floated(hull)
    assert "Swamped" in drawn("Floating Position")
    assert (Ops.SELECT_FINDING, "") in drawn("Hull")
    assert reads(words("Hull"), "open:")


@pytest.mark.parametrize("label", PANELS)
def test_what_cannot_be_floated(label: str) -> None:
    hull = ships.hull()
    ships.weight("engine", 0, MIDDLE)
    ships.floated(hull)
    drawn(label)
    assert reads(words("Floating Position"), "the mass is 0 kg")
    hull.scale.z = 0
    ships.floated(hull)
    drawn(label)
    assert reads(words("Hull"), "flattens")


@pytest.mark.parametrize("basis", Basis)
def test_settings_of_a_weight(basis: Basis) -> None:
    ships.hull()
    crate = ships.mesh_object("crate", ships.BOX, ships.FACES)
    settings(crate).role, settings(crate).weight.basis = Role.WEIGHT, basis
    ships.activate(crate)
    labels = drawn("Weights")
    assert {"basis", "group", "hull"} <= {part for part in labels if isinstance(part, str)}
    assert ("scene_mass" in labels) == (basis == Basis.POINT)
    assert ("Total 100 kg" in words("Weights")) == (basis == Basis.POINT)


def test_list_shows_the_weights_of_the_hull_at_hand() -> None:
    first, second = ships.hull("first"), ships.hull("second")
    for name, hull in (("a", first), ("b", second), ("c", first)):
        settings(ships.weight(name, 10, MIDDLE)).hull = hull
    ships.activate(first)
    shown = SimpleNamespace(
        filter_name="",
        bitflag_filter_item=1,
        use_filter_sort_alpha=False,
        roles=NAVAL_CHECKS_UL_weights.roles,
    )
    view_layer = bpy.context.view_layer
    flags, _ = NAVAL_CHECKS_UL_weights.filter_items(shown, context(), view_layer, "objects")
    assert [obj.name for obj, flag in zip(view_layer.objects, flags, strict=True) if flag] == [
        "a",
        "c",
    ]
    layout = Layout()
    NAVAL_CHECKS_UL_weights.draw_item(
        shown, context(), layout, None, bpy.data.objects["a"], 0, None, "", 0, 0
    )
    assert layout.labels == ["name", "10 kg"]


@pytest.mark.parametrize(("width", "lines"), ((200, 5), (280, 3), (800, 1)))
def test_long_text_is_wrapped(width: int, lines: int) -> None:
    layout, here = Layout(), context()
    here.region.width = width * SCALE
    text = "Tender: GM is 0.120 m (the 2008 IS Code, A 2.2, asks ships of 24 m and more for 0.15 m)"
    wording.wrapped(layout, here, text, "ERROR")
    assert " ".join(layout.labels) == text
    assert abs(len(layout.labels) - lines) <= 1
    assert not any(line.startswith("m ") or line.endswith(" 0.120") for line in layout.labels)


def test_figures_stay_with_their_units_and_axes() -> None:
    layout, here = Layout(), context()
    for width in range(150, 400, 10):
        here.region.width, layout.labels[:] = width * SCALE, []
        wording.wrapped(layout, here, "Water enters at x 10.000 m, y -1.500 m, 1.016 m² of it")
        for line in layout.labels:
            assert not re.match(r"m|-?\d+\.500", line) and not re.search(r"\d$| [xy]$", line)
        layout.labels[:] = []
        wording.wrapped(layout, here, "The engine room is too long: 11' 5.80\", at most 11' 4.44\"")
        assert not any(line.endswith("'") for line in layout.labels)


@pytest.mark.parametrize(
    ("system", "shown"), (("METRIC", "1.200 m"), ("NONE", "1.200 m"), ("IMPERIAL", "3' 11.24\""))
)
def test_lengths_in_scene_units(system: str, shown: str) -> None:
    bpy.context.scene.unit_settings.system = system
    units = wording.Units.of(bpy.context.scene)
    assert units.length(1.2) == shown
    assert units.length(float("nan")) == wording.NOTHING


@pytest.mark.parametrize(
    ("system", "unit", "shown"),
    (
        ("NONE", "", "3 t"),
        ("METRIC", "ADAPTIVE", "3 t"),
        ("METRIC", "KILOGRAMS", "3000 kg"),
        ("METRIC", "TONNES", "3 t"),
        ("METRIC", "GRAMS", "3000000 g"),
        ("IMPERIAL", "TONNES", "3.307 tn"),
        ("IMPERIAL", "STONES", "472.4 st"),
        ("IMPERIAL", "POUNDS", "6614 lb"),
        ("IMPERIAL", "OUNCES", "105822 oz"),
    ),
)
def test_masses_in_scene_units(system: str, unit: str, shown: str) -> None:
    """Pounds of 0.45359237 kg, stones of 14, short tons of 2000 (NIST Handbook 44, appendix C)."""
    chosen = bpy.context.scene.unit_settings
    chosen.system = system
    if unit:
        chosen.mass_unit = unit
    assert wording.Units.of(bpy.context.scene).mass(3000.0) == shown
    assert wording.Units.of(bpy.context.scene).mass(0.0).startswith("0 ")


def test_small_tanks_in_litres() -> None:
    units = wording.Units.of(bpy.context.scene)
    assert (units.volume(0.0543), units.volume(18.0)) == ("54.3 L", "18.0 m³")
    bpy.context.scene.unit_settings.system = "IMPERIAL"
    assert wording.Units.of(bpy.context.scene).volume(0.0543) == "1.92 ft³"


@pytest.fixture
def outfitted() -> bpy.types.Object:
    return ships.outfitted()


def test_next_step_is_shown(outfitted: bpy.types.Object) -> None:
    for label in ("Stability", "Criteria"):
        assert "Find the floating position first" in words(label)
    ships.activate(None)
    settings(outfitted).role = Role.NONE
    for label in ("Stability", "Criteria", "Service", "Criteria to Check", "Loading Conditions"):
        assert "Mark a hull first" in words(label)


def test_parts_are_listed_with_their_settings(outfitted: bpy.types.Object) -> None:
    labels = drawn("Tanks")
    assert "NAVAL_CHECKS_UL_tanks" in labels and "content" not in labels
    assert "NAVAL_CHECKS_UL_openings" in drawn("Openings and Windage")
    ships.floated(outfitted)
    ships.activate(bpy.data.objects["fuel"])
    labels = drawn("Tanks")
    assert {"content", "fill", "permeability", "group", "hull"} <= {*filter(is_text, labels)}
    assert "density" not in labels
    settings(bpy.data.objects["fuel"]).tank.content = "OTHER"
    assert "density" in drawn("Tanks")
    assert "Capacity 1.28 m³ Content 544 kg" in words("Tanks")
    ships.activate(bpy.data.objects["vent"])
    assert "protection" in drawn("Openings and Windage")
    ships.activate(bpy.data.objects["house"])
    labels = drawn("Openings and Windage")
    assert "protection" not in labels and "hull" in labels


def is_text(part: Any) -> bool:
    return isinstance(part, str)


def test_stability_of_a_ship_with_two_sides(outfitted: bpy.types.Object) -> None:
    entry = ships.floated(outfitted)
    labels, ship = words("Stability"), entry.assessment.stability
    assert all(side in labels for side in stability.SIDES.values())
    port = stability.angle(ship.port.downflooding_angle)
    assert f"vent: {port} to port" in labels
    assert ", weathertight" in labels
    assert f"Downflooding Angle {stability.NEVER}" not in labels
    first = ship.starboard if ship.starboard.floods_before_vanishing else ship.port
    assert first.floods_before_vanishing and "Maximum GZ to Downflooding" in labels
    assert (
        f"Range to Downflooding {stability.angle(ship.starboard.range_to_downflooding)}" in labels
    )
    assert "GM Upright" not in labels
    bpy.data.objects["vent"].location.y = 1
    bpy.context.view_layer.update()
    ships.floated(outfitted)
    labels = words("Stability")
    assert stability.SIDES["port"] not in labels and "to both sides" in labels


def test_gm_upright_is_shown_of_a_vessel_with_a_list(outfitted: bpy.types.Object) -> None:
    bpy.data.objects["ship"].location.y += 0.1
    bpy.context.view_layer.update()
    ship = ships.floated(outfitted).assessment.stability
    assert f"GM Upright {wording.Units.of(bpy.context.scene).length(ship.GM)}" in words("Stability")


def test_without_openings_it_asks_for_them() -> None:
    hull = ships.hull()
    ships.weight("all", 3000, MIDDLE)
    ships.floated(hull)
    assert "No openings: add those" in words("Stability")
    assert "GM Upright" not in words("Stability")
    assert f"Downflooding Angle {stability.NEVER}" in words("Stability")
    assert "Range to Downflooding" not in words("Stability")


def test_opening_that_is_under_and_one_that_stays_dry(outfitted: bpy.types.Object) -> None:
    settings(bpy.data.objects["ship"]).weight.mass = 9000
    ships.opening("scupper", (3, 2, 0.2))
    ships.opening("masthead", (3, 1, 40))
    bpy.context.view_layer.update()
    ships.floated(outfitted)
    labels = words("Stability")
    assert "scupper: immersed at rest" in labels


def test_heel_to_look_at(outfitted: bpy.types.Object) -> None:
    entry, chosen = ships.floated(outfitted), scene_settings(bpy.context.scene)
    assert "held_heel" not in drawn("Stability")
    chosen.use_held_heel, chosen.held_heel = True, 0.3
    labels, units = words("Stability"), wording.Units.of(bpy.context.scene)
    arm = entry.assessment.stability.curve.at(chosen.held_heel).arm
    assert f"held_heel GZ {units.length(arm)} Draft Amidships" in labels
    chosen.held_heel = 2.5
    assert f"Draft Amidships {wording.NOTHING}" in words("Stability")


def test_criteria_with_words_and_reasons(outfitted: bpy.types.Object) -> None:
    chosen = scene_settings(bpy.context.scene)
    bpy.ops.naval_checks.edit_list(which="CRITERIA", action="ADD")
    settings(outfitted).custom_criteria[0].at_least_length = 9.0
    entry = ships.floated(outfitted)
    verdicts = entry.assessment.verdicts
    labels = words("Criteria")
    assert criteria.tally(verdicts) in labels and "1 fail" in criteria.tally(verdicts)
    for verdict in verdicts:
        word = criteria.OUTCOMES[verdict.outcome][0]
        assert f"{word}: {verdict.clause}, {verdict.what}" in labels
    index = next(i for i, verdict in enumerate(verdicts) if verdict.outcome == "fails")
    bpy.ops.naval_checks.explain(index=index)
    assert chosen.active_verdict == index
    labels = words("Criteria")
    for part in ("Required, at least 9.000 m", "Attained", "Margin", verdicts[index].reason[:12]):
        assert part in labels
    bpy.ops.naval_checks.explain(index=index)
    assert "Required, at least 9.000 m" not in words("Criteria")
    assert "Criteria checked:" in words("Floating Position")
    assert "; custom criteria. " in words("Floating Position")


def test_no_codes_no_verdicts(outfitted: bpy.types.Object) -> None:
    settings(outfitted).criteria.use_codes = True
    ships.floated(outfitted)
    assert UNCHECKED in words("Criteria") and UNCHECKED in words("Floating Position")
    assert len(drawn("Criteria to Check")) > len(CODES)


def test_figures_of_two_sides_fit(outfitted: bpy.types.Object) -> None:
    """Name and figure fit side by side in a sidebar of the default width, without an icon."""
    side = ships.floated(outfitted).assessment.stability.port
    for system in ("METRIC", "IMPERIAL"):
        bpy.context.scene.unit_settings.system = system
        for name, value in stability.side_rows(side, wording.Units.of(bpy.context.scene), True):
            blf.size(wording.FONT, 11)
            width = sum(blf.dimensions(wording.FONT, text)[0] for text in (name, value))
            assert width <= 280 - wording.MARGIN + ICON, (name, value)


def test_service_lists_every_fact(outfitted: bpy.types.Object) -> None:
    assert {*drawn("Service")} == {
        scene_mass_of(field.name) if field.unit == Unit.MASS else field.name
        for field in SERVICE.fields
    }


@pytest.mark.parametrize("measure", MEASURES, ids=lambda measure: measure.word)
def test_settings_of_an_own_criterion(outfitted: bpy.types.Object, measure: Choice) -> None:
    bpy.ops.naval_checks.edit_list(which="CRITERIA", action="ADD")
    rule = settings(outfitted).custom_criteria[0]
    rule.measure = measure.identifier
    labels = drawn("Criteria to Check")
    assert f"at_least_{measure.unit.name.lower()}" in labels
    assert ("at" in labels) == (measure.word == "GZ")
    assert ("start" in labels) == (measure.word in ("maximum GZ", "area"))
    assert ("end" in labels) == (measure.word == "area")
    assert ("moment" in labels) == (measure.word == "heel under moment")


def test_conditions_are_drawn_and_compared(outfitted: bpy.types.Object) -> None:
    assert "None yet" in words("Loading Conditions")
    bpy.ops.naval_checks.edit_list(which="CONDITIONS", action="ADD")
    labels = drawn("Loading Conditions")
    assert {"loading", "mass_margin", "kg_margin"} <= {*filter(is_text, labels)}
    for name in ("ship", "boxes", "fuel"):
        assert (Ops.TOGGLE_LOADED, name) in labels
    assert (Ops.TOGGLE_GROUP_LOADED, "Group cargo") in labels and "50 %" in labels
    bpy.ops.naval_checks.toggle_loaded(object_name="fuel", custom_fill=True)
    assert "fill" in drawn("Loading Conditions")
    bpy.ops.naval_checks.toggle_group_loaded(group="cargo")
    settings(bpy.data.objects["boxes"]).group = ""
    assert (Ops.TOGGLE_GROUP_LOADED, "Group cargo (unused)") in drawn("Loading Conditions")
    assert "Max GZ" not in drawn("Loading Conditions")
    bpy.ops.naval_checks.compare()
    labels = words("Loading Conditions")
    for part in ("Draft GM Max GZ", "As modeled: 4144 kg: afloat", "Condition: 4144 kg: afloat"):
        assert part in labels
    floating = session.entry_for(outfitted).floating
    assert f" {wording.Units.of(bpy.context.scene).length(floating.GM_fluid)} " in labels
    assert "Condition" in drawn("Floating Position")
    settings(bpy.data.objects["ship"]).weight.mass = 50000
    assert "changed since computed" in words("Loading Conditions")
    bpy.ops.naval_checks.compare()
    assert ": sinks" in words("Loading Conditions")
    assert "The vessel sinks" in words("Stability")
    bpy.ops.naval_checks.clear()
    for label in PANELS:
        drawn(label)


@pytest.mark.parametrize("system", ("METRIC", "IMPERIAL"))
def test_outfitted_ship_in_any_units(outfitted: bpy.types.Object, system: str) -> None:
    bpy.context.scene.unit_settings.system = system
    bpy.ops.naval_checks.edit_list(which="CONDITIONS", action="ADD")
    bpy.ops.naval_checks.compare()
    scene_settings(bpy.context.scene).use_held_heel = True
    for name in ("box", "fuel", "vent", "house", "ship"):
        ships.activate(bpy.data.objects[name])
        for label in PANELS:
            drawn(label)
    assert ("°" in words("Stability")) and ("' " in words("Stability")) == (system == "IMPERIAL")


@pytest.mark.parametrize("kind", (NAVAL_CHECKS_UL_tanks, NAVAL_CHECKS_UL_openings))
def test_lists_of_parts(outfitted: bpy.types.Object, kind: Any) -> None:
    for obj in bpy.context.scene.objects:
        layout = Layout()
        if is_part(obj, *kind.roles):
            kind.draw_item(None, context(), layout, None, obj, 0, None, "", 0, 0)
            assert layout.labels[0] == "name" and len(layout.labels) == 2


def test_show_opening_selects_it(outfitted: bpy.types.Object) -> None:
    ships.floated(outfitted)
    bpy.ops.naval_checks.show_opening(opening="vent", place=(3, 0.8, 1.2))
    assert bpy.context.selected_objects == [bpy.data.objects["vent"]]
    bpy.ops.naval_checks.show_opening(opening="open edge of the hull", place=(0, 0, 1))
    assert bpy.context.selected_objects == [bpy.data.objects["vent"]]


def watertight() -> bpy.types.Object:
    """The box with a weight, a bulkhead, a marked compartment and a hole."""
    hull = ships.hull()
    settings(hull).form.forward, settings(hull).form.up = "X", "Z"
    ships.weight("ship", 3000, (3, 1, 0.3))
    boundary = ships.mesh_object(
        "aft", ((2, 0, 0), (2, 2, 0), (2, 2, 1), (2, 0, 1)), ((0, 1, 2, 3),)
    )
    settings(boundary).role = Role.BOUNDARY
    for name, place, role in (
        ("hold", (3, 1, 0.5), Role.COMPARTMENT),
        ("gash", (3, 0, 0.1), Role.BREACH),
        ("way", (2, 1, 0.1), Role.DOOR),
    ):
        obj = bpy.data.objects.new(name, None)
        bpy.context.scene.collection.objects.link(obj)
        obj.location, settings(obj).role = place, role
    settings(bpy.data.objects["way"]).door.closed = True
    bpy.context.view_layer.update()
    ships.activate(hull)
    return hull


def test_compartments_as_found() -> None:
    watertight()
    assert "Compartments not found yet" in words("Compartments")
    assert "Find the compartments first" in words("Flooding")
    bpy.ops.naval_checks.find_compartments()
    labels = words("Compartments")
    assert "NAVAL_CHECKS_UL_compartments" in labels and "Compartments not found yet" not in labels
    bpy.ops.naval_checks.show_compartment(compartment="hold")
    labels = words("Compartments")
    assert "hold Volume 8.00 m³" in labels and "Bounded by box, aft" in labels
    bpy.context.scene.unit_settings.scale_length = 0.5
    assert "Changed since the compartments were found" in words("Compartments")
    bpy.ops.naval_checks.compute()
    assert "Changed since the compartments were found" in words("Compartments")
    bpy.ops.naval_checks.find_compartments()
    assert "Changed since the compartments were found" not in words("Compartments")
    bpy.data.objects["aft"].location.x = 0.5
    bpy.context.view_layer.update()
    assert "Changed since the compartments were found" in words("Compartments")


@pytest.mark.parametrize(
    ("name", "shown"),
    (
        ("hold", ("use", "use_permeability", "air_trapped", "pump")),
        ("way", ("closed", "height", "area", "compartments_1")),
        ("aft", ("hull",)),
    ),
)
def test_settings_of_what_parts_it(name: str, shown: tuple[str, ...]) -> None:
    watertight()
    ships.activate(bpy.data.objects[name])
    assert {*shown} <= {part for part in drawn("Compartments") if isinstance(part, str)}


def test_a_value_that_may_be_left_out_is_behind_a_switch() -> None:
    watertight()
    way = bpy.data.objects["way"]
    ships.activate(way)
    assert "discharge_coefficient" not in drawn("Compartments")
    settings(way).door.use_discharge_coefficient = True
    assert {"use_discharge_coefficient", "discharge_coefficient"} <= {
        *map(str, drawn("Compartments"))
    }


def test_floodings_in_a_table() -> None:
    watertight()
    bpy.ops.naval_checks.find_compartments()
    assert Ops.FLOOD in drawn("Flooding")
    bpy.ops.naval_checks.flood_each()
    labels = words("Flooding")
    assert "Survives 2 of 2" in labels or "Survives 1 of 2" in labels
    assert "space 1: " in labels and "s-Factor" in labels
    assert Ops.TIME_TO_FLOOD in drawn("Flooding")
    assert "Through 'gash'" in words("Flooding")


def test_a_gap_between_compartments_is_reported_of_the_one_chosen() -> None:
    watertight()
    corners = [
        (2, y, z)
        for low, high in ((0, 1), (0.25, 0.75))
        for y, z in ((2 * low, low), (2 * high, low), (2 * high, high), (2 * low, high))
    ]
    frame = [(i, (i + 1) % 4, (i + 1) % 4 + 4, i + 4) for i in range(4)]
    bpy.data.objects["aft"].data.clear_geometry()
    bpy.data.objects["aft"].data.from_pydata(corners, [], frame)
    bpy.context.view_layer.update()
    bpy.ops.naval_checks.find_compartments()
    hull, plan = (
        bpy.data.objects["box"],
        known_compartments.divided_of(bpy.data.objects["box"]).plan,
    )
    joined = "A gap in 'aft', 0.5 m², connects it to "
    assert len(plan.compartments) == 2 and joined not in words("Compartments")
    for name, other in (("hold", "space 1"), ("space 1", "hold")):
        known_compartments.choose_compartment(hull.session_uid, name)
        assert joined + other in words("Compartments")


def test_a_margin_line_under_water_is_reported_of_a_survivor() -> None:
    hull = watertight()
    bpy.ops.naval_checks.find_compartments()
    bpy.ops.naval_checks.flood_each()
    entry, why = session.entry_for(hull), "Floats with its deck margin line immersed"
    for margin, shown in ((0.1, False), (-0.1, True)):
        found = [
            replace(each, survives=True, residual_freeboard=margin, explanation=why)
            for each in entry.floodings
        ]
        session.hurt(entry, floodings=tuple(found), shown=None)
        assert (why in words("Flooding")) == shown


def test_what_is_left_on_the_timeline_can_be_taken_off() -> None:
    watertight()
    scene_settings(bpy.context.scene).play_flooding = True
    assert Ops.STOP_FLOODING in drawn("Flooding")
    bpy.ops.naval_checks.find_compartments()
    assert Ops.STOP_FLOODING in drawn("Flooding")
    bpy.ops.naval_checks.stop_flooding()
    assert Ops.STOP_FLOODING not in drawn("Flooding")


def test_soundings_of_a_tank() -> None:
    ships.floated(ships.outfitted())
    ships.activate(bpy.data.objects["fuel"])
    labels = words("Tanks")
    assert "Soundings Level Volume Mass Moment" in labels
    assert "0.200 m 640 L 544 kg 0.58" in labels
    assert "Moment: free surface moment, in t·m" in labels
    bpy.context.scene.unit_settings.system = "IMPERIAL"
    ships.floated(bpy.data.objects["box"])
    labels = words("Tanks")
    assert '7.87" 22.6 ft³ 1199 lb 2.1 ' in labels and "in tn·ft" in labels


def test_advice_and_floodable_length() -> None:
    watertight()
    bpy.ops.naval_checks.suggest_bulkheads(count=3)
    bpy.ops.naval_checks.find_floodable_length()
    labels = words("Compartments")
    found = session.entry_for(bpy.data.objects["box"]).damage.subdivision.curve
    assert found.permeability == pytest.approx(0.95)
    for x in (1.5, 3.0, 4.5):
        assert f"x {x:.3f} m {found.at(x):.3f} m" in labels
    assert reads(labels, "Survives any one compartment") and "Changed since" not in labels
    bpy.ops.naval_checks.add_suggested_bulkheads()
    ships.activate(bpy.data.objects["box"])
    bpy.context.view_layer.update()
    labels = words("Compartments")
    assert "Changed since" not in labels and "Each compartment survives flooding" in labels
    (bulkhead, *_) = session.entry_for(bpy.data.objects["box"]).damage.subdivision.bulkheads
    aft, forward = bulkhead.permissible_range
    assert f"Bulkhead 1 {bulkhead.x:.3f} m {aft:.3f} m {forward:.3f} m" in labels
    for name in ("aft", "Bulkhead 2", "Bulkhead 3"):
        settings(bpy.data.objects[name]).role = Role.NONE
    _, long = session.entry_for(bpy.data.objects["box"]).damage.subdivision.main_compartments
    labels = words("Compartments")
    named = f"{long.length:.3f} m, permissible {long.allowed:.3f} m"
    assert f"forward of Bulkhead 1 is too long: {named}" in labels
    assert Ops.SHOW_MAIN_COMPARTMENT in {part[0] for part in drawn("Compartments")}
    bpy.data.objects["ship"].location.x += 0.5
    bpy.context.view_layer.update()
    assert "Changed since suggested" in words("Compartments")


def test_compartments_of_a_condition() -> None:
    hull = watertight()
    settings(hull).conditions.add().name = "Holed"
    settings(hull).active_condition = 0
    assert (Ops.TOGGLE_LOADED, "hold") in drawn("Loading Conditions")


def test_a_narrow_list_of_compartments_keeps_to_their_names() -> None:
    watertight()
    bpy.ops.naval_checks.find_compartments()
    row = compartment_list.compartment_rows_of_window().compartments[0]
    for width, shown in ((280, True), (180, False)):
        layout, here = Layout(), context()
        here.region.width = width * SCALE
        drawing = SimpleNamespace()
        compartment_list.NAVAL_CHECKS_UL_compartments.draw_item(
            drawing, here, layout, None, row, 0, None, "", 0, 0
        )
        assert "name" in layout.labels and any("m³" in str(part) for part in layout.labels) == shown

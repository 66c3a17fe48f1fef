"""Parts on both sides: a case that says so is the case with both given one by one."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from addon.blender.viewport.shapes import Show
from addon.blender.viewport.vessel_shapes import drawing
from addon.core.advice.list_and_trim import correct_list, correct_trim
from addon.core.advice.metacentric_height import correct_GM
from addon.core.compartments.find_compartments import find_compartments
from addon.core.criteria.assessment import assess
from addon.core.damage.flooding import flood
from addon.core.hydrostatics.floating_position import find_floating_position
from addon.core.hydrostatics.upright import upright_GM
from addon.core.model.case import Case
from addon.core.model.conditions import Condition
from addon.core.model.hull import build_hull
from addon.core.model.loaded_case import in_condition
from addon.core.model.mirrored_parts import base_name, mirrored_pair, names_by_side
from addon.core.model.openings import Opening
from addon.core.model.weights import Weight, combined, solid_weight
from addon.files.obj import PolygonMesh, obj_text
from addon.parts.case_file import read_case
from addon.parts.case_writer import write_case
from addon.parts.declarations import (
    BoundaryEntry,
    CaseEntry,
    HullEntry,
    OpeningEntry,
    TankEntry,
    WeightEntry,
    WindageEntry,
)
from addon.parts.places import Box, Plane
from addon.parts.weight_list import ListedWeight, parse_weight_list, weight_list_text
from tests.bodies import Body, box, mesh, mirror, moved, prism
from tests.language import names, reads, refused

LENGTH, BREADTH, DEPTH = 12.0, 4.0, 3.0
BARGE = box(LENGTH, BREADTH, DEPTH)
WEDGE = moved(prism([(0.0, 0.0), (0.4, 0.0), (0.4, 0.9)], 2.0), (5.0, 0.8, 1.2))
PORTHOLE: Body = (
    np.array([(6.0, 2.0, 2.2), (6.4, 2.0, 2.2), (6.4, 2.0, 2.6), (6.0, 2.0, 2.6)]),
    ((0, 1, 2, 3),),
)
HEAD = 'title = "Barge"\n[hull]\nmesh = "hull.obj"\n'
STEEL = '[[weight]]\nname = "steel"\nmass_kg = 60000.0\nposition_m = [6.0, 0.1, 1.2]\n'
PARTS = {
    "weight": 'mass_kg = 2500.0\nposition_m = [8.0, {y}1.2, 0.7]\ngroup = "cargo"',
    "weight skin": 'mesh = "{side}wedge.obj"\nareal_density_kg_m2 = 80.0',
    "weight solid": 'mesh = "{side}wedge.obj"\nsolid_density_kg_m3 = 650.0',
    "tank": "box_m = [[2.0, {y}0.9, 0.2], [3.5, {y}1.9, 1.7]]\ndensity_kg_m3 = 850.0\nfill = 0.6",
    "tank mesh": 'mesh = "{side}wedge.obj"\ndensity_kg_m3 = 1000.0\nfill = 0.4',
    "opening": "position_m = [3.0, {y}1.9, 3.1]\narea_m2 = 0.02",
    "opening mesh": 'mesh = "{side}port.obj"',
    "windage": "box_m = [[4.0, {y}0.5, 3.0], [6.0, {y}1.5, 4.5]]",
}
"""Parts of each kind at `y`, nothing or a minus, with meshes named so for the other side."""


def saved(folder: Path, text: str) -> Case:
    """The case of the barge and its parts in a folder."""
    folder.mkdir(exist_ok=True)
    for name, body in (
        ("hull", BARGE),
        ("wedge", WEDGE),
        ("-wedge", mirror(WEDGE)),
        ("port", PORTHOLE),
        ("-port", mirror(PORTHOLE)),
    ):
        (folder / f"{name}.obj").write_text(obj_text(PolygonMesh(name, *body)))
    (folder / "case.toml").write_text(HEAD + text)
    return read_case(folder / "case.toml")


def table(kind: str, name: str, side: str, more: str = "") -> str:
    body = PARTS[kind].format(y=side, side=side)
    return f'[[{kind.split(maxsplit=1)[0]}]]\nname = "{name}"\n{body}\n{more}\n'


def on_both(kind: str, name: str = "part") -> str:
    return table(kind, name, "", "both_sides = true")


def one_by_one(kind: str, name: str = "part") -> str:
    return table(kind, f"{name} (port)", "") + table(kind, f"{name} (starboard)", "-")


def figures(case: Case) -> np.ndarray:
    """How it floats and rights itself to either side, all on board, and the wind's share."""
    ship = assess(case, np.radians(np.arange(0.0, 61.0, 10.0))).stability
    rest = ship.floating.equilibrium
    assert rest
    return np.concatenate(
        [
            [ship.floating.weight.mass, *ship.floating.weight.center, ship.floating.GM_fluid],
            combined(case.weights).inertia.ravel() / 1e3,
            rest.attitude.up,
            *(side.gz_curve.gz for side in (ship.port, ship.starboard)),
            [min(side.downflooding_angle, 9.0) for side in (ship.port, ship.starboard)],
            np.sort(case.windage[:, :, 1].max(axis=1)),
        ]
    )


def gathered(case: Case) -> list[str]:
    return [thing.name for thing in (*case.weights, *case.tanks, *case.openings)]


@pytest.mark.slow
@pytest.mark.parametrize("kind", PARTS)
def test_a_part_on_both_sides_is_the_two_of_them(tmp_path: Path, kind: str) -> None:
    """The steel lies off the centerline, so that the sides differ."""
    both = saved(tmp_path / "both", STEEL + on_both(kind))
    apart = saved(tmp_path / "apart", STEEL + one_by_one(kind))
    single = figures(saved(tmp_path / "single", STEEL + table(kind, "part", "")))
    assert gathered(both) == gathered(apart)
    assert figures(both) == pytest.approx(figures(apart), rel=1e-11, abs=1e-11)
    assert len(single) != len(figures(both)) or np.abs(single - figures(both)).max() > 1e-3


def test_mirror_images_are_outward(tmp_path: Path) -> None:
    case = saved(tmp_path, STEEL + on_both("tank mesh") + on_both("weight solid"))
    volume = 2.0 * 0.4 * 0.9 / 2
    assert [tank.body.volume for tank in case.tanks] == pytest.approx([volume, volume])
    port, starboard = case.weights[1:]
    direct = mesh(mirror(WEDGE))
    assert starboard.inertia == pytest.approx(
        solid_weight("", direct.vertices, direct.triangles, 650.0).inertia
    )
    assert np.abs(port.inertia - starboard.inertia).max() > 1.0
    assert port.center * (1, -1, 1) == pytest.approx(starboard.center)


def test_two_wing_tanks_on_paper(tmp_path: Path) -> None:
    """A symmetric barge stays upright; free surfaces take 2 i rho / displacement off GM, i that of
    a rectangle, 1.5 x 1.0^3 / 12 (common practice)."""
    steel = STEEL.replace("0.1", "0.0")
    case = saved(tmp_path, steel + on_both("tank") + on_both("weight"))
    ship = find_floating_position(case)
    assert ship.equilibrium and ship.equilibrium.attitude.heel_rad == pytest.approx(0.0, abs=1e-12)
    liquid = 850.0 * 0.6 * 1.5 * 1.0 * 1.5
    mass = 60_000.0 + 2 * 2500.0 + 2 * liquid
    assert ship.weight.mass == pytest.approx(mass)
    loss = 2 * 850.0 * 1.5 * 1.0**3 / 12 / mass
    assert upright_GM(replace(case, tanks=())) != pytest.approx(upright_GM(case), abs=loss)
    assert ship.GM - ship.GM_fluid == pytest.approx(loss, rel=1e-4)


@pytest.mark.parametrize(
    ("reported", "fault"),
    [
        (
            '[[weight]]\nname = "a"\nmass_kg = 9.0\nposition_m = [1.0, 0.0, 1.0]\n',
            "weight 'a' is to be on both sides: it lies on the centerline",
        ),
        (
            '[[weight]]\nname = "a"\nmesh = "hull.obj"\nareal_density_kg_m2 = 9.0\n',
            "weight 'a' is to be on both sides: it reaches over the centerline, from "
            "y -2.00 m to 2.00 m",
        ),
        (
            '[[tank]]\nname = "a"\nbox_m = [[1, -0.1, 0], [2, 1, 1]]\ndensity_kg_m3 = 1.0\n',
            "tank 'a' is to be on both sides: it reaches over the centerline, from y -0.10 m to "
            "1.00 m, and its mirror image would overlap it; move it aside or leave it single",
        ),
        (
            '[[opening]]\nname = "a"\nposition_m = [1.0, 1e-6, 3.0]\n',
            "opening 'a' is to be on both sides: it lies on the centerline",
        ),
        (
            '[[windage]]\nname = "a"\nbox_m = [[1, -1, 3], [2, 1, 4]]\n',
            "windage 'a' is to be on both sides: it reaches over the centerline",
        ),
        (
            '[[boundary]]\nname = "a"\nx_m = 3.0\n',
            "boundary 'a' is to be on both sides: it reaches over",
        ),
        (
            '[[boundary]]\nname = "a"\ny_m = 0.0\n',
            "boundary 'a' is to be on both sides: it lies on the",
        ),
        (
            '[[compartment]]\nname = "a"\nposition_m = [1.0, 0.0, 1.0]\n',
            "compartment 'a' is to be on both sides: it lies on the centerline",
        ),
        (
            '[[door]]\nname = "a"\nposition_m = [1.0, 0.0, 1.0]\narea_m2 = 1.0\n',
            "door 'a' is to be on both sides: it lies on the centerline",
        ),
    ],
)
def test_what_is_on_the_centerline_has_no_mirror_image(
    tmp_path: Path, reported: str, fault: str
) -> None:
    with refused(re.escape(fault)):
        saved(tmp_path, STEEL + reported + "both_sides = true\n")
    saved(tmp_path, STEEL + reported)


def test_a_tank_may_touch_the_centerline(tmp_path: Path) -> None:
    reported = '[[tank]]\nname = "a"\nbox_m = [[1, -1e-7, 0], [2, 1, 1]]\ndensity_kg_m3 = 1e3\n'
    case = saved(tmp_path, STEEL + reported + "both_sides = true\n")
    volumes = {
        compartment.name: compartment.volume for compartment in find_compartments(case).compartments
    }
    assert volumes["a (port)"] == pytest.approx(1.0) == volumes["a (starboard)"]


# Rooms -----------------------------------------------------------------------------------------

COMPARTMENTS = """\
[[boundary]]
name = "side"
y_m = 1.0
both_sides = true
[[compartment]]
name = "wing"
position_m = [6.0, -1.5, 1.0]
use = "stores"
both_sides = true
[[door]]
name = "door"
position_m = [3.0, 1.0, 0.5]
area_m2 = 0.5
compartments = ["wing", "space 1"]
both_sides = true
[[opening]]
name = "hatch"
position_m = [6.0, -1.5, 3.0]
area_m2 = 0.3
compartments = ["wing"]
both_sides = true
[[opening]]
name = "vent"
position_m = [9.0, 1.5, 3.0]
compartments = ["wing (port)"]
[[condition]]
name = "holed"
flooded = ["wing"]
"""


def test_compartments_and_ways_on_both_sides(tmp_path: Path) -> None:
    """One boundary at 1 m to either side parts 4 m in 1, 2 and 1; marked to starboard, named
    both."""
    case = saved(tmp_path, STEEL + COMPARTMENTS)
    plan = find_compartments(case)
    volumes = {compartment.name: compartment.volume for compartment in plan.compartments}
    wing, middle = LENGTH * DEPTH * 1.0, LENGTH * DEPTH * 2.0
    assert volumes == pytest.approx(
        {"wing (starboard)": wing, "space 1": middle, "wing (port)": wing}
    )
    assert {compartment.use for compartment in plan.compartments} == {"stores", "void"}
    assert [boundary.name for boundary in case.boundaries] == ["side"]
    ways = {way.name: way for way in (*case.openings, *case.doors)}
    for side, sign in (("port", 1), ("starboard", -1)):
        assert ways[f"door ({side})"].compartments == (f"wing ({side})", "space 1")
        assert ways[f"door ({side})"].point == pytest.approx([3.0, sign * 1.0, 0.5])
        assert ways[f"hatch ({side})"].compartments == (f"wing ({side})",)
        assert ways[f"hatch ({side})"].point == pytest.approx([6.0, sign * 1.5, 3.0])
    assert ways["vent"].compartments == ("wing (port)",)
    assert in_condition(case, case.conditions[0]).flooded == ("wing (port)", "wing (starboard)")
    assert {*flood(case, plan, ["space 1"]).compartments} == {*volumes}


def test_a_way_leads_into_what_lies_on_its_own_side(tmp_path: Path) -> None:
    def led(reported: str) -> tuple[Opening, ...]:
        return saved(tmp_path, STEEL + COMPARTMENTS + reported).openings[3:]

    head = '[[opening]]\nname = "pipe"\n'
    (single,) = led(f'{head}position_m = [5.0, -1.5, 3.0]\ncompartments = ["wing"]\n')
    assert single.compartments == ("wing (starboard)",)
    port, starboard = led(
        f'{head}position_m = [5.0, 1.5, 3.0]\ncompartments = ["wing (port)"]\nboth_sides = true\n'
    )
    assert (port.compartments, starboard.compartments) == (("wing (port)",), ("wing (starboard)",))
    with refused("opening 'pipe' is on the centerline, and the compartment"):
        led(f'{head}position_m = [5.0, 0.0, 3.0]\ncompartments = ["wing"]\n')


# Names -----------------------------------------------------------------------------------------


def test_names_tell_the_side() -> None:
    assert names_by_side("fuel") == ("fuel (port)", "fuel (starboard)")
    assert [base_name(name) for name in ("fuel (port)", "fuel", "(port)")] == [
        "fuel",
        "fuel",
        "(port)",
    ]


@pytest.mark.parametrize(
    ("compartments", "into"), [(("wing",), "wing (starboard)"), ((), "wing (port)")]
)
def test_the_other_side_is_that_of_a_known_pair(compartments: tuple[str, ...], into: str) -> None:
    """A compartment that is no pair stays the same, whatever its name."""
    hull = build_hull(mesh(box(10, 4, 3), "box"))
    vent = Opening("vent", np.array([5.0, 1.0, 3.0]), compartments=("wing (port)",))
    port, starboard = mirrored_pair(vent, hull, compartments)
    assert port.compartments == ("wing (port)",)
    assert starboard.compartments == (into,)


def condition(reported: str) -> str:
    return (
        on_both("tank", "fuel")
        + on_both("weight", "crew")
        + f'[[condition]]\nname = "c"\n{reported}'
    )


@pytest.mark.parametrize(
    ("reported", "fills"),
    [
        ("fill = {fuel = 0.1}", (0.1, 0.1)),
        ('fill = {"fuel (starboard)" = 0.1}', (0.6, 0.1)),
        ('fill = {"fuel (port)" = 0.9, fuel = 0.1}', (0.9, 0.1)),
    ],
)
def test_a_condition_fills_both_or_one(
    tmp_path: Path, reported: str, fills: tuple[float, float]
) -> None:
    case = saved(tmp_path, STEEL + condition(reported))
    there = in_condition(case, case.conditions[0])
    assert tuple(tank.fill for tank in there.tanks) == fills


@pytest.mark.parametrize(
    ("reported", "left"),
    [
        ('without = ["crew"]', ["steel", "fuel (port)", "fuel (starboard)"]),
        ('without = ["crew (port)", "fuel"]', ["steel", "crew (starboard)"]),
    ],
)
def test_a_condition_leaves_both_or_one_ashore(
    tmp_path: Path, reported: str, left: list[str]
) -> None:
    case = saved(tmp_path, STEEL + condition(reported))
    assert gathered(in_condition(case, case.conditions[0])) == left


def test_names_that_clash_or_are_not_there(tmp_path: Path) -> None:
    twice = on_both("tank", "fuel") + table("tank", "fuel (port)", "")
    with refused(r"tank 'fuel \(port\)' is named twice"):
        saved(tmp_path, STEEL + twice)
    flooded = 'flooded = ["fuel", "fuel (port)"]'
    with refused(r"'fuel \(port\)' is flooded twice"):
        saved(tmp_path, STEEL + condition(flooded))
    with refused(r"no tank 'fuell'; there are 'fuel \(port\)', '"):
        saved(tmp_path, STEEL + condition("fill = {fuell = 0.1}"))
    with refused("true or false"):
        saved(tmp_path, STEEL + table("tank", "fuel", "", "both_sides = 1"))


# Lists and files -------------------------------------------------------------------------------


def test_a_row_of_a_weight_list_tells_both(tmp_path: Path) -> None:
    rows = "name,mass_kg,x_m,y_m,z_m,both_sides\ncrew,75,4,0.5,1,TRUE\nmate,80,4,0.5,1,\n"
    (tmp_path / "weights.csv").write_text(rows)
    saved(tmp_path, STEEL)
    path = tmp_path / "case.toml"
    path.write_text('weight_list = "weights.csv"\n' + path.read_text())
    case = read_case(path)
    assert [weight.name for weight in case.weights[1:]] == [
        "crew (port)",
        "crew (starboard)",
        "mate",
    ]
    assert combined(case.weights[1:3]).center == pytest.approx([4, 0, 1])
    again = parse_weight_list(weight_list_text(parse_weight_list(rows)))
    assert [weight.both_sides for weight in again] == [True, None]
    with refused("row 2: both_sides is 'yes'; it should be true, false"):
        parse_weight_list(rows.replace("TRUE", "yes"))


def test_a_list_without_pairs_has_no_column_for_them() -> None:
    text = weight_list_text([ListedWeight("crew", 75.0, np.ones(3), both_sides=False)])
    assert text.splitlines()[0] == "name,mass_kg,x_m,y_m,z_m,group"


def test_a_written_case_reads_back_with_its_pairs(tmp_path: Path) -> None:
    block = Box((2.0, 0.9, 0.2), (3.5, 1.9, 1.7))
    fuel = TankEntry("fuel", block, 850.0, 0.6, both_sides=True)
    deckhouse = Box((4.0, 0.5, 3.0), (6.0, 1.5, 4.5))
    entry = CaseEntry(
        HullEntry(PolygonMesh("hull", *BARGE)),
        tanks=(TankEntry("day", block, 850.0), fuel),
        openings=(OpeningEntry("port", PolygonMesh("port", *PORTHOLE), both_sides=True),),
        windage=(WindageEntry("box", deckhouse, both_sides=True),),
        boundaries=(BoundaryEntry("side", Plane(1, 1.0), both_sides=True),),
        weights=(
            WeightEntry("steel", (6.0, 0.0, 1.2), 6e4),
            WeightEntry("crew", (4.0, 0.5, 1.0), 75.0, both_sides=True),
        ),
    )
    case = read_case(write_case(tmp_path / "ship", entry)[0])
    assert gathered(case) == [
        *("steel", "crew (port)", "crew (starboard)"),
        *("day", "fuel (port)", "fuel (starboard)"),
        *("port (port)", "port (starboard)"),
    ]
    assert len(case.windage) == 24 and len(case.boundaries[0].triangles) == 4
    there = case.openings[1]
    assert there.point == pytest.approx([6.2, -2.0, 2.2])
    assert there.corners[:, 1] == pytest.approx(np.full(len(there.corners), -2.0))


def test_both_of_a_pair_of_weights_are_drawn(tmp_path: Path) -> None:
    """Others have objects of their own to be seen."""
    case = saved(tmp_path, STEEL + on_both("weight"))
    marks = drawing(find_floating_position(case, seek_others=False), Show(), str).marks
    centers = [mark.at.tolist() for mark in marks if mark.kind == "weight"]
    assert centers == [[8.0, 1.2, 0.7], [8.0, -1.2, 0.7]]


# Advice ----------------------------------------------------------------------------------------


def laden(*others: Weight) -> Case:
    hull = build_hull(mesh(box(20.0, 5.0, 3.0)))
    crates = mirrored_pair(Weight("crates", 9000.0, np.array([4.0, 1.5, 1.5])), hull)
    own = Weight("hull", 60_000.0, np.array([10.0, 0.0, 1.5]), fixed=True)
    return Case("barge", hull, (own, *crates, *others))


def test_a_pair_is_not_moved_against_a_list() -> None:
    ship = find_floating_position(
        laden(Weight("engine", 2000.0, np.array([8.0, 0.5, 1.0]))), seek_others=False
    )
    (remedy,) = correct_list(ship)
    assert names(remedy.text) == ["engine"] and remedy.shift == pytest.approx([0.0, -0.5, 0.0])
    assert reads(remedy.text, "Moving 'engine' 0.50 m to starboard")
    apart = laden(Weight("hull 2", 2000.0, np.array([8.0, 0.5, 1.0]), fixed=True))
    (words,) = correct_list(find_floating_position(apart, seek_others=False))
    assert words.weight is None


def test_a_pair_is_moved_together_against_trim() -> None:
    ship = find_floating_position(laden(), seek_others=False)
    (remedy,) = correct_trim(ship)
    assert names(remedy.text) == ["crates"] and remedy.shift == pytest.approx([6.0, 0.0, 0.0])
    assert reads(remedy.text, "Moving 'crates' 6.00 m forward brings the vessel to an even keel")
    there = remedy.applied(ship.case)
    assert [weight.center[0] for weight in there.weights] == pytest.approx([10.0] * 3)
    assert there.load.solid.center == pytest.approx([10.0, 0.0, 1.5])


def test_the_margin_goes_with_a_pair() -> None:
    """A tenth more of all weights lies at their common center, which follows."""
    ship = find_floating_position(
        in_condition(laden(), Condition("spare", mass_margin=0.1)), seek_others=False
    )
    (remedy,) = correct_trim(ship)
    assert names(remedy.text) == ["crates"] and remedy.shift == pytest.approx([6.0, 0.0, 0.0])
    assert reads(remedy.text, "Moving 'crates' 6.00 m forward brings the vessel to an even keel")
    assert remedy.applied(ship.case).load.solid.center == pytest.approx([10.0, 0.0, 1.5])


def test_a_pair_is_lowered_together() -> None:
    ship = find_floating_position(laden(), seek_others=False)
    GM = upright_GM(ship.case) + 0.1
    remedy = next(iter(correct_GM(ship, GM)))
    assert names(remedy.text) == ["crates"]
    assert upright_GM(remedy.applied(ship.case)) == pytest.approx(GM, abs=1e-6)

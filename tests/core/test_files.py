"""Files in and out: axes, mesh formats, weight lists, cases written and read, results."""

from __future__ import annotations

import csv
import io
import json
import struct
from itertools import product
from pathlib import Path

import numpy as np
import pytest
import trimesh

from addon.core.buoyancy.attitude import Attitude
from addon.core.hydrostatics.floating_position import find_floating_position
from addon.core.hydrostatics.particulars import hydrostatics
from addon.core.model.axes import AXES, Axes
from addon.core.model.case import Case
from addon.core.model.hull import ReferencePlanes, build_hull
from addon.core.model.weights import Weight
from addon.examples.loader import EXAMPLES, load_example
from addon.files.mesh_file import read_mesh
from addon.files.obj import PolygonMesh, obj_text
from addon.parts.case_file import parse_case, read_case
from addon.parts.case_writer import write_case
from addon.parts.declarations import CaseEntry, HullEntry, WaterEntry, WeightEntry
from addon.parts.weight_list import parse_weight_list, weight_list_text
from addon.results.floating import csv_text, float_result, hydrostatics_result, json_text, plain
from tests.bodies import box, joined, moved, star, welded
from tests.bodies import mesh as meshed
from tests.language import refused

CONTRACT = """
    floats stable displacement_kg volume_m3 draft_aft_m draft_forward_m draft_mid_m trim_m trim_deg
    heel_deg G_m B_m F_m KB_m BM_m BML_m KM_m KG_m GM_solid_m GM_m GML_m waterplane_area_m2 TPC_t_cm
    MTC_tm_cm LWL_m BWL_m Cb Cp Cm Cwp wetted_surface_m2 freeboard_min_m warnings corrective_actions
""".split()


def drawn(body, name="hull"):
    return PolygonMesh(name, *body)


def save(path: Path, text: str) -> Path:
    path.write_text(text, encoding="utf-8")
    return path


def ply(body, form="ascii", extra=True) -> bytes:
    """PLY of a body, with colors that a reader must step over if `extra`."""
    vertices, polygons = body
    color = b"property uchar red\n" if extra else b""
    header = (
        f"ply\nformat {form} 1.0\ncomment invented\nelement vertex {len(vertices)}\n"
        "property double x\nproperty double y\nproperty double z\n"
    ).encode() + color
    header += f"element face {len(polygons)}\n".encode() + color
    header += b"property list uchar uint vertex_indices\nend_header\n"
    if form == "ascii":
        rows = [" ".join(map(repr, map(float, v))) + " 7" * extra for v in vertices]
        rows += ["7 " * extra + " ".join(map(str, (len(p), *p))) for p in polygons]
        return header + "\n".join(rows).encode() + b"\n"
    order = "<" if "little" in form else ">"
    tail = (7,) * extra
    shade = "B" * extra
    body_bytes = b"".join(struct.pack(f"{order}3d{shade}", *v, *tail) for v in vertices)
    return (
        header
        + body_bytes
        + b"".join(struct.pack(f"{order}{shade}B{len(p)}I", *tail, len(p), *p) for p in polygons)
    )


# Axes ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("forward,up", [p for p in product(AXES, AXES) if p[0][1] != p[1][1]])
def test_axes_turn_a_mesh_without_rounding_or_mirroring(forward, up):
    def unit(axis):
        return np.eye(3)["XYZ".index(axis[1])] * (1 if axis[0] == "+" else -1)

    axes = Axes(forward, up)
    turned = axes.turn(np.array([unit(forward), np.cross(unit(up), unit(forward)), unit(up)]))
    assert np.array_equal(turned, np.eye(3))
    points = np.random.default_rng(1).normal(size=(20, 3))
    assert np.array_equal(np.sort(np.abs(axes.turn(points))), np.sort(np.abs(points)))
    assert np.linalg.det(axes.turn(np.eye(3))) == pytest.approx(1)


# Meshes ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", EXAMPLES)
def test_obj_keeps_polygons_and_digits(tmp_path, key):
    hull = load_example(key).hull
    mesh = read_mesh(save(tmp_path / "hull.obj", obj_text(hull)))
    assert np.array_equal(mesh.vertices, hull.vertices)
    assert mesh.faces.max() + 1 == len(hull.polygons)
    assert len(mesh.triangles) == sum(len(p) - 2 for p in hull.polygons)


def test_obj_as_modellers_write_it(tmp_path):
    text = (
        "mtllib x.mtl\no one\nv 0 0 0 1.0 0.5 0.5\nv 1 0 0\nv 0 1 0\nvn 0 0 1\nvt 0 0\n"
        "usemtl red\nf 1/1/1 2//1 \\\n 3\no two\nv 0 0 1\nv 1 0 1\nv 0 1 1\nl 1 2\nf -3 -2 -1\n"
    )
    mesh = read_mesh(save(tmp_path / "HULL.OBJ", text))
    assert mesh.triangles.tolist() == [[0, 1, 2], [3, 4, 5]]
    assert mesh.vertices[0].tolist() == [0, 0, 0]


@pytest.mark.parametrize("form", ["ascii", "binary_little_endian", "binary_big_endian"])
@pytest.mark.parametrize("extra", [False, True])
def test_ply_keeps_mixed_polygons_and_digits(tmp_path, form, extra):
    rng = np.random.default_rng(2)
    body = rng.normal(size=(7, 3)), ((0, 1, 2), (3, 4, 5, 6), (0, 1, 2, 3, 4, 5))
    path = tmp_path / "hull.ply"
    path.write_bytes(ply(body, form, extra))
    mesh = read_mesh(path)
    assert np.array_equal(mesh.vertices, body[0])
    assert np.bincount(mesh.faces).tolist() == [1, 2, 4]


# A GLB stands with y up: of a box 10 x 4 x 3 m written so, x forward, port is -z.
@pytest.mark.parametrize(
    ("keys", "extent"),
    [
        ("", (10, 4, 3)),
        ('up = "+Y"\n', (10, 4, 3)),
        ('up = "+Z"\n', (10, 3, 4)),
        ('forward = "-Z"\n', (4, 10, 3)),
    ],
)
def test_a_glb_stands_with_y_up_unless_the_case_says_otherwise(tmp_path, keys, extent):
    """And the OBJ of a weight beside it with z up, as long as no axis is given."""
    vertices, polygons = moved(box(10, 4, 3), (0.0, 1.0, 0.0))
    save(tmp_path / "weight.obj", obj_text(drawn((vertices, polygons))))
    x, y, z = vertices.T
    triangles = meshed((vertices, polygons)).triangles
    body = trimesh.Trimesh(np.column_stack([x, z, -y]), triangles, process=False)
    (tmp_path / "hull.glb").write_bytes(trimesh.Scene([body]).export(file_type="glb"))
    weight = 'weight = [{mesh = "weight.obj", solid_density_kg_m3 = 1.0}]\n' * (not keys)
    case = read_case(save(tmp_path / "case.toml", f'{weight}[hull]\nmesh = "hull.glb"\n{keys}'))
    hull = case.hull
    assert (hull.length_overall, hull.breadth, hull.depth) == pytest.approx(extent)
    for each in case.weights:
        assert each.center == pytest.approx([5.0, 0.0, 1.5])


@pytest.mark.parametrize("kind", ["stl", "stl_ascii", "ply", "obj", "glb"])
def test_formats_agree_with_trimesh(tmp_path, kind):
    vertices, polygons = star(5)
    body = trimesh.Trimesh(vertices, polygons, process=False)
    path = tmp_path / f"hull.{kind.split('_')[0]}"
    content = body.export(file_type=kind)
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    mesh = read_mesh(path)
    assert len(mesh.triangles) == len(polygons)
    found = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)
    assert found.volume == pytest.approx(body.volume, rel=1e-6)
    assert found.bounds == pytest.approx(body.bounds, rel=1e-6)


def test_glb_scene_comes_with_its_transforms(tmp_path):
    aside = np.diag([-2.0, 1.0, 1.0, 1.0])
    aside[0, 3] = 10.0
    scene = trimesh.Scene([trimesh.creation.box()])
    scene.add_geometry(trimesh.creation.box(), transform=aside)
    path = tmp_path / "hull.glb"
    path.write_bytes(scene.export(file_type="glb"))
    mesh = read_mesh(path)
    found = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)
    assert found.volume == pytest.approx(3.0)
    assert found.bounds[1].tolist() == [11.0, 0.5, 0.5]


# Weight lists ----------------------------------------------------------------------------------


def test_weight_list_gives_the_last_digit_back():
    rng = np.random.default_rng(3)
    weights = [
        Weight(f'weight, "{i}"', float(mass), center, "a;b" if i % 2 else "")
        for i, (mass, center) in enumerate(
            zip(rng.lognormal(0, 9, 50), rng.normal(size=(50, 3)), strict=True)
        )
    ]
    for weight, again in zip(weights, parse_weight_list(weight_list_text(weights)), strict=True):
        assert (weight.name, weight.mass, weight.group) == (again.name, again.mass, again.group)
        assert np.array_equal(weight.center, again.center)


@pytest.mark.parametrize(
    "text",
    [
        "name,mass_kg,x_m,y_m,z_m\nengine,850.5,3.2,-0.25,0.6\n",
        "z_m, y_m ,x_m,group,mass_kg,name\r\n0.6,-0.25,3.2,,850.5,engine\r\n\r\n,,,,,\r\n",
        "name;mass_kg;x_m;y_m;z_m\nengine;850,5;3,2;-0,25;0,6\n",
        "name\tmass_kg\tx_m\ty_m\tz_m\nengine\t850.5\t3.2\t-0.25\t0.6",
    ],
)
def test_weight_list_as_spreadsheets_write_it(text):
    (weight,) = parse_weight_list(text)
    assert (weight.name, weight.mass, weight.group) == ("engine", 850.5, "")
    assert weight.center.tolist() == [3.2, -0.25, 0.6]


# Cases -----------------------------------------------------------------------------------------


def test_every_key_of_a_case():
    entry = parse_case(
        {
            "title": "Launch",
            "weight_list": "list.csv",
            "hull": {
                "mesh": "hull.obj",
                "forward": "-Y",
                "up": "+Z",
                "meters_per_unit": 0.001,
                "aft_perpendicular_x_m": 1,
                "forward_perpendicular_x_m": 11,
                "baseline_z_m": -0.5,
                "centerline_y_m": 0.25,
                "mirror": True,
            },
            "water": {"density_kg_m3": 1000},
            "weight": [
                {"name": "a", "mass_kg": 1, "position_m": [1, 2, 3], "group": "g"},
                {"mesh": "deck.obj", "areal_density_kg_m2": 20},
                {"name": "c", "mesh": "keel.obj", "solid_density_kg_m3": 7850.0},
            ],
        }
    )
    assert (entry.title, entry.weight_list, entry.water.density) == ("Launch", "list.csv", 1000.0)
    marks = {"aft_perpendicular_x": 1.0, "forward_perpendicular_x": 11.0, "baseline_z": -0.5}
    assert entry.hull == HullEntry(
        "hull.obj", "-Y", "+Z", 0.001, **marks, centerline_y=0.25, mirror=True
    )
    assert entry.weights == (
        WeightEntry("a", (1.0, 2.0, 3.0), 1.0, group="g"),
        WeightEntry("weight 2", "deck.obj", areal_density=20.0),
        WeightEntry("c", "keel.obj", solid_density=7850.0),
    )


def test_a_case_needs_no_more_than_a_mesh(tmp_path):
    save(tmp_path / "hull.obj", obj_text(drawn(box(10, 4, 3))))
    case = read_case(save(tmp_path / "pontoon.toml", '\ufeff[hull]\nmesh = "hull.obj"\n'))
    assert (case.title, case.water_density, case.weights) == ("pontoon", 1025.0, ())
    assert (case.hull.length_pp, case.hull.breadth, case.hull.depth) == (10, 4, 3)


def test_axes_units_and_marks_place_the_ship(tmp_path):
    """A box in millimeters that points along -Y with X up, against the same box as a ship."""
    vertices, polygons = box(10, 4, 3)
    x, y, z = ((vertices + [7.0, 1.0, 5.0]) * 1000).T
    save(tmp_path / "hull.obj", obj_text(drawn((np.column_stack([z, -x, -y]), polygons))))
    text = (
        'hull = {mesh = "hull.obj", forward = "-Y", up = "+X", meters_per_unit = 0.001, '
        "aft_perpendicular_x_m = 8.0, forward_perpendicular_x_m = 16.0, baseline_z_m = 5.5}\n"
    )
    hull = read_case(save(tmp_path / "case.toml", text)).hull
    assert hull.tree.low == pytest.approx([-1.0, -2.0, -0.5])
    assert hull.tree.high == pytest.approx([9.0, 2.0, 2.5])
    assert (hull.length_pp, hull.volume) == (pytest.approx(8), pytest.approx(120))


def test_mesh_weights_stand_where_the_hull_does(tmp_path):
    """Box 10 x 4 x 3 m as skin and as solid, by their closed forms."""
    shifted = moved(box(10, 4, 3), (100.0, -20.0, 7.0))
    save(tmp_path / "hull.obj", obj_text(drawn(shifted)))
    vertices, polygons = shifted
    save(tmp_path / "inward.obj", obj_text(drawn((vertices, tuple(p[::-1] for p in polygons)))))
    text = (
        'weight = [{name = "shell", mesh = "hull.obj", areal_density_kg_m2 = 30.0}, '
        '{name = "core", mesh = "inward.obj", solid_density_kg_m3 = 70.0, group = "foam"}]\n'
        '[hull]\nmesh = "hull.obj"\n'
    )
    shell, core = read_case(save(tmp_path / "case.toml", text)).weights
    assert shell.mass == pytest.approx(30 * 2 * (10 * 4 + 10 * 3 + 4 * 3))
    assert (core.mass, core.group) == (pytest.approx(70 * 120), "foam")
    for weight in (shell, core):
        assert weight.center == pytest.approx([5, 0, 1.5], abs=1e-9)


@pytest.mark.parametrize("centerline", [0.0, 3.5])
def test_a_half_hull_is_the_whole_ship(tmp_path, centerline):
    whole, half = load_example("survey-launch"), load_example("half-launch")
    aside = PolygonMesh("half", half.hull.vertices + [0, centerline, 0], half.hull.polygons)
    marks = (*half.perpendiculars, 0.0, centerline)
    write_case(tmp_path, CaseEntry(HullEntry(aside, None, None, 1.0, *marks, mirror=True)))
    hull = read_case(tmp_path / "case.toml").hull
    mesh = read_mesh(save(tmp_path / "whole.obj", obj_text(whole.hull)))
    expected = build_hull(mesh, ReferencePlanes(*whole.perpendiculars, 0.0, 0.0))
    assert hull.volume == pytest.approx(expected.volume, rel=1e-12)
    assert hull.tree.low == pytest.approx(expected.tree.low, abs=1e-12)


@pytest.mark.parametrize("key", EXAMPLES)
def test_a_written_case_reads_back_the_same(tmp_path, key):
    ship = load_example(key)
    marks = (*ship.perpendiculars, 0.1 + 0.2, 0.0)
    entry = CaseEntry(
        HullEntry(ship.hull, "+X", "+Z", 1.0, *marks, ship.half_hull),
        title='The "Ünder\\dog"',
        water=WaterEntry(999.1),
        weights=tuple(
            WeightEntry(w.name, tuple(w.center.tolist()), w.mass, group=w.group)
            for w in ship.weights
        ),
    )
    paths = write_case(tmp_path / "a" / "b", entry)
    assert sorted(p.name for p in (tmp_path / "a" / "b").iterdir()) == sorted(p.name for p in paths)
    case = read_case(paths[0])
    assert (case.title, case.water_density) == ('The "Ünder\\dog"', 999.1)
    assert [(w.name, w.mass, w.group, *w.center) for w in case.weights] == [
        (w.name, w.mass, w.group, *w.center) for w in ship.weights
    ]
    assert np.array_equal(read_mesh(paths[2]).vertices, ship.hull.vertices)
    assert case.hull.origin[2] == 0.1 + 0.2


def test_marks_left_out_stay_left_out(tmp_path):
    entry = CaseEntry(HullEntry(drawn(moved(box(), (3, 2, 1))), "-X", "+Z"))
    path, *_ = write_case(tmp_path, entry)
    hull = read_case(path).hull
    assert hull.origin.tolist() == [-13.0, -2.0, 1.0]


@pytest.mark.parametrize("existing", ["case.toml", "weights.csv", "hull.obj"])
def test_writing_a_case_overwrites_nothing(tmp_path, existing):
    save(tmp_path / existing, "mine")
    with refused(f"{existing}: exists already"):
        write_case(tmp_path, CaseEntry(HullEntry(drawn(box()))))
    assert [p.name for p in tmp_path.iterdir()] == [existing]
    assert (tmp_path / existing).read_text() == "mine"


# Results ---------------------------------------------------------------------------------------


def box_case(mass=41_000.0, center=(5.0, 0.0, 1.0)) -> Case:
    """A box 10 x 4 x 3 m with draft 1 m in sea water unless given otherwise."""
    hull = build_hull(meshed(box(10, 4, 3)))
    return Case("Box", hull, (Weight("all", mass, np.array(center)),))


def test_float_result_keeps_the_contract():
    """Closed forms of a box: KB = T/2, BM = B^2/12T, BML = L^2/12T, MTC = W GML / 100 L."""
    result = float_result(find_floating_position(box_case()))
    assert set(CONTRACT) <= result.keys()
    assert json.loads(json_text(result)) == {"format": 1, **result}
    expected = {
        "floats": True,
        "stable": True,
        "state": "afloat",
        "failed": [],
        "displacement_kg": 41000,
        "volume_m3": 40,
        "draft_aft_m": 1,
        "draft_mid_m": 1,
        "draft_forward_m": 1,
        "trim_m": 0,
        "heel_deg": 0,
        "KB_m": 0.5,
        "BM_m": 16 / 12,
        "BML_m": 100 / 12,
        "KM_m": 0.5 + 16 / 12,
        "KG_m": 1,
        "GM_solid_m": 16 / 12 - 0.5,
        "GM_m": 16 / 12 - 0.5,
        "GM_upright_solid_m": 16 / 12 - 0.5,
        "GML_m": 100 / 12 - 0.5,
        "waterplane_area_m2": 40,
        "TPC_t_cm": 0.41,
        "MTC_tm_cm": 41 * (100 / 12 - 0.5) / (100 * 10),
        "LWL_m": 10,
        "BWL_m": 4,
        "Cb": 1,
        "Cp": 1,
        "Cm": 1,
        "Cwp": 1,
        "wetted_surface_m2": 68,
        "freeboard_min_m": 2,
        "reserve_buoyancy_m3": 80,
        "G_m": [5, 0, 1],
        "B_m": [5, 0, 0.5],
        "F_m": [5, 0, 1],
        "downflooding_point_m": None,
        "downflooding_height_m": None,
        "criteria_checked": [],
        "MTC_basis": "GML",
    }
    for key, value in expected.items():
        assert result[key] == (
            pytest.approx(value, abs=1e-9) if isinstance(value, (int, float, list)) else value
        ), key
    assert "professional" in result["disclaimer"]


def test_a_sunk_ship_has_every_key_and_nulls():
    afloat, sunk = (float_result(find_floating_position(box_case(mass))) for mass in (41e3, 200e3))
    assert list(sunk) == list(afloat)
    assert (sunk["floats"], sunk["stable"], sunk["failed"]) == (False, False, ["sunk"])
    assert sunk["draft_mid_m"] is None and sunk["GM_solid_m"] is None and sunk["MTC_tm_cm"] is None
    assert sunk["reserve_buoyancy_m3"] < 0
    json_text(sunk)


def test_hydrostatics_result_goes_by_BML():
    case = box_case()
    attitude = Attitude.from_draft(1.0, 5.0)
    result = hydrostatics_result(case, [hydrostatics(case.hull, attitude)])
    (row,) = result["rows"]
    assert result["MTC_basis"] == "BML"
    assert row["MTC_tm_cm"] == pytest.approx(41 * (100 / 12) / 1000)
    assert row["displacement_kg"] == pytest.approx(41000)


def test_what_is_no_number_becomes_null():
    value = {"a": np.float64("nan"), "b": np.array([1.0, np.nan]), "c": (np.int64(3), float("inf"))}
    assert plain(value) == {"a": None, "b": None, "c": [3, None]}


def test_csv_rows_have_a_column_for_each_axis():
    case = box_case()
    attitudes = [Attitude.from_draft(draft, 5.0) for draft in (-0.5, 1.0)]
    result = hydrostatics_result(case, [hydrostatics(case.hull, a) for a in attitudes])
    dry, wet = csv.DictReader(io.StringIO(csv_text(result["rows"])))
    assert dry["B_x_m"] == "" and float(dry["volume_m3"]) == 0
    assert float(wet["B_z_m"]) == pytest.approx(0.5)
    assert None not in dry and None not in dry.values()


def test_a_hull_of_two_boxes_joined(tmp_path):
    two = welded(joined(box(10, 1, 1), moved(box(10, 1, 1), (0, 4, 0))))
    path, *_ = write_case(tmp_path, CaseEntry(HullEntry(drawn(two))))
    assert read_case(path).hull.parts == 2

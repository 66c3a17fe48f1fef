"""Bad input: exit code 2, one line on stderr with the place and the remedy, nothing changed."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
from math import radians, tan
from pathlib import Path

import pytest
import trimesh

from addon.cli.main import main
from addon.files.disk import write_new
from addon.files.obj import PolygonMesh, obj_text
from addon.parts.case_file import read_case
from tests.bodies import box, scaled
from tests.language import refused

SCRIPT = Path(__file__).parents[2] / "scripts" / "naval_checks.py"

CASE = """\
title = "Box"
[hull]
mesh = "hull.obj"
[[weight]]
name = "all"
mass_kg = 41000.0
position_m = [5.0, 0.0, 1.0]
"""
HULL = obj_text(PolygonMesh("hull", *box(10, 4, 3)))
LIST = "name,mass_kg,x_m,y_m,z_m,group\nengine,800,3,0,1,machinery\n"
STL = trimesh.creation.box().export(file_type="stl")
ASCII_STL = trimesh.creation.box().export(file_type="stl_ascii")
PLY = trimesh.creation.box().export(file_type="ply")
GLB = trimesh.Scene([trimesh.creation.box()]).export(file_type="glb")
PLATE = "v 0 0 0\nv 9 0 0\nv 9 3 0\nv 0 3 0\nf 1 2 3 4\n"


def hull(file: str) -> str:
    return CASE.replace("hull.obj", file)


def keys(text: str, old: str = "[[weight]]") -> str:
    """The case with keys put before its weight."""
    return CASE.replace(old, f"{text}\n{old}")


def weight(text: str) -> str:
    return CASE[: CASE.index("name =")] + text


TANK = """\
[[tank]]
name = "fuel"
box_m = [[1.0, -1.0, 0.2], [3.0, 1.0, 1.2]]
density_kg_m3 = 850.0
fill = 0.5
"""


def tank(old: str = "", new: str = "", after: str = "") -> dict[str, str | bytes]:
    """The case with a tank, something in it put in place of another, and more after it."""
    return {"case.toml": CASE + TANK.replace(old, new) + after}


def more(text: str) -> dict[str, str | bytes]:
    return {"case.toml": CASE + text + "\n"}


def listed(text: str) -> dict[str, str | bytes]:
    return {"case.toml": 'weight_list = "list.csv"\n' + CASE, "list.csv": text}


BAD: dict[str, tuple[dict[str, str | bytes], tuple[str, ...]]] = {
    # the mesh
    "missing mesh": ({"case.toml": hull("none.obj")}, ("none.obj", "no such file", "check")),
    "directory for a mesh": ({"case.toml": hull(".")}, (": is a directory", "name the file")),
    "format": ({"case.toml": hull("hull.fbx"), "hull.fbx": "x"}, ("hull.fbx", "OBJ, PLY, STL")),
    "no suffix": ({"case.toml": hull("hull"), "hull": "x"}, ("hull: ''", "OBJ, PLY, STL")),
    "empty file": ({"hull.obj": ""}, ("hull.obj", "empty", "export")),
    "no faces": ({"hull.obj": "v 0 0 0\nv 1 0 0\nv 0 1 0\n"}, ("hull.obj", "no faces", "surface")),
    "not a mesh": ({"hull.obj": b"\x89PNG\r\n\x1a\n\x00\xff"}, ("hull.obj", "no faces")),
    "NaN": ({"hull.obj": HULL.replace("v 10", "v nan", 1)}, ("hull.obj", "not a number", "vertex")),
    "infinite": ({"hull.obj": HULL.replace("v 10", "v inf", 1)}, ("hull.obj", "not a number")),
    "short vertex": ({"hull.obj": "v 1 2\n"}, ("hull.obj: line 1", "'v 1 2'", "x y z")),
    "short face": ({"hull.obj": HULL + "f 1 2\n"}, ("hull.obj: line", "three vertex numbers")),
    "wrong vertex": ({"hull.obj": HULL + "f 1 2 99\n"}, ("hull.obj", "missing", "8")),
    "vertex before the first": ({"hull.obj": HULL + "f -9 2 3\n"}, ("hull.obj", "missing", "8")),
    "flat": ({"hull.obj": PLATE}, ("hull.obj", "flat", "along z", "depth")),
    "encloses nothing": (
        {"hull.obj": "v 0 0 0\nv 9 0 0\nv 4 3 0\nv 0 -2 1\nv 9 -2 3\nv 4 -5 5\nf 1 2 3\nf 4 5 6\n"},
        ("hull.obj", "encloses nothing", "close it"),
    ),
    "truncated STL": (
        {"case.toml": hull("hull.stl"), "hull.stl": STL[:-60]},
        ("hull.stl", "truncated", "12 triangles", "export"),
    ),
    "STL header alone": (
        {"case.toml": hull("hull.stl"), "hull.stl": STL[:50]},
        ("hull.stl", "truncated", "export"),
    ),
    "truncated ASCII STL": (
        {"case.toml": hull("hull.stl"), "hull.stl": ASCII_STL[: len(ASCII_STL) // 2]},
        ("hull.stl", "truncated", "endsolid", "export"),
    ),
    "ASCII STL of nothing": (
        {"case.toml": hull("hull.stl"), "hull.stl": "solid nothing\nendsolid nothing\n"},
        ("hull.stl", "no faces"),
    ),
    "truncated PLY": (
        {"case.toml": hull("hull.ply"), "hull.ply": PLY[:-7]},
        ("hull.ply", "PLY", "export"),
    ),
    "PLY of another program": (
        {"case.toml": hull("hull.ply"), "hull.ply": "ply\nformat strange 1.0\nend_header\n"},
        ("hull.ply", "PLY", "export"),
    ),
    "no PLY": ({"case.toml": hull("hull.ply"), "hull.ply": "hello"}, ("hull.ply", "export")),
    "truncated GLB": (
        {"case.toml": hull("hull.glb"), "hull.glb": GLB[:-40]},
        ("hull.glb", "GLB", "export"),
    ),
    "no GLB": ({"case.toml": hull("hull.glb"), "hull.glb": "hello"}, ("hull.glb", "export")),
    # the case
    "malformed TOML": ({"case.toml": "title = \n"}, ("case.toml", "TOML", "line 1")),
    "not text": ({"case.toml": b"\xff\xfe\x00"}, ("case.toml", "UTF-8")),
    "no hull": (
        {"case.toml": 'title = "x"\n'},
        ("case.toml", "hull has no mesh", 'mesh = "hull.obj"'),
    ),
    "no weights": (
        {"case.toml": CASE[: CASE.index("[[")]},
        ("case.toml", "no weights", "add at least one"),
    ),
    "unknown key": (
        {"case.toml": keys("meter_per_unit = 1.0")},
        ("case.toml", "'meter_per_unit'", "[hull]", "did you mean 'meters_per_unit'"),
    ),
    "unknown table": (
        {"case.toml": CASE + '[[tonk]]\nname = "fuel"\n'},
        ("case.toml", "unknown key 'tonk'", "did you mean 'tank'"),
    ),
    "unknown key of a weight": (
        {"case.toml": CASE + "mass = 3\n"},
        ("case.toml", "'mass'", "[weight 1]", "did you mean 'mass_kg'"),
    ),
    "scale zero": (
        {"case.toml": keys("meters_per_unit = 0")},
        ("case.toml", "hull.meters_per_unit is 0", "0.001"),
    ),
    "scale negative": (
        {"case.toml": keys("meters_per_unit = -1.0")},
        ("case.toml", "hull.meters_per_unit is -1", "such as 1.0"),
    ),
    "scale as text": (
        {"case.toml": keys('meters_per_unit = "1"')},
        ("case.toml", "hull.meters_per_unit", "'1', text", "number"),
    ),
    "number NaN": (
        {"case.toml": keys("baseline_z_m = nan")},
        ("case.toml", "hull.baseline_z_m", "finite number"),
    ),
    "number huge": (
        {"case.toml": keys(f"baseline_z_m = 1{'0' * 400}")},
        ("case.toml", "hull.baseline_z_m", "finite number"),
    ),
    "flag as number": ({"case.toml": keys("mirror = 1")}, ("case.toml", "hull.mirror", "true")),
    "text as number": ({"case.toml": CASE.replace('"Box"', "3")}, ("case.toml", "title", "text")),
    "empty text": ({"case.toml": CASE.replace('"Box"', '" "')}, ("case.toml", "title is empty")),
    "hull as text": ({"case.toml": 'hull = "hull.obj"\n'}, ("case.toml", "hull", "[hull]")),
    "weight as a table": (
        {"case.toml": CASE.replace("[[weight]]", "[weight]")},
        ("case.toml", "weight", "[[weight]]"),
    ),
    "weights as a list": (
        {"case.toml": "weight = [1]\n" + CASE[: CASE.index("[[")]},
        ("case.toml", "weight", "[[weight]]"),
    ),
    "axis": (
        {"case.toml": keys('forward = "north"')},
        ("case.toml", "hull", "'north'", "+X, -X"),
    ),
    "axes in line": ({"case.toml": keys('forward = "-Z"')}, ("case.toml", "hull", "square")),
    "perpendiculars": (
        {"case.toml": keys("aft_perpendicular_x_m = 20.0")},
        ("hull.obj", "forward perpendicular", "ahead"),
    ),
    "half hull on both sides": (
        {"case.toml": keys("mirror = true")},
        ("hull.obj", "half hull", "one side"),
    ),
    "density zero": (
        {"case.toml": keys("[water]\ndensity_kg_m3 = 0")},
        ("case.toml", "water", "density", "1025"),
    ),
    "mass zero": (
        {"case.toml": CASE.replace("41000.0", "0")},
        ("case.toml", "'all'", "mass_kg is 0", "above 0"),
    ),
    "mass negative": (
        {"case.toml": CASE.replace("41000.0", "-5")},
        ("case.toml", "'all'", "mass_kg is -5", "above 0"),
    ),
    "position of two numbers": (
        {"case.toml": CASE.replace("5.0, 0.0, 1.0", "5.0, 0.0")},
        ("case.toml", "position_m", "[x, y, z]"),
    ),
    "mass without a position": (
        {"case.toml": weight('name = "w"\nmass_kg = 3\n')},
        ("case.toml", "'w'", "mass_kg", "position_m"),
    ),
    "weight of nothing": (
        {"case.toml": weight("\n")},
        ("case.toml", "'weight 1' has no place", "give mass_kg"),
    ),
    "mass twice": (
        {"case.toml": CASE + 'mesh = "hull.obj"\nareal_density_kg_m2 = 3\n'},
        ("case.toml", "'all'", "give mass_kg and position_m", "or mesh"),
    ),
    "areal density negative": (
        {"case.toml": weight('mesh = "hull.obj"\nareal_density_kg_m2 = -3\n')},
        ("case.toml", "'weight 1'", "areal_density_kg_m2 is -3", "above 0"),
    ),
    "mesh of a weight missing": (
        {"case.toml": weight('mesh = "deck.obj"\nareal_density_kg_m2 = 3\n')},
        ("case.toml", "deck.obj", "no such file"),
    ),
    "solid without volume": (
        {"case.toml": weight('mesh = "p.obj"\nsolid_density_kg_m3 = 3\n'), "p.obj": PLATE},
        ("case.toml", "p.obj", "flat"),
    ),
    "named twice": (
        {"case.toml": CASE + CASE[CASE.index("[[") :]},
        ("case.toml", "'all'", "twice", "rename"),
    ),
    "named twice, once in the list": (
        listed(LIST.replace("engine", "all")),
        ("case.toml", "'all'", "twice", "rename"),
    ),
    "another format": (
        {"case.toml": "format = 2\nhulls = 3\n" + CASE},
        ("case.toml", "format is 2; give 1"),
    ),
    "format as text": (
        {"case.toml": 'format = "1"\n' + CASE},
        ("case.toml", "format is '1', text", "a whole number, 1"),
    ),
    # tanks, openings and windage
    "tank without a body": (
        tank("box_m = [[1.0, -1.0, 0.2], [3.0, 1.0, 1.2]]\n"),
        ("case.toml", "tank 'fuel' has no place", "box_m ="),
    ),
    "tank with two bodies": (
        tank(after='mesh = "hull.obj"\n'),
        ("case.toml", "tank 'fuel' has mesh, box_m", "give mesh for a closed surface, or"),
    ),
    "tank box of one corner": (
        tank("[[1.0, -1.0, 0.2], [3.0, 1.0, 1.2]]", "[1.0, 1.0, 1.0]"),
        ("case.toml", "tank 'fuel': box_m", "two corners"),
    ),
    "tank box without extent": (
        tank("1.2]]", "0.2]]"),
        ("case.toml", "tank 'fuel'", "no extent along z", "0.2 m"),
    ),
    "tank density left out": (
        tank("density_kg_m3 = 850.0\n"),
        ("case.toml", "tank 'fuel' has no density_kg_m3", "such as 1000"),
    ),
    "tank density zero": (
        tank("850.0", "0"),
        ("case.toml", "tank 'fuel': density_kg_m3 is 0", "above 0"),
    ),
    "tank fill in percent": (
        tank("fill = 0.5", "fill = 50"),
        ("case.toml", "tank 'fuel'", "fill is 50", "from 0 to 1"),
    ),
    "tank fill negative": (tank("0.5", "-0.5"), ("case.toml", "fill is -0.5", "from 0 to 1")),
    "tank fill as text": (
        tank("0.5", "'half'"),
        ("case.toml", "tank 'fuel': fill", "finite number"),
    ),
    "tank permeability": (
        tank(after="permeability = 0\n"),
        ("case.toml", "tank 'fuel'", "permeability is 0", "from 0.001 to 1"),
    ),
    "tank named twice": (tank(after=TANK), ("case.toml", "tank 'fuel'", "twice", "rename")),
    "unknown key of a tank": (
        tank("fill", "filled"),
        ("case.toml", "'filled'", "[tank 1]", "did you mean 'fill'"),
    ),
    "tank mesh missing": (
        tank("box_m = [[1.0, -1.0, 0.2], [3.0, 1.0, 1.2]]", 'mesh = "fuel.obj"'),
        ("case.toml", "fuel.obj", "no such file"),
    ),
    "tank mesh open": (
        tank("box_m = [[1.0, -1.0, 0.2], [3.0, 1.0, 1.2]]", 'mesh = "tub.obj"')
        | {"tub.obj": HULL.rsplit("f ", 1)[0]},
        ("case.toml", "tank 'fuel'", "tub.obj", "is open", "fill its holes"),
    ),
    "tank mesh flat": (
        tank("box_m = [[1.0, -1.0, 0.2], [3.0, 1.0, 1.2]]", 'mesh = "p.obj"') | {"p.obj": PLATE},
        ("case.toml", "tank 'fuel'", "p.obj", "flat"),
    ),
    "windage without a body": (
        more('[[windage]]\nname = "house"'),
        ("case.toml", "windage 'house' has no place", "box_m ="),
    ),
    "opening without a place": (
        more('[[opening]]\nname = "vent"'),
        ("case.toml", "opening 'vent' has no place", "[x, y, z]"),
    ),
    "opening with two places": (
        more('[[opening]]\nname = "vent"\nposition_m = [5.0, 0.0, 3.5]\nmesh = "p.obj"'),
        ("case.toml", "opening 'vent' has position_m, mesh", "or mesh for a flat"),
    ),
    "opening whose mesh is missing": (
        more('[[opening]]\nname = "vent"\nmesh = "p.obj"'),
        ("case.toml", "p.obj", "no such file"),
    ),
    "opening whose mesh has no area": (
        {
            **more('[[opening]]\nname = "vent"\nmesh = "p.obj"'),
            "p.obj": "v 0 0 4\nv 9 0 4\nv 4 0 4\nf 1 2 3\n",
        },
        ("case.toml", "opening 'vent'", "no area", "flat surface"),
    ),
    "opening whose mesh is bent": (
        {
            **more('[[opening]]\nname = "vent"\nmesh = "p.obj"'),
            "p.obj": "v 0 0 4\nv 9 0 4\nv 9 1 4\nv 0 0 5\nf 1 2 3\nf 1 2 4\n",
        },
        ("case.toml", "opening 'vent'", "bent", "flat surface"),
    ),
    "opening inside the hull": (
        more('[[opening]]\nname = "vent"\nposition_m = [5.0, 0.0, 1.0]'),
        ("case.toml", "opening 'vent'", "inside the hull", "move it"),
    ),
    "opening of another protection": (
        more('[[opening]]\nposition_m = [5.0, 0.0, 3.5]\nprotection = "watertight"'),
        (
            "case.toml",
            "opening 'opening 1': protection is 'watertight'",
            "did you mean 'weathertight'",
        ),
    ),
    "opening of no area": (
        more('[[opening]]\nname = "vent"\nposition_m = [5.0, 0.0, 3.5]\narea_m2 = 0'),
        ("case.toml", "opening 'vent': area_m2 is 0", "leave it out"),
    ),
    "opening of negative height": (
        more('[[opening]]\nname = "vent"\nposition_m = [5.0, 0.0, 3.5]\nheight_m = -1'),
        ("case.toml", "opening 'vent': height_m is -1", "0 or more"),
    ),
    "opening of another kind": (
        more('[[opening]]\nposition_m = [5.0, 0.0, 3.5]\nkind = "hatchway"'),
        ("case.toml", "opening 'opening 1': kind is 'hatchway'", "did you mean 'hatch'"),
    ),
    "opening into two compartments": (
        more('[[opening]]\nposition_m = [5.0, 0.0, 3.5]\ncompartments = ["a", "b"]'),
        ("case.toml", "opening 'opening 1': compartments names 2", 'name 1, ["A"]'),
    ),
    "boundary without a body": (
        more('[[boundary]]\nname = "w"'),
        ("case.toml", "boundary 'w' has no place", "one of mesh", "x_m for a transverse bulkhead"),
    ),
    "boundary of two planes": (
        more('[[boundary]]\nname = "w"\nx_m = 2\nz_m = 1'),
        ("case.toml", "boundary 'w' has x_m, z_m", "one of mesh", "z_m for a deck"),
    ),
    "boundaries of one name": (
        more(2 * '[[boundary]]\nname = "w"\nx_m = 2\n'),
        ("case.toml", "boundary 'w'", "twice", "rename"),
    ),
    "boundary mesh missing": (
        more('[[boundary]]\nmesh = "boundary.obj"'),
        ("case.toml", "boundary.obj", "no such file"),
    ),
    "compartment without a place": (
        more('[[compartment]]\nname = "hold"'),
        ("case.toml", "compartment 'hold' has no place", "position_m = [x, y, z]"),
    ),
    "compartment with two places": (
        more(
            '[[compartment]]\nname = "hold"\nposition_m = [5, 0, 1]\nbox_m = [[1, 0, 0], [2, 1, 1]]'
        ),
        ("case.toml", "compartment 'hold' has position_m, box_m", "give one of"),
    ),
    "compartment box without extent": (
        more('[[compartment]]\nname = "hold"\nbox_m = [[1, -1, 0], [1, 1, 1]]'),
        ("case.toml", "compartment 'hold'", "no extent along x"),
    ),
    "compartment mesh open": (
        more('[[compartment]]\nname = "hold"\nmesh = "tub.obj"')
        | {"tub.obj": HULL.rsplit("f ", 1)[0]},
        (
            "case.toml",
            "compartment 'hold'",
            "tub.obj",
            "a compartment must close",
            "fill its holes",
        ),
    ),
    "compartment named twice": (
        more(2 * '[[compartment]]\nname = "hold"\nposition_m = [5, 0, 1]\n'),
        ("case.toml", "compartment 'hold'", "twice", "rename"),
    ),
    "compartment of unknown use": (
        more('[[compartment]]\nname = "hold"\nposition_m = [5, 0, 1]\nuse = "store"'),
        ("case.toml", "compartment 'hold': use is 'store'", "did you mean 'stores'"),
    ),
    "compartment that takes no water": (
        more('[[compartment]]\nname = "hold"\nposition_m = [5, 0, 1]\npermeability = 0'),
        ("case.toml", "compartment 'hold'", "permeability is 0", "from 0.001 to 1"),
    ),
    "compartment that takes next to no water": (
        more('[[compartment]]\nname = "hold"\nposition_m = [5, 0, 1]\npermeability = 1e-9'),
        ("case.toml", "compartment 'hold'", "permeability is 1e-09", "from 0.001 to 1"),
    ),
    "door without a place": (
        more('[[door]]\nname = "d"\narea_m2 = 1'),
        ("case.toml", "door 'd' has area_m2", "for the middle of the sill"),
    ),
    "door with two places": (
        more('[[door]]\nname = "d"\nposition_m = [5, 0, 1]\nmesh = "p.obj"'),
        ("case.toml", "door 'd' has position_m, mesh", "or mesh for a flat"),
    ),
    "door whose mesh gets no area": (
        {**more('[[door]]\nname = "d"\nmesh = "p.obj"\narea_m2 = 0'), "p.obj": PLATE},
        ("case.toml", "door 'd': area_m2 is 0", "such as 1.5"),
    ),
    "door without an area": (
        more('[[door]]\nname = "d"\nposition_m = [5, 0, 1]'),
        ("case.toml", "door 'd' has position_m", "and area_m2, or mesh"),
    ),
    "door of no area": (
        more('[[door]]\nname = "d"\nposition_m = [5, 0, 1]\narea_m2 = 0'),
        ("case.toml", "door 'd': area_m2 is 0", "such as 1.5"),
    ),
    "door into one compartment": (
        more('[[door]]\nname = "d"\nposition_m = [5, 0, 1]\narea_m2 = 1\ncompartments = ["a"]'),
        ("case.toml", "door 'd': compartments names 1", 'name 2, ["A", "B"]'),
    ),
    "door into the same compartment": (
        more(
            '[[door]]\nname = "d"\nposition_m = [5, 0, 1]\narea_m2 = 1\ncompartments = ["a", "a"]'
        ),
        ("case.toml", "door 'd': compartments names 1", 'name 2, ["A", "B"]'),
    ),
    "doors of one name": (
        more(2 * '[[door]]\nname = "d"\nposition_m = [5, 0, 1]\narea_m2 = 1\n'),
        ("case.toml", "door 'd'", "twice", "rename"),
    ),
    "openings of one name": (
        more(2 * '[[opening]]\nname = "vent"\nposition_m = [5.0, 0.0, 4.0]\n'),
        ("case.toml", "opening 'vent'", "twice", "rename"),
    ),
    # service and criteria
    "kind of ship": (
        more('[service]\nkind = "ferry"'),
        ("case.toml", "service.kind", "'ferry'", "cargo, passenger, tug"),
    ),
    "waters": (
        more('[service]\nwaters = "protectd"'),
        ("case.toml", "service.waters", "did you mean 'protected'"),
    ),
    "half a passenger": (
        more("[service]\npassengers = 1.5"),
        ("case.toml", "service.passengers", "whole number"),
    ),
    "passengers below none": (
        more("[service]\npassengers = -1"),
        ("case.toml", "service.passengers", "0 or more"),
    ),
    "speed as text": (
        more('[service]\nspeed_m_s = "fast"'),
        ("case.toml", "service.speed_m_s", "number"),
    ),
    "unknown fact": (
        more("[service]\nspeed = 5"),
        ("case.toml", "'speed'", "[service]", "did you mean 'speed_m_s'"),
    ),
    "unknown code": (
        more('[criteria]\ncodes = ["of our own"]'),
        ("case.toml", "criteria.codes", "'of our own'"),
    ),
    "codes as text": (
        more('[criteria]\ncodes = "all"'),
        ("case.toml", "criteria.codes", "list of texts"),
    ),
    "criterion without a measure": (
        more('[[criterion]]\nname = "c"\nat_least = 1'),
        ("case.toml", "criterion 'c' has no measure", "GM, GZ, maximum GZ"),
    ),
    "unknown measure": (
        more('[[criterion]]\nmeasure = "maximum GM"\nat_least = 1'),
        (
            "case.toml",
            "criterion 'criterion 1': measure is 'maximum GM'",
            "did you mean 'maximum GZ'",
        ),
    ),
    "criterion without a limit": (
        more('[[criterion]]\nname = "c"\nmeasure = "GM"'),
        ("case.toml", "criterion 'c'", "sets no limit", "least or the most"),
    ),
    "area without heels": (
        more('[[criterion]]\nname = "c"\nmeasure = "area"\nat_least = 0.1\nto_deg = 30'),
        ("case.toml", "criterion 'c'", "an area needs the heels", "0 and 30"),
    ),
    "area backwards": (
        more('[[criterion]]\nmeasure = "area"\nat_least = 0\nfrom_deg = 30\nto_deg = 0'),
        ("case.toml", "an area needs the heels"),
    ),
    "GZ without a heel": (
        more('[[criterion]]\nmeasure = "GZ"\nat_least = 0.2'),
        ("case.toml", "GZ needs the heel"),
    ),
    "no moment": (
        more('[[criterion]]\nmeasure = "heel under moment"\nat_most = 10'),
        ("case.toml", "heel under a moment needs the moment"),
    ),
    "a key of another measure": (
        more('[[criterion]]\nname = "c"\nmeasure = "GM"\nat_least = 1\nat_deg = 30'),
        ("case.toml", "criterion 'c'", "at_deg does not go with GM", "leave it out"),
    ),
    "criteria of one name": (
        more(2 * '[[criterion]]\nname = "c"\nmeasure = "GM"\nat_least = 0.1\n'),
        ("case.toml", "criterion 'c'", "twice"),
    ),
    # conditions
    "condition of an unknown tank": (
        tank(after='[[condition]]\nname = "c"\nfill = {feul = 0.1}\n'),
        ("case.toml", "condition 'c'", "no tank 'feul'", "did you mean 'fuel'"),
    ),
    "condition without an unknown weight": (
        more('[[condition]]\nname = "c"\nwithout = ["ballast"]'),
        ("case.toml", "condition 'c'", "no weight or tank 'ballast'", "'all'"),
    ),
    "condition without an unknown group": (
        more('[[condition]]\nname = "c"\nwithout_groups = ["crew"]'),
        ("case.toml", "condition 'c'", "no group 'crew'", "none"),
    ),
    "empty condition": (
        more('[[condition]]\nname = "c"\nwithout = ["all"]'),
        ("case.toml", "condition 'c' is empty", "load more"),
    ),
    "fill of a condition": (
        tank(after='[[condition]]\nname = "c"\nfill = {fuel = 98}\n'),
        ("case.toml", "condition 'c'", "'fuel' is 98", "from 0 to 1"),
    ),
    "fill of a condition as text": (
        tank(after='[[condition]]\nname = "c"\nfill = {fuel = "full"}\n'),
        ("case.toml", "condition 'c': fill", "a table of numbers"),
    ),
    "weights ashore as text": (
        more('[[condition]]\nname = "c"\nwithout = "all"'),
        ("case.toml", "condition 'c': without", "list of texts"),
    ),
    "margin of all": (
        more('[[condition]]\nname = "c"\nmass_margin = -1'),
        ("case.toml", "condition 'c': mass_margin is -1", "above -1", "0.05"),
    ),
    "conditions of one name": (
        more(2 * '[[condition]]\nname = "c"\n'),
        ("case.toml", "condition 'c'", "twice", "rename"),
    ),
    # the weight list
    "list missing": ({"case.toml": 'weight_list = "l.csv"\n' + CASE}, ("l.csv", "no such file")),
    "list empty": (listed(""), ("list.csv", "column 'name' is missing", "name,mass_kg,x_m")),
    "wrong column": (
        listed(LIST.replace("mass_kg", "mass")),
        ("list.csv", "unknown column 'mass'", "did you mean 'mass_kg'"),
    ),
    "missing column": (
        listed("name,mass_kg,x_m,y_m\nengine,800,3,0\n"),
        ("list.csv", "column 'z_m' is missing"),
    ),
    "column twice": (listed("name,x_m,x_m\n"), ("list.csv", "column 'mass_kg' is missing")),
    "mass as text": (
        listed(LIST.replace("800", "heavy")),
        ("list.csv: row 2", "mass_kg is 'heavy'", "number"),
    ),
    "decimal comma": (listed(LIST.replace("800", "800,5")), ("list.csv: row 2", "7 cells", "6")),
    "list mass zero": (listed(LIST.replace("800", "0")), ("list.csv: row 2", "above zero")),
    "list position NaN": (
        listed(LIST.replace(",3,", ",nan,")),
        ("list.csv: row 2", "not a number"),
    ),
    "no name": (listed(LIST.replace("engine", " ")), ("list.csv: row 2", "name")),
    "list of nulls": (listed(LIST + "\0\0,1,\0\n"), ("list.csv",)),
    "open quote": (listed(LIST + '"engine'), ("list.csv", "CSV")),
}


def state(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        if path.is_file()
        else "folder"
        for path in folder.rglob("*")
    }


def lay_out(folder: Path, files: dict[str, str | bytes]) -> Path:
    for name, content in {"case.toml": CASE, "hull.obj": HULL, **files}.items():
        (folder / name).write_bytes(content if isinstance(content, bytes) else content.encode())
    return folder / "case.toml"


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("files,reported", BAD.values(), ids=BAD)
@pytest.mark.wording
def test_bad_input_gets_one_line(tmp_path, capsys, files, reported):
    case = lay_out(tmp_path, files)
    before = state(tmp_path)
    code = main(["float", str(case), "--output", str(tmp_path / "result.txt")])
    out, err = capsys.readouterr()
    assert (code, out) == (2, "")
    assert err.count("\n") == 1 and err.startswith(str(tmp_path))
    assert all(word in err for word in reported), err
    assert state(tmp_path) == before


def test_the_good_case_is_good(tmp_path, capsys):
    assert main(["float", str(lay_out(tmp_path, listed(LIST)))]) == 0
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize(
    "argv,reported",
    [
        (["float", "none.toml"], ("none.toml", "no such file")),
        (["float", "."], ("is a directory", "name the file")),
        (["float", "case.toml", "--output", "."], ("is a directory", "name a file")),
        (
            ["float", "case.toml", "--output", "none/report.txt"],
            ("report.txt", "cannot be written"),
        ),
        (["new", "."], ("case.toml", "exists already", "choose another directory")),
        (["new", "hull.obj"], ("hull.obj", "choose a directory")),
        (["new", "hull.obj/ship"], ("hull.obj", "cannot be written")),
    ],
)
def test_bad_paths_get_one_line(tmp_path, monkeypatch, capsys, argv, reported):
    lay_out(tmp_path, {})
    before = state(tmp_path)
    monkeypatch.chdir(tmp_path)
    code = main(argv)
    out, err = capsys.readouterr()
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert all(word in err for word in reported), err
    assert state(tmp_path) == before


def test_without_trimesh_a_line_says_what_to_install(tmp_path, monkeypatch, capsys):
    case = lay_out(tmp_path, {"case.toml": hull("hull.stl"), "hull.stl": STL})
    monkeypatch.setitem(sys.modules, "trimesh", None)
    assert main(["float", str(case)]) == 2
    assert "hull.stl" in (err := capsys.readouterr().err) and "pip install trimesh" in err
    assert main(["float", str(lay_out(tmp_path, {}))]) == 0


def test_a_failure_half_way_leaves_nothing(tmp_path, monkeypatch):
    whole = Path.write_bytes

    def full(path, content):
        if path.name == "b.txt":
            raise OSError(28, "No space left on device")
        whole(path, content)

    monkeypatch.setattr(Path, "write_bytes", full)
    with refused("No space left"):
        write_new(tmp_path, {"a.txt": "a", "b.txt": "b"})
    assert state(tmp_path) == {}


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("length", [1e4, 10.0, 1e-3])
def test_ships_of_ten_kilometers_and_of_a_millimeter(tmp_path, capsys, length):
    """A box lists by the wall-sided formula, tan p (GM + BM tan2 p / 2) = y, whatever its size."""
    size = length / 10.0
    hull_text = obj_text(PolygonMesh("hull", *scaled(box(10, 4, 3), (size, size, size))))
    text = CASE.replace("41000.0", repr(41000.0 * size**3)).replace(
        "5.0, 0.0, 1.0", f"{5 * size!r}, {0.05 * size!r}, {size!r}"
    )
    case = lay_out(tmp_path, {"case.toml": text, "hull.obj": hull_text})
    assert main(["float", str(case), "--json"]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    result = json.loads(out)
    assert result["volume_m3"] == pytest.approx(40 * size**3)
    slope = tan(radians(-result["heel_deg"]))
    assert slope * (0.5 + 4 / 3 - 1 + 2 / 3 * slope**2) == pytest.approx(0.05, rel=1e-6)
    assert main(["float", str(case)]) == 0
    draft = capsys.readouterr().out.partition("Draft amidships")[2].split()[0]
    assert float(draft) == pytest.approx(size, rel=1e-3)


def test_a_hull_in_millimeters_is_scaled(tmp_path):
    case = lay_out(tmp_path, {"case.toml": keys("meters_per_unit = 0.001")})
    assert read_case(case).hull.length_pp == pytest.approx(0.01)


@pytest.mark.parametrize("name", ["NaN", "truncated STL", "wrong column", "named twice"])
def test_the_script_shows_no_more_than_the_line(tmp_path, name):
    """In a process of its own, where a warning of a library would show too."""
    files, _ = BAD[name]
    lay_out(tmp_path, files)
    done = subprocess.run(
        [sys.executable, "-W", "always", SCRIPT, "float", "case.toml"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1

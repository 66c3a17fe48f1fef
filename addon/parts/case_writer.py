"""Cases written out: a commented TOML file with its meshes and its weight list beside it."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from ..core.model.axes import Axes
from ..core.model.case import FRESH_WATER, SEA_WATER
from ..core.model.hull import Marks
from ..core.model.weights import Weight
from ..files.disk import write_new
from ..files.obj import PolygonMesh, obj_text
from .outfit import Outfit
from .outfit_text import filed, outfit_text, quoted
from .weight_list import weight_list_text

CASE, HULL, WEIGHTS = "case.toml", "hull.obj", "weights.csv"

TEMPLATE = """\
# One ship for naval-checks. Metres and kilograms. Ship axes: x forward from the
# aft perpendicular, y to port from the centreline, z up from the baseline.

title = {title}
weight_list = {weights}  # one weight a row: name, mass_kg, x_m, y_m, z_m, group

[hull]
mesh = {hull}  # OBJ, PLY, STL or GLB, beside this file
forward = {forward}  # the axis of the mesh that points to the bow
up = {up}  # and the one that points to the sky
metres_per_unit = 1.0  # 0.001 for a mesh in millimetres
mirror = {mirror}  # true for one half of a hull, cut at the centreline
# Where the ship axes lie in the mesh, once it is turned and in metres.
# Without them: the ends, the lowest point and the middle of the hull.
{marks}

[water]
density_kg_m3 = {density}  # sea water {sea}, fresh water {fresh}

# Weights may stand here too, by mass and position:
#
# [[weight]]
# name = "passengers"
# mass_kg = 300.0
# position_m = [4.0, 0.0, 1.5]
# group = "crew"
# both_sides = true  # once more on the other side, mirrored; other parts have this key too
# fixed = true  # cannot be moved, as the hull's own mass: no advice moves it
#
# or by a mesh, which stands where the hull's does, as a skin or as a solid:
#
# [[weight]]
# name = "deck plating"
# mesh = "deck.obj"
# areal_density_kg_m2 = 20.0  # or solid_density_kg_m3 = 650.0
"""

HINTS = {
    "tank": """\
# A tank, whose content runs to the low side:
#
# [[tank]]
# name = "fuel"
# box_m = [[3.0, -0.8, 0.4], [4.0, 0.8, 1.0]]  # two corners; or mesh = "tank.obj"
# density_kg_m3 = 850.0
# fill = 0.98  # a share of what it holds
""",
    "opening": """\
# A place where water gets in once it is under:
#
# [[opening]]
# name = "engine vent"
# position_m = [3.5, 1.2, 2.4]  # or mesh = "vent.obj", a flat surface across it
# protection = "unprotected"  # or "weathertight", which is shut at sea
""",
    "windage": """\
# A shape above deck that catches the wind beside the hull:
#
# [[windage]]
# name = "wheelhouse"
# box_m = [[5.0, -1.0, 1.8], [8.0, 1.0, 3.8]]  # or mesh = "wheelhouse.obj"
""",
    "wall": """\
# A bulkhead or a deck, which parts her into rooms:
#
# [[wall]]
# name = "collision bulkhead"
# x_m = 10.0  # a whole plane; y_m for one along her, z_m for a deck, or mesh = "wall.obj"
""",
    "room": """\
# What a room is called, and for what it serves:
#
# [[room]]
# name = "engine room"
# at_m = [4.0, 0.0, 0.5]  # a point within its walls; or box_m, or mesh
# use = "machinery"  # void, accommodation, machinery, stores, cargo or liquids
""",
    "door": """\
# A way through a wall:
#
# [[door]]
# name = "engine room door"
# position_m = [5.0, 0.0, 0.9]  # the middle of its sill; or mesh = "door.obj"
# area_m2 = 1.1
# height_m = 1.7
# shut = true  # lets nothing through
""",
    "service": """\
# What she is for, which some criteria ask:
#
# [service]
# kind = "passenger"  # cargo, passenger, tug, sailing or other
# waters = "protected"  # exposed, partially protected or protected
# passengers = 12
# passenger_mass_kg = 75.0
# passenger_deck_z_m = 1.9
# crowd_offset_m = 1.1  # how far off the centreline they can gather
# speed_m_s = 5.0
""",
    "criteria": """\
# Published codes to hold her against; left out, those that apply to her:
#
# [criteria]
# codes = ["is-code-2.2", "46-cfr-170.173"]
""",
    "criterion": """\
# A criterion of your own, in m, m rad or degrees by its measure:
#
# [[criterion]]
# name = "area up to 30 degrees"
# measure = "area"
# at_least = 0.055
# from_deg = 0
# to_deg = 30
""",
    "condition": """\
# A way to load her, by what differs from the case as it stands:
#
# [[condition]]
# name = "arrival"
# fill = {fuel = 0.1}
# without = ["passengers"]  # weights and tanks; without_groups for whole groups
# mass_margin = 0.05  # a share of the weights, against surprises
# rise_margin_m = 0.1  # and metres by which they may come out higher
# flooded = ["engine room"]  # rooms open to the sea
""",
}
"""Tables that a case may have, explained where it has none."""


def write_case(
    directory: Path,
    title: str,
    mesh: PolygonMesh,
    weights: Iterable[Weight] = (),
    axes: Axes | None = None,
    marks: Marks | None = None,
    water_density: float = SEA_WATER,
    mirror: bool = False,
    outfit: Outfit | None = None,
) -> tuple[Path, ...]:
    """Writes a case that reads back the same to the last digit; gives the paths, the case first.

    `mesh` and the drawn bodies of the outfit are in metres, in the axes and with the marks
    told. Weights become point masses. Raises BadInputError, with nothing written, where one of
    the files exists already.
    """
    outfit, meshes = filed(outfit or Outfit())
    text = case_text(title, axes or Axes(), marks or Marks(), water_density, mirror, outfit)
    files = {CASE: text, WEIGHTS: weight_list_text(weights), HULL: obj_text(mesh)}
    files |= {name: obj_text(body) for name, body in meshes.items()}
    return write_new(directory, files)


def case_text(
    title: str, axes: Axes, marks: Marks, water_density: float, mirror: bool, outfit: Outfit
) -> str:
    """TOML text of a case whose hull, weights and bodies lie beside it."""
    places = {
        "aft_perpendicular_x_m": marks.aft_perpendicular_x,
        "forward_perpendicular_x_m": marks.forward_perpendicular_x,
        "baseline_z_m": marks.baseline_z,
        "centreline_y_m": marks.centreline_y,
    }
    tables = outfit_text(outfit)
    head = TEMPLATE.format(
        title=quoted(title),
        weights=quoted(WEIGHTS),
        hull=quoted(HULL),
        forward=quoted(axes.forward),
        up=quoted(axes.up),
        mirror=str(mirror).lower(),
        marks="\n".join(
            f"# {key} = 0.0" if place is None else f"{key} = {float(place)!r}"
            for key, place in places.items()
        ),
        density=repr(float(water_density)),
        sea=f"{SEA_WATER:g}",
        fresh=f"{FRESH_WATER:g}",
    )
    hints = [hint for key, hint in HINTS.items() if f"[{key}]" not in tables]
    return "\n".join(filter(None, [head, tables, *hints]))

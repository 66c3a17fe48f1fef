"""Open boats whose shell has thickness, and bodies with recesses that are none.

Truth is a closed form: tubs are boxes with a box taken out of them by manifold3d, round ones are
set beside the same hull modeled as a sheet.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold

from addon.core.arrays import Floats
from addon.core.compartments.find_compartments import find_compartments
from addon.core.geometry.mesh import Mesh, mirrored
from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.model.case import Case
from addon.core.model.compartment import CompartmentPlan
from addon.core.model.hull import Hull, build_hull, build_reshapable_hull
from addon.core.model.weights import Weight
from tests import bodies
from tests.language import reads, refused

Corner = Sequence[float]

SEA = 1025.0
SIZE = (4.0, 2.0, 1.0)
BOUNDARIES = (0.02, 0.08, 0.1, 0.3)


def block(low: Corner, high: Corner) -> Manifold:
    return Manifold.cube(tuple(np.subtract(high, low).tolist())).translate(tuple(low))


def mesh_of(solid: Manifold, name: str = "hull") -> Mesh:
    mesh = solid.to_mesh64()
    triangles = np.asarray(mesh.tri_verts, dtype=np.int64)
    vertices = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
    return Mesh(name, vertices, triangles, np.arange(len(triangles)))


def hull_of(solid: Manifold) -> Hull:
    return build_hull(mesh_of(solid))


def tub(boundary: float, size: Corner = SIZE, y: float = 0.0) -> Manifold:
    """A box open above, with boundaries and a bottom of one thickness."""
    length, breadth, depth = size
    side = breadth / 2
    outer = block((0, y - side, 0), (length, y + side, depth))
    return outer - block(
        (boundary, y - side + boundary, boundary),
        (length - boundary, y + side - boundary, depth + 1),
    )


def inside(boundary: float, size: Corner = SIZE) -> float:
    """Volume (m3) of a tub up to its rim."""
    length, breadth, depth = size
    return (length - 2 * boundary) * (breadth - 2 * boundary) * (depth - boundary)


def plane(name: str, axis: int, at: float) -> Mesh:
    corners = np.full((4, 3), at)
    corners[:, (axis + 1) % 3], corners[:, (axis + 2) % 3] = (-50, 50, 50, -50), (-50, -50, 50, 50)
    return Mesh(name, corners, np.array([[0, 1, 2], [0, 2, 3]]), np.array([0, 0]))


def divided(hull: Hull, *boundaries: Mesh) -> CompartmentPlan:
    """The compartments, found to add up to the hull."""
    plan = find_compartments(Case("tub", hull, boundaries=boundaries))
    total = plan.boundary_volume + sum(compartment.volume for compartment in plan.compartments)
    assert total == pytest.approx(hull.volume, rel=1e-6)
    return plan


def sizes(plan: CompartmentPlan) -> list[float]:
    return sorted(compartment.volume for compartment in plan.compartments)


def watertight(plan: CompartmentPlan) -> list[float]:
    return sorted(compartment.volume for compartment in plan.compartments if compartment.watertight)


def codes(hull: Hull) -> set[str]:
    return {finding.code for finding in hull.findings}


def afloat(hull: Hull, mass: float, *center: float) -> FloatingPosition:
    case = Case("tub", hull, (Weight("all", mass, np.array(center)),))
    return find_floating_position(case, seek_others=False)


# It floats on all within its outer skin.


@pytest.mark.parametrize("boundary", BOUNDARIES)
def test_a_tub_is_the_box_up_to_its_rim(boundary: float) -> None:
    hull = hull_of(tub(boundary))
    (rim,) = hull.rims
    assert hull.volume == pytest.approx(8.0, rel=1e-12)
    assert rim[..., 2] == pytest.approx(np.ones(rim.shape[:2]))
    assert np.ptp(rim[..., :2], axis=(0, 1)) == pytest.approx([4 - 2 * boundary, 2 - 2 * boundary])
    mouth = (4 - 2 * boundary) * (2 - 2 * boundary)
    assert hull.tree.area == pytest.approx(8 + 12 + 8 - mouth)
    (reported,) = (finding for finding in hull.findings if finding.code == "open-shell")
    assert len(reported.elements) == 10
    assert reported.severity == ("warning" if boundary == 0.3 else "note")
    boundaries = 8 - inside(boundary)
    area = 20 + (8 - mouth) + mouth + 2 * (6 - 4 * boundary) * (1 - boundary)
    assert reads(reported.text, f"about {2 * boundaries / area:.2g} m thick")


@pytest.mark.parametrize("boundary", BOUNDARIES)
@pytest.mark.parametrize("draft", [0.2, 0.95])
def test_it_floats_as_the_box(boundary: float, draft: float) -> None:
    ship = afloat(hull_of(tub(boundary)), 8 * draft * SEA, 2.0, 0.0, 0.3)
    assert ship.state == "afloat"
    assert ship.hydrostatics is not None
    assert ship.hydrostatics.draft_mid == pytest.approx(draft, abs=1e-6)
    assert ship.GM == pytest.approx(draft / 2 + 4 / 12 / draft - 0.3, abs=1e-6)
    assert ship.downflooding_height == pytest.approx(1 - draft, abs=1e-6)


@pytest.mark.parametrize("share,state", [(0.97, "afloat"), (1.06, "swamped")])
def test_it_is_swamped_when_its_rim_is_under(share: float, state: str) -> None:
    """Wall-sided, on a draft of 0.5 m: tan p = 0.5 / 1 is where its gunwale, 1 m from the middle,
    is level with the water, and tan p = 0.5 / 0.98 where the edge inside is."""
    slope, draft, KG = 0.5 * share, 0.5, 0.3
    BM = 4 / 12 / draft
    aside = slope * (draft / 2 + BM - KG + BM * slope**2 / 2)
    ship = afloat(hull_of(tub(0.02)), 8 * draft * SEA, 2.0, -aside, KG)
    assert ship.state == state
    if state == "afloat":
        assert ship.equilibrium is not None
        assert np.tan(ship.equilibrium.attitude.heel_rad) == pytest.approx(slope, rel=1e-5)


def test_a_rim_that_is_not_level() -> None:
    """A freeing port, a notch and a drain are part of it; it fills at the lowest point."""
    whole = tub(0.1)
    for cut, level in (
        (block((1, -2, 0.7), (2, 0, 2)), 0.7),
        (block((-1, -0.5, 0.6), (1, 0.5, 2)), 0.6),
        (block((1, -2, 0.4), (1.2, 0, 0.5)), 0.4),
    ):
        hull = hull_of(whole - cut)
        (rim,) = hull.rims if level > 0.5 else [np.concatenate(hull.rims)]
        assert rim[..., 2].min() == pytest.approx(level)
        ship = afloat(hull, 8 * 0.3 * SEA, 2.0, 0.0, 0.2)
        assert ship.downflooding_height == pytest.approx(level - 0.3, abs=0.02)


# Compartments in it.


@pytest.mark.parametrize("boundary", BOUNDARIES[:3])
def test_the_tub_is_a_compartment_open_above(boundary: float) -> None:
    hull = hull_of(tub(boundary))
    plan = divided(hull)
    assert sizes(plan) == pytest.approx([inside(boundary)]) and not watertight(plan)
    assert plan.boundary_volume == pytest.approx(8 - inside(boundary))
    (gap,) = plan.gaps
    assert gap.lowest[2] == pytest.approx(1.0)


@pytest.mark.parametrize("boundary", BOUNDARIES[:3])
@pytest.mark.parametrize("level", [1.0, 0.8])
def test_a_lid_seals_it_and_a_bulkhead_parts_it(boundary: float, level: float) -> None:
    hull = hull_of(tub(boundary))
    floor_area, depth = (4 - 2 * boundary) * (2 - 2 * boundary), level - boundary
    cap, frame = plane("lid", 2, level), plane("frame", 0, 1.0)
    above = [floor_area * (1 - level)] if level < 1 else []
    plan = divided(hull, cap)
    assert sizes(plan) == pytest.approx(sorted([floor_area * depth, *above]))
    assert watertight(plan) == pytest.approx([floor_area * depth])
    shares = (1 - boundary) / (4 - 2 * boundary), (3 - boundary) / (4 - 2 * boundary)
    plan = divided(hull, cap, frame)
    assert watertight(plan) == pytest.approx([share * floor_area * depth for share in shares])
    assert plan.boundary_volume == pytest.approx(8 - inside(boundary))
    plan = divided(hull, frame)
    assert sizes(plan) == pytest.approx([share * inside(boundary) for share in shares])
    assert not watertight(plan)


def test_thick_walls_are_a_compartment_round_a_compartment() -> None:
    """More than a fifth as thick as it is itself: the void of a double hull."""
    hull = hull_of(tub(0.3))
    plan = divided(hull)
    assert plan.boundary_volume == 0
    assert sizes(plan) == pytest.approx([inside(0.3), 8 - inside(0.3)])
    assert watertight(plan) == pytest.approx([8 - inside(0.3)])
    assert len(watertight(divided(hull, plane("lid", 2, 1.0)))) == 2


def test_bulkheads_of_the_same_thickness_in_one_piece() -> None:
    frames = block((1, -1, 0), (1.1, 1, 1)) + block((2.5, -1, 0), (2.6, 1, 1))
    hull = hull_of(tub(0.1) + frames)
    holds = np.array([0.9, 1.4, 1.3]) * 1.8 * 0.9
    assert hull.volume == pytest.approx(8.0) and len(hull.rims) == 3
    plan = divided(hull)
    assert sizes(plan) == pytest.approx(sorted(holds)) and not watertight(plan)
    low = hull_of(tub(0.1) + block((1, -1, 0), (1.1, 1, 0.6)))
    assert low.volume == pytest.approx(8.0) and len(low.rims) == 1
    assert sizes(divided(low)) == pytest.approx([inside(0.1) - 0.1 * 1.8 * 0.5])


def test_what_stands_in_it_displaces_nothing() -> None:
    """Frames and benches in one piece with it, a tank as a part by itself, a sheet across."""
    size = (10.0, 4.0, 3.0)
    for piece, share in (
        (block((0, -2, 0), (10, -1.3, 1.2)), 9.8 * 0.6 * 1.1),
        (block((4, -2, 0), (4.1, 2, 0.6)), 0.1 * 3.8 * 0.5),
    ):
        hull = hull_of(tub(0.1, size) + piece)
        assert hull.volume == pytest.approx(120.0)
        assert sizes(divided(hull)) == pytest.approx([inside(0.1, size) - share])
    whole = hull_of(tub(0.1, size) + block((2, -1, 1), (4, 1, 2)))
    assert whole.volume == pytest.approx(120.0) and "nested-parts" in codes(whole)
    assert sizes(divided(whole)) == pytest.approx([4.0, inside(0.1, size) - 4.0])
    mesh = mesh_of(tub(0.1, size))
    sheet = [(5, -1.9, 0.1), (5, 1.9, 0.1), (5, 1.9, 3), (5, -1.9, 3)]
    count = len(mesh.vertices)
    both = build_hull(
        Mesh(
            "sheet",
            np.concatenate([mesh.vertices, sheet]),
            np.concatenate([mesh.triangles, count + np.array([[0, 1, 2], [0, 2, 3]])]),
            np.append(mesh.faces, [len(mesh.faces)] * 2),
        )
    )
    assert sizes(divided(both)) == pytest.approx([inside(0.1, size) / 2] * 2)


# Hulls of other forms.


@pytest.mark.parametrize(
    "hole,level",
    [
        (block((1, -0.3, 0.5), (2, 0.3, 2)), 1.0),
        (block((1, -2, 0.4), (1.5, 0, 0.6)), 0.4),
    ],
    ids=["a hatch", "a port in the side"],
)
def test_a_decked_shell_fills_through_its_hole(hole: Manifold, level: float) -> None:
    void = block((0.05, -0.95, 0.05), (3.95, 0.95, 0.95))
    hull = hull_of(block((0, -1, 0), (4, 1, 1)) - void - hole)
    lowest = min(rim[..., 2].min() for rim in hull.rims)
    assert lowest == pytest.approx(level)
    assert hull.volume == pytest.approx(8.0, abs=1e-9 if level == 1.0 else 0.0051)
    (compartment,) = divided(hull).compartments
    trunk = 0.6 * 0.05 if level == 1.0 else 0.0
    assert (
        compartment.volume == pytest.approx(3.9 * 1.9 * 0.9 + trunk, abs=0.0051)
        and not compartment.watertight
    )


def test_a_hold_within_a_coaming_is_open_and_the_deck_within_bulwarks_is_not() -> None:
    barge = block((0, -10, 0), (100, 10, 6)) - block((0.1, -9.9, 5), (99.9, 9.9, 8))
    hold = block((10, -7.9, 1), (89.9, 7.9, 8))
    hull = hull_of(barge + block((9.9, -8, 4.9), (90, 8, 6)) - hold)
    bulwark = 2000 - 99.8 * 19.8
    coaming = 80.1 * 16
    assert hull.volume == pytest.approx(10000 + bulwark + coaming)
    (compartment,) = (
        compartment for compartment in divided(hull).compartments if not compartment.watertight
    )
    assert compartment.volume == pytest.approx(79.9 * 15.8 * 5)


def test_the_tubs_of_a_catamaran() -> None:
    apart = tub(0.1, y=-2) + tub(0.1, y=2)
    for solid, more in ((apart, 0.0), (apart + block((1, -1.05, 0.5), (2, 1.05, 0.7)), 0.4)):
        hull = hull_of(solid)
        assert hull.volume == pytest.approx(16 + more) and len(hull.rims) == 2
        assert sizes(divided(hull)) == pytest.approx([inside(0.1)] * 2)


def test_a_keel_with_a_bulb_below_a_tub() -> None:
    keel = block((1.5, -0.05, -1.5), (2.5, 0.05, 0.05)) + block((1, -0.2, -1.8), (3, 0.2, -1.5))
    hull = hull_of(tub(0.05) + keel)
    assert hull.volume == pytest.approx(8 + 0.15 + 0.24)
    assert sizes(divided(hull)) == pytest.approx([inside(0.05)])


def test_a_barge_with_a_double_hull_keeps_its_hold_dry() -> None:
    hull = hull_of(block((0, -10, 0), (100, 10, 5)) - block((10, -9, 1), (90, 9, 6)))
    assert hull.volume == pytest.approx(10000)
    plan = divided(hull)
    assert sizes(plan) == pytest.approx([4240, 5760]) and watertight(plan) == [pytest.approx(4240)]


def surface(rows: int, sheer: float, inner: float = 0.0) -> Floats:
    """Points (rows, rows, 3) of a round-bilge hull of 10 by 3 by 1.5 m, so far within it (m)."""
    along, girth = np.linspace(0, 1, rows)[:, None], np.linspace(-1, 1, rows)[None] * np.pi / 2
    side = 1.5 * (1 - 0.7 * along**3) - inner
    top, bottom = 1.5 + sheer * (2 * along - 0.8) ** 2, 0.4 * along**4 + inner
    x = np.linspace(inner, 10 - inner, rows)[:, None] + 0 * girth
    y = side * np.sin(girth)
    return np.stack([x, y, bottom + (top - bottom) * (1 - np.cos(girth))], axis=-1)


def shell(rows: int, sheer: float, boundary: float, whole: bool = True) -> bodies.Body:
    """The hull of `surface` with flat ends and a shell with thickness, or as a sheet."""

    def closed(points: Floats, start: int) -> tuple[Floats, list[tuple[int, ...]]]:
        n = len(points)
        at = start + np.arange(n * n).reshape(n, n)
        quads = np.stack([at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]], axis=-1)
        ends = tuple(at[0].tolist()), tuple(at[-1, ::-1].tolist())
        return points.reshape(-1, 3), [*map(tuple, quads.reshape(-1, 4).tolist()), *ends]

    outer, faces = closed(surface(rows, sheer), 0)
    if not whole:
        return outer, tuple(faces)
    inner, lining = closed(surface(rows, sheer, boundary), len(outer))
    side = np.arange(rows) * rows
    ring = np.concatenate([side, side[::-1] + rows - 1])
    following = np.roll(ring, -1)
    rim = np.stack([ring, following, following + len(outer), ring + len(outer)], axis=1)
    faces += [face[::-1] for face in lining] + [tuple(face) for face in rim.tolist()]
    return np.concatenate([outer, inner]), tuple(faces)


@pytest.mark.slow
@given(
    seed=st.integers(0, 10**6),
    sheer=st.sampled_from([0.0, 0.3, 0.8]),
    boundary=st.sampled_from([0.02, 0.1]),
    rows=st.sampled_from([5, 12, 33]),
)
@settings(max_examples=30, deadline=None)
def test_a_round_hull_as_a_shell_floats_as_the_sheet(
    seed: int, sheer: float, boundary: float, rows: int
) -> None:
    """With any diagonals, normals at random, corners as single precision keeps them."""
    rng = np.random.default_rng(seed)
    vertices, polygons = shell(rows, sheer, boundary)
    polygons = tuple(tuple(np.roll(face, rng.integers(len(face))).tolist()) for face in polygons)
    mesh = bodies.mesh((vertices.astype(np.float32).astype(np.float64), polygons))
    turned = rng.random(len(mesh.triangles)) < 0.3
    triangles = np.where(turned[:, None], mesh.triangles[:, ::-1], mesh.triangles)
    hull = build_hull(Mesh("shell", mesh.vertices, triangles, mesh.faces))
    sheet = build_hull(bodies.mesh(shell(rows, sheer, boundary, whole=False)))
    assert len(hull.rims) == 1 and "open-shell" in codes(hull)
    assert hull.volume == pytest.approx(sheet.volume, rel=0.02)
    plan = divided(hull)
    assert len(plan.compartments) == 1 and not plan.compartments[0].watertight
    assert watertight(divided(hull, plane("deck", 2, 1.2)))


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_half_a_tub_mirrored_is_the_whole(side: float) -> None:
    low, high = sorted([0.0, 3.0 * side])
    half = tub(0.1) ^ block((-1, low, -1), (9, high, 9))
    hull = build_hull(mirrored(mesh_of(half)))
    assert hull.volume == pytest.approx(8.0) and len(hull.rims) == 1
    assert sizes(divided(hull)) == pytest.approx([inside(0.1)])


def test_a_tub_follows_its_vertices() -> None:
    mesh = mesh_of(tub(0.1))
    mould = build_reshapable_hull(mesh)
    longer = Mesh("hull", mesh.vertices * [1.5, 1.0, 1.2], mesh.triangles, mesh.faces)
    there = mould.reshaped(longer)
    assert there is not None
    assert there.hull.volume == pytest.approx(8 * 1.5 * 1.2)
    assert sizes(divided(there.hull)) == pytest.approx([inside(0.1) * 1.5 * 1.2])


# What is no open boat.

HULL = block((0, -2, 0), (10, 2, 3))
SOLIDS = {
    "a cockpit": HULL - block((1, -1, 2), (5, 1, 4)),
    "a deep cockpit": HULL - block((1, -1, 0.5), (5, 1, 4)),
    "a well": HULL - block((1, -1, 0.1), (2, 1, 4)),
    "a moon pool": HULL - block((4, -1, -1), (6, 1, 4)),
    "bulwarks": HULL - block((0.1, -1.9, 2), (9.9, 1.9, 4)),
    "high bulwarks": HULL - block((0.1, -1.9, 1.5), (9.9, 1.9, 4)),
    "bulwarks with ports": HULL
    - block((0.1, -1.9, 2), (9.9, 1.9, 4))
    - block((3, -3, 2), (4, 3, 2.5)),
    "the tunnel of a catamaran": HULL - block((-1, -1, -1), (11, 1, 2.5)),
    "a propeller tunnel": HULL - Manifold.cylinder(8, 0.8).rotate((0, 90, 0)).translate((-1, 0, 0)),
    "a house": HULL + block((2, -1, 2.9), (6, 1, 6)),
}
SHELLS = {
    "a hole through the bottom": tub(0.04) - block((2, 0, -1), (2.1, 0.1, 0.5)),
    "upside down": tub(0.04).rotate((180, 0, 0)),
    "open at one end": tub(0.05).rotate((0, 90, 0)),
    "a gutter": tub(0.05) - block((-1, -0.9, 0.05), (5, 0.9, 2)),
}


@pytest.mark.parametrize("solid", SOLIDS.values(), ids=SOLIDS)
def test_a_body_with_a_recess_stays_as_it_is(solid: Manifold) -> None:
    hull = hull_of(solid)
    assert hull.volume == pytest.approx(solid.volume(), rel=1e-9)
    assert not hull.rims and not hull.findings


@pytest.mark.parametrize("solid", SHELLS.values(), ids=SHELLS)
def test_a_shell_that_holds_no_water_is_reported(solid: Manifold) -> None:
    hull = hull_of(solid)
    assert hull.volume == pytest.approx(solid.volume(), rel=1e-9)
    assert codes(hull) == {"thin-shell"} and not hull.rims
    plan = divided(hull)
    assert not plan.compartments and plan.boundary_volume == pytest.approx(hull.volume)


def test_a_tub_of_which_half_is_marked_whole_is_refused() -> None:
    with refused("one side"):
        mirrored(mesh_of(tub(0.1)))

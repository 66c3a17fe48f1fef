"""Displacement, drafts, centers, metacentres and coefficients of bodies on an even keel."""

from __future__ import annotations

from math import cos, pi, radians, sqrt

import numpy as np
import pytest

from addon.core.buoyancy.attitude import Attitude, up_from_angles
from addon.core.hydrostatics.particulars import hydrostatics
from addon.core.model.case import FRESH_WATER
from addon.core.model.hull import build_hull
from tests.bodies import (
    box,
    geodesic_sphere,
    horizontal_cylinder,
    mesh,
    paraboloid,
    tree,
    vertical_cylinder,
    wedge,
    wigley,
)

from .conftest import Check
from .shapes import cone, double_ended, from_plan
from .ships import FOOT, LONG_TON, OLD_SEA_WATER, at_draft, at_rest, hull_of, load


def test_rectangular_barge(check: Check) -> None:
    """Box barge of 100 x 20 x 10 m at 5 m draft, KG 6 m, in sea water.

    Source: closed form, KB = T/2, BM = B^2/12T, BML = L^2/12T.
    """
    ship = at_rest(hull_of(box(100, 20, 10)), load(10250, 50, 0, 6))
    figures = ship.hydrostatics
    check("volume, m3", figures.immersion.volume, "10000", 10000)
    check("draft, m", figures.draft_mid, "5", 5)
    check("KB, m", figures.KB, "2.500", 5 / 2)
    check("BM, m", figures.BM, "6.66667", 20**2 / 60)
    check("KM, m", figures.KM, "9.16667", 55 / 6)
    check("GM, m", ship.GM, "3.16667", 55 / 6 - 6)
    check("BML, m", figures.BML, "166.6667", 100**2 / 60)
    check("GML, m", ship.GML, "163.1667", 100**2 / 60 - 3.5)
    check("LCB from AP, m", figures.immersion.buoyancy[0], "50", 50)
    check("LCF from AP, m", figures.immersion.flotation[0], "50", 50)
    check("waterplane, m2", figures.immersion.waterplane_area, "2000", 2000)
    check("TPC, t/cm", figures.sinkage_mass() / 1e5, "20.500", 20.5)
    moment = figures.displacement() / 1000 * ship.GML / 100 / 100
    check("MTC by GML, t m/cm", moment, "167.246", 10250 * (10**4 / 60 - 3.5) / 10**4)
    check("wetted surface, m2", figures.immersion.wetted_surface, "3200", 3200)
    check("Cb", figures.Cb, "1", 1)
    check("Cwp", figures.Cwp, "1", 1)
    check("Cm", figures.Cm, "1", 1)


def test_vee_prism(check: Check) -> None:
    """Triangular prism 32 m long, 8 m wide and 5 m deep, apex down, at 4 m draft, KG 3.7 m.

    Source: closed form, KB = 2T/3, BM = b^2/6T, BML = L^2/6T, b the waterline beam.
    """
    ship = at_rest(hull_of(wedge(32, 8, 5)), load(419.84, 16, 0, 3.7))
    figures = ship.hydrostatics
    check("draft, m", figures.draft_mid, "4", 4)
    check("volume, m3", figures.immersion.volume, "409.6", 409.6)
    check("waterline beam, m", figures.BWL, "6.4", 6.4)
    check("KB, m", figures.KB, "2.66667", 8 / 3)
    check("BM, m", figures.BM, "1.70667", 6.4**2 / 24)
    check("KM, m", figures.KM, "4.37333", 8 / 3 + 6.4**2 / 24)
    check("GM, m", ship.GM, "0.67333", 8 / 3 + 6.4**2 / 24 - 3.7)
    check("BML, m", figures.BML, "42.6667", 32**2 / 24)
    check("TPC, t/cm", figures.sinkage_mass() / 1e5, "2.0992", 2.0992)


@pytest.mark.parametrize(
    "draft, volume, KB, BM",
    [
        (1, "24.56739", "0.589960", "1.410040"),
        (2, "62.83185", "1.151174", "0.848826"),
        (3, "101.09631", "1.657346", "0.342654"),
    ],
)
def test_horizontal_cylinder(check: Check, draft: float, volume: str, KB: str, BM: str) -> None:
    """Horizontal cylinder of 2 m radius, 10 m long: the metacenter is on the axis at every draft.

    Source: closed form, circular segments; the mesh is a prism of 1440 sides.
    """
    figures = at_draft(hull_of(horizontal_cylinder(2, 10, 1440)), draft)
    at = f"at {draft} m draft"
    check(f"volume {at}, m3", figures.immersion.volume, volume, within=4e-4)
    check(f"KB {at}, m", figures.KB, KB, within=2e-5)
    check(f"BM {at}, m", figures.BM, BM, within=2e-5)
    check(f"KM {at}, m", figures.KM, "2.0", 2, facets=1e-5)


def test_sphere(check: Check) -> None:
    """Sphere of 1 m radius: the metacenter is at the center at every draft.

    Source: closed form, spherical caps; the mesh is a geodesic sphere of 20 480 triangles.
    """
    hull = hull_of(geodesic_sphere(1, 32))
    printed = {0.6: ("0.904779", "0.387500", "0.612500")}
    fine = {"within": 1.5e-3, "facets": 1.5e-3}
    for draft in (0.3, 0.6, 1.0, 1.7):
        figures = at_draft(hull, draft)
        volume, KB, BM = printed.get(draft, ("", "", ""))
        exact = 1 - 3 * (2 - draft) ** 2 / (4 * (3 - draft))
        cap = pi * draft**2 * (3 - draft) / 3
        check(f"volume at {draft} m, m3", figures.immersion.volume, volume, cap, **fine)
        check(f"KB at {draft} m, m", figures.KB, KB, exact, **fine)
        check(f"BM at {draft} m, m", figures.BM, BM, 1 - exact, **fine)
        check(f"KM at {draft} m, m", figures.KM, "1.0", 1, **fine)


def test_vertical_cylinder(check: Check) -> None:
    """Spar, a vertical cylinder of 4 m diameter at 6 m draft.

    Source: closed form, BM = R^2/4T; the mesh is a prism of 720 sides.
    """
    figures = at_draft(hull_of(vertical_cylinder(2, 10, 720)), 6)
    check("volume, m3", figures.immersion.volume, "75.3982", 24 * pi, within=2e-3, facets=2e-5)
    check("KB, m", figures.KB, "3.0", 3)
    check("BM, m", figures.BM, "0.166667", 1 / 6, within=5e-6, facets=2e-5)


def test_cone(check: Check) -> None:
    """Cone of 3 m radius and 6 m height, apex down, at 4 m draft.

    Source: closed form, KB = 3T/4, BM = 3r^2/4T; the mesh has 720 sides.
    """
    figures = at_draft(hull_of(cone(3, 6)), 4)
    check("volume, m3", figures.immersion.volume, "16.75516", 16 * pi / 3, within=5e-4, facets=2e-5)
    check("KB, m", figures.KB, "3.0", 3)
    check("BM, m", figures.BM, "0.750", 0.75, facets=2e-5)


def test_paraboloid(check: Check) -> None:
    """Paraboloid of revolution r^2 = 2z: BM is half the latus rectum at every draft.

    Source: closed form, V = pi p T^2/2, KB = 2T/3, BM = p/2; the mesh has 360 sides.
    """
    hull = hull_of(paraboloid(sqrt(8), 4, 120, 360))
    for draft, volume in ((1, "3.14159"), (2, "12.56637"), (3, "28.27433")):
        figures = at_draft(hull, draft)
        at, fine = f"at {draft} m draft", {"within": 5e-3, "facets": 5e-4}
        check(f"volume {at}, m3", figures.immersion.volume, volume, pi * draft**2, **fine)
        check(f"KB {at}, m", figures.KB, f"{2 * draft / 3:.4f}", 2 * draft / 3, **fine)
        check(f"BM {at}, m", figures.BM, "1.0", 1, **fine)


def test_wigley_hull(check: Check) -> None:
    """Wigley's parabolic hull, 10 x 1 x 0.625 m, wall-sided above the design draft, at that draft.

    Source: closed form on the formula of the standard research hull (its definition from memory);
    the mesh has 100 by 50 panels a side.
    """
    figures = at_draft(hull_of(wigley(10, 1, 0.625, 1.0, 50)), 0.625)
    wet = figures.immersion
    fine = 1e-3
    check("volume, m3", wet.volume, "2.777778", 25 / 9, 2e-3, fine)
    check("KB, m", figures.KB, "0.390625", 5 * 0.625 / 8, 2e-4, fine)
    check("BM, m", figures.BM, "0.137143", 3 / (35 * 0.625), 1e-4, fine)
    check("BML, m", figures.BML, "12.0", 12, facets=fine)
    check("Cb", figures.Cb, "0.4444", 4 / 9, 3e-4, fine)
    check("Cp", figures.Cp, "0.6667", 2 / 3, 5e-4, fine)
    check("Cm", figures.Cm, "0.6667", 2 / 3, 5e-4, fine)
    check("Cwp", figures.Cwp, "0.6667", 2 / 3, 5e-4, fine)
    check("LCB from AP, m", wet.buoyancy[0], "5", 5)
    check("wetted surface, m2", wet.wetted_surface, "14.8791", within=1.5e-2)


@pytest.mark.parametrize(
    "draft, volume, KB, BM, area",
    [
        (0.15625, "0.238715", "0.102983", "0.133636", "2.916667"),
        (0.3125, "0.868056", "0.203125", "0.185143", "5.0"),
        (0.46875, "1.757813", "0.299479", "0.178571", "6.25"),
    ],
)
def test_wigley_hull_lightly_laden(
    check: Check, draft: float, volume: str, KB: str, BM: str, area: str
) -> None:
    """Wigley's parabolic hull at part drafts.

    Source: closed form on the formula of the standard research hull (its definition from memory);
    the mesh has 100 by 64 panels a side.
    """
    figures = at_draft(hull_of(wigley(10, 1, 0.625, 1.0, 64)), draft)
    at = f"at {draft} m draft"
    check(f"volume {at}, m3", figures.immersion.volume, volume, within=1e-3 * float(volume))
    check(f"KB {at}, m", figures.KB, KB, within=1e-3 * float(KB))
    check(f"BM {at}, m", figures.BM, BM, within=1e-3 * float(BM))
    check(f"waterplane {at}, m2", figures.immersion.waterplane_area, area, within=5e-3)


def test_half_of_wigley_hull(check: Check) -> None:
    """Wigley's parabolic hull cut amidships and at the design draft: the forward half body.

    Source: closed form on the formula of the standard research hull (its definition from memory).
    """
    body = tree(wigley(10, 1, 0.625, 0.625, 50))
    half = body.below(Attitude(np.array([-1.0, 0.0, 0.0]), -5.0))
    check("volume, m3", half.volume, "1.38889", 25 / 18, 1e-3, 1e-3)
    check("centroid ahead of midships, m", half.buoyancy[0] - 5, "1.875", 3 * 10 / 16, 2e-3, 1e-3)


@pytest.mark.parametrize(
    "fullness, Cb, Cm, KB_share, BM_factor, BML_factor",
    [
        (1, "0.56073", "0.90909", "0.57010", "0.072721", "0.064542"),
        (0, "0.46222", "0.66667", "0.625", "0.088219", "0.078297"),
    ],
    ids=["full", "slender"],
)
def test_modified_wigley_hull(
    check: Check,
    fullness: int,
    Cb: str,
    Cm: str,
    KB_share: str,
    BM_factor: str,
    BML_factor: str,
) -> None:
    """Modified Wigley seakeeping models, 3 x 0.3 x 0.1875 m, full and slender.

    Source: formula of the models in J. M. J. Journée, Experiments and calculations on 4 Wigley hull
    forms in head waves, Delft University of Technology, report 909 (1992) (from memory);
    coefficients by integration. Which numbered model of the report is which is not checked.
    """
    length, breadth, draft = 3.0, 0.3, 0.1875

    def half_breadth(x: np.ndarray, z: np.ndarray) -> np.ndarray:
        along, down = 2 * x / length - 1, np.clip((draft - z) / draft, 0, None)
        fine = (1 - down**2) * (1 - along**2) * (1 + 0.2 * along**2)
        full = fullness * down**2 * (1 - down**8) * (1 - along**2) ** 4
        return breadth / 2 * (fine + full)

    z = draft * np.array([*np.linspace(0, 0.2, 40), *np.linspace(0.2, 1, 60)[1:], 1.3])
    hull = double_ended(half_breadth, np.linspace(0, length, 121), z)
    figures = at_draft(hull, draft)
    name = "full" if fullness else "slender"
    fine = {"within": 1e-3}
    if fullness:
        check(f"volume, {name}, m3", figures.immersion.volume, "0.094623", within=1e-4)
        check(f"Cp, {name}", figures.Cp, "0.61680", **fine)
    check(f"Cb, {name}", figures.Cb, Cb, **fine)
    check(f"Cwp, {name}", figures.Cwp, "0.69333", **fine)
    check(f"Cm, {name}", figures.Cm, Cm, **fine)
    check(f"KB/T, {name}", figures.KB / draft, KB_share, **fine)
    check(f"BM T/B^2, {name}", figures.BM * draft / breadth**2, BM_factor, within=1e-4)
    check(f"BML T/L^2, {name}", figures.BML * draft / length**2, BML_factor, within=1e-4)


def test_light_pontoon(check: Check) -> None:
    """A stable pontoon of 20 x 9 m, 200 t, KG 5.6 m.

    Source: closed form, T = W/(rho L B), GM = T/2 + B^2/12T - KG.
    """
    ship = at_rest(hull_of(box(20, 9, 3)), load(200, 10, 0, 5.6))
    draft = 200 / (1.025 * 180)
    check("volume, m3", ship.hydrostatics.immersion.volume, "195.12", 200 / 1.025)
    check("draft, m", ship.hydrostatics.draft_mid, "1.084", draft)
    check("BM, m", ship.hydrostatics.BM, "6.227", 81 / (12 * draft))
    check("GM, m", ship.GM, "1.17", draft / 2 + 81 / (12 * draft) - 5.6)
    assert ship.equilibrium.stable


def test_draft_of_box_in_sea_water(check: Check) -> None:
    """A box of 24 x 6 x 3 m weighing 150 t, in sea water.

    Source: closed form, T = W/(rho L B).
    """
    ship = at_rest(hull_of(box(24, 6, 3)), load(150, 12, 0, 1))
    check("draft, m", ship.hydrostatics.draft_mid, "1.016", 150 / (1.025 * 24 * 6))


def test_draft_from_dock_to_sea(check: Check) -> None:
    """A box at 7.5 m in dock water of 1.006 t/m3 goes to sea water of 1.025 t/m3.

    Source: closed form, the draft is inversely proportional to the density.
    """
    hull = hull_of(box(100, 20, 10))
    tonnes = at_draft(hull, 7.5).displacement(1006.0) / 1000
    ship = at_rest(hull, load(tonnes, 50, 0, 5))
    check("draft at sea, m", ship.hydrostatics.draft_mid, "7.361", 7.5 * 1.006 / 1.025)


def test_box_in_brackish_water(check: Check) -> None:
    """A box of 20 x 6 x 2.5 m at 1.5 m in water of 1.013 t/m3.

    Source: closed form, W = rho L B T, KB = T/2.
    """
    figures = at_draft(hull_of(box(20, 6, 2.5)), 1.5)
    check("displacement, t", figures.displacement(1013.0) / 1000, "182.34", 180 * 1.013)
    check("KB, m", figures.KB, "0.75", 0.75)


def test_least_metacentric_height_of_box(check: Check) -> None:
    """The draft at which the metacenter of a box 10 m wide is lowest.

    Source: C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, 5th ed.,
    p. 111: KM = T = B/sqrt(6).
    """
    hull = hull_of(box(60, 10, 10))
    drafts = np.linspace(3.0, 5.0, 201)
    heights = [at_draft(hull, draft).KM for draft in drafts]
    check("draft at least KM, m", drafts[np.argmin(heights)], "4.08", 10 / sqrt(6), facets=2e-3)
    check("least KM, m", min(heights), "4.08", 10 / sqrt(6), facets=1e-5)
    check("BM at 3.5 m draft, m", at_draft(hull, 3.5).BM, "2.38", 100 / 42)


def test_waterplane_from_ordinates(check: Check) -> None:
    """A waterplane of 120 m from seven half-breadths, drawn with straight sides.

    Source: C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, 5th ed., p. 74:
    1207 m2 and 12.37 t/cm by Simpson's rule, which fits parabolas. A mesh has straight edges
    between the ordinates and so the trapezoidal area, 1174 m2, which is 2.7 % less.
    """
    half = np.array([0.1, 4.6, 7.5, 7.6, 5.9, 3.7, 0.0])
    x = np.linspace(0, 120, 7)
    starboard = np.column_stack([x, -half])
    port = np.column_stack([x, half])[-2::-1]
    figures = at_draft(hull_of(from_plan(np.concatenate([starboard, port]), 4)), 2)
    area = figures.immersion.waterplane_area
    check("waterplane with straight sides, m2", area, "1174.0", 1174)
    check("the book's, by Simpson's rule, m2", area, "1207", within=0.03 * 1207)
    check("TPC, t/cm (12.37 by Simpson)", figures.sinkage_mass() / 1e5, "12.03", 1174 * 0.01025)


def test_box_in_feet_and_tons(check: Check) -> None:
    """Boxes in feet and long tons: BM and KM at a draft of half the beam, and tons per inch.

    Source: Nicholls's Seamanship and Nautical Knowledge, pp. 527 and 538 (public domain; scan at
    archive.org); 35 cubic feet per ton.
    """
    figures = at_draft(hull_of(box(200 * FOOT, 36 * FOOT, 30 * FOOT)), 18 * FOOT)
    check("BM, ft", figures.BM / FOOT, "6", 6)
    check("KM, ft", figures.KM / FOOT, "15", 15)
    figures = at_draft(hull_of(box(200 * FOOT, 30 * FOOT, 20 * FOOT)), 8 * FOOT)
    inch = figures.sinkage_mass(OLD_SEA_WATER) / (1000 * LONG_TON) * FOOT / 12
    check("tons per inch", inch, "14.286", 200 * 30 / 420)


@pytest.mark.parametrize("heel", [-60, 0, 30, 150])
def test_submerged_box(check: Check, heel: float) -> None:
    """A box of 10 x 4 x 3 m wholly submerged: no waterplane, and M is B.

    Source: closed form, the principle of Archimedes.
    """
    up = up_from_angles(radians(heel), 0.0)
    figures = hydrostatics(hull_of(box(10, 4, 3)), Attitude(up, 50.0))
    at = f"heeled {heel} deg"
    check(f"volume {at}, m3", figures.immersion.volume, "120", 120)
    check(f"BM {at}, m", figures.BM, "0", 0)
    check(f"KM {at}, m", figures.KM, exact=1.5 * cos(radians(heel)))


def test_open_box(check: Check) -> None:
    """An open box of 10 x 3 x 1.2 m and 9 t in fresh water, and the freeboard to its gunwale.

    Source: closed form, the principle of Archimedes.
    """
    vertices, faces = box(10, 3, 1.2)
    deck = [face for face in faces if (vertices[list(face), 2] == 1.2).all()]
    hull = build_hull(mesh((vertices, tuple(face for face in faces if face not in deck))))
    ship = at_rest(hull, load(9, 5, 0, 0.6), density=FRESH_WATER)
    assert ship.state == "afloat"
    check("draft, m", ship.hydrostatics.draft_mid, "0.3", 0.3)
    check("freeboard to the open edge, m", ship.downflooding_height, "0.9", 0.9)
    check("least freeboard, m", ship.hydrostatics.freeboard_min, "0.9", 0.9)
    check("wetted surface, m2", ship.hydrostatics.immersion.wetted_surface, "37.8", 37.8)
    check("area of the whole hull, m2", hull.tree.area, "61.2", 61.2)

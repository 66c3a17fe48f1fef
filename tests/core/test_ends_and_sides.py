"""Reports, the viewport and pictures name the right end and side: a box in each posture, computed
by hand."""

from __future__ import annotations

import re

import numpy as np
import pytest

from addon.blender.pictures.titles import Wording, particulars
from addon.blender.viewport.readout import readout
from addon.core.buoyancy.attitude import Attitude
from addon.core.damage.bulkhead_suggestion import suggest_bulkheads
from addon.core.damage.flooding import flood
from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.hydrostatics.particulars import hydrostatics
from addon.core.model.case import Case
from addon.core.model.compartment import CompartmentPlan
from addon.core.model.hull import build_hull
from addon.core.model.weights import Weight
from addon.report.floating import float_report, hydrostatics_report
from addon.report.flooding import bulkheads_report, flood_report
from addon.results.floating import float_result, hydrostatics_result
from addon.results.flooding import bulkheads_result, flood_result
from addon.units.lengths import Lengths
from tests import bodies
from tests.core.box_compartments import block
from tests.tank_networks import compartment_of

LENGTH, BREADTH, DEPTH, DRAFT, KG = 10.0, 4.0, 3.0, 1.0, 1.0
HULL = build_hull(bodies.mesh(bodies.box(LENGTH, BREADTH, DEPTH)))
WORDING = Wording(Lengths(fine=True), lambda mass: f"{mass:g} kg", lambda text, size: (size, size))


def loaded(x: float, y: float) -> Case:
    """The box on a mean draft of 1 m, its weight at a place."""
    mass = 1025 * LENGTH * BREADTH * DRAFT
    return Case("box", HULL, (Weight("all", mass, np.array([x, y, KG])),))


def off_the_middle(size: float, slope: float) -> float:
    """How far off the middle of a side so long (m) weight must be for the water to stand a slope
    higher on its half: B is off by L² t / 12 d and rises by L² t² / 24 d, with G plumb over it."""
    higher = DRAFT / 2 + (size * slope) ** 2 / (24 * DRAFT) - KG
    return size**2 * slope / (12 * DRAFT) + slope * higher


def afloat(trim: float = 0.0, heel: float = 0.0) -> FloatingPosition:
    """The box trimmed by the stern by a slope, or heeled to starboard by one."""
    aft, starboard = off_the_middle(LENGTH, trim), off_the_middle(BREADTH, heel)
    return find_floating_position(loaded(LENGTH / 2 - aft, -starboard), seek_others=False)


def run_command(report: str) -> dict[str, str]:
    """The lines of a report that have a name and a figure."""
    rows = [re.split(r"\s{2,}", line.strip()) for line in report.splitlines()]
    return {row[0]: row[1] for row in rows if len(row) == 2}


@pytest.mark.parametrize(("slope", "end"), [(0.02, "stern"), (-0.02, "bow")])
def test_trim_and_drafts(slope: float, end: str) -> None:
    ship = afloat(trim=slope)
    aft, forward = DRAFT + 5 * slope, DRAFT - 5 * slope
    values = run_command(float_report(float_result(ship), ship.case.weights))
    assert values["Draft aft"] == f"{aft:.3f} m" and values["Draft forward"] == f"{forward:.3f} m"
    assert values["Trim"] == f"0.200 m by the {end}"
    assert values["Trim angle"] == f"1.15 deg by the {end}"
    assert values["List"] == "0.00 deg"
    assert f"trim 0.20 m by the {end}" in readout(ship, "box", False, Lengths())[0]
    values = dict(particulars(ship, WORDING))
    assert values["Draft aft"] == f"{aft:.3f} m" and values["Draft forward"] == f"{forward:.3f} m"
    assert values[f"Trim by the {end}"] == "0.200 m" and values["List"] == "none"


@pytest.mark.parametrize(("slope", "side"), [(0.1, "starboard"), (-0.1, "port")])
def test_list(slope: float, side: str) -> None:
    ship = afloat(heel=slope)
    values = run_command(float_report(float_result(ship), ship.case.weights))
    assert values["List"] == f"5.71 deg to {side}" and values["Trim angle"] == "0.00 deg"
    assert f"list 5.7° to {side}" in readout(ship, "box", False, Lengths())[0]
    assert dict(particulars(ship, WORDING))["List"] == f"5.7° to {side}"


@pytest.mark.parametrize(("sign", "side", "end"), [(1, "starboard", "stern"), (-1, "port", "bow")])
def test_hydrostatics_at_a_trim_and_heel(sign: int, side: str, end: str) -> None:
    attitude = Attitude.from_draft(DRAFT, LENGTH / 2, sign * 0.1, sign * 0.03)
    result = hydrostatics_result(loaded(5.0, 0.0), [hydrostatics(HULL, attitude)])
    trim = LENGTH * np.tan(0.03) / np.cos(0.1)
    line = f"Drafts amidships; heel 5.73 deg to {side}, trim {trim:.3f} m by the {end}."
    assert line in hydrostatics_report(result).splitlines()


@pytest.mark.parametrize(("x", "end"), [((0, 2), "stern"), ((8, 10), "bow")])
def test_a_flooded_end_is_the_deeper(x: tuple[float, float], end: str) -> None:
    plan = CompartmentPlan((compartment_of("peak", block(x, (-2, 2), (0, 3))),))
    values = run_command(flood_report(flood_result(flood(loaded(5.0, 0.0), plan, ["peak"]))))
    aft, forward = (float(values[f"Draft {which}"].split()[0]) for which in ("aft", "forward"))
    assert (aft > DRAFT > forward) if end == "stern" else (forward > DRAFT > aft)
    assert values["Trim"] == f"{abs(aft - forward):.3f} m by the {end}"


def test_compartments_of_advised_bulkheads_are_deeper_where_they_flood() -> None:
    case = loaded(5.0, 0.0)
    advice = suggest_bulkheads(case, 2, permeability=0.3)
    values = bulkheads_report(bulkheads_result(case, advice, 2, 0.3)).splitlines()
    head = next(i for i, line in enumerate(values) if line.split()[:3] == ["from", "x", "m"])
    rows = [[float(cell) for cell in line.split()] for line in values[head + 1 : head + 4]]
    (*_, aft_first, forward_first), _, (*_, aft_last, forward_last) = rows
    assert aft_first > forward_first and aft_last < forward_last

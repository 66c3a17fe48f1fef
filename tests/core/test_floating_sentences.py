"""What is said of a floating position, in words and with the right figures and sides."""

from __future__ import annotations

import numpy as np
import pytest

from addon.core.hydrostatics.floating_position import FloatingPosition, find_floating_position
from addon.core.model.case import Case
from addon.core.model.hull import build_hull
from addon.core.model.weights import Weight
from tests import bodies

BOX = (10.0, 4.0, 2.0)


def afloat(draft: float, center: tuple[float, float, float], size: tuple = BOX) -> FloatingPosition:
    hull = build_hull(bodies.mesh(bodies.box(*size)))
    mass = 1025.0 * size[0] * size[1] * draft
    return find_floating_position(Case("box", hull, (Weight("all", mass, np.array(center)),)))


def run_command(ship: FloatingPosition) -> dict[str, str]:
    return {finding.code: finding.text for finding in ship.findings}


def test_nothing_is_said_of_a_ship_that_is_well() -> None:
    assert run_command(afloat(1.0, (5.0, 0.0, 0.5))) == {}


@pytest.mark.parametrize(("y", "side"), [(0.1, "port"), (-0.1, "starboard")])
@pytest.mark.wording
def test_a_list_names_the_side_and_how_far_weight_is_off(y: float, side: str) -> None:
    """tan p (GM + BM tan^2 p / 2) = 0.1 with GM = BM = 4/3 m: 4.28 degrees."""
    assert run_command(afloat(1.0, (5.0, y, 0.5))) == {
        "list": f"Lists 4.3 degrees to {side}: weight is 0.10 m off center to {side}"
    }


@pytest.mark.parametrize(("x", "end", "where"), [(5.3, "bow", "forward"), (4.7, "stern", "aft")])
@pytest.mark.wording
def test_a_trim_names_the_end_and_how_far_weight_is_off(x: float, end: str, where: str) -> None:
    """tan t (GML + BML tan^2 t / 2) = 0.3 with GML = BML = 25/3 m: 0.36 m over 10 m."""
    assert run_command(afloat(1.0, (x, 0.0, 0.5))) == {
        "trim": f"Trims 0.36 m by the {end}: weight is 0.30 m {where} of the "
        "buoyancy of an even keel"
    }


@pytest.mark.parametrize(("GM", "tender"), [(0.149, True), (0.15 - 1e-7, False), (0.151, False)])
@pytest.mark.wording
def test_tender_below_the_least_gm_of_the_is_code(GM: float, tender: bool) -> None:
    """2008 IS Code, A 2.2.4: GM not below 0.15 m. KM of the box is 1/2 + 4/3 m."""
    text = run_command(afloat(1.0, (5.0, 0.0, 0.5 + 4 / 3 - GM)))
    assert ("tender" in text) == tender
    assert not tender or text["tender"].startswith(f"Tender: GM is {GM:.3f} m")


@pytest.mark.wording
def test_a_deck_edge_under_water_is_placed() -> None:
    ship = afloat(1.9, (5.0, -0.1, 0.5))
    text = run_command(ship)["deck-under"]
    assert ship.hydrostatics is not None and ship.hydrostatics.freeboard_min < 0
    assert "2.00 m to starboard, z 2.00 m" in text


@pytest.mark.parametrize(("x", "end"), [(1.0, "stern"), (9.0, "bow")])
@pytest.mark.wording
def test_a_spar_stands_on_its_end(x: float, end: str) -> None:
    text = run_command(afloat(0.5, (x, 0.0, 0.5), (10.0, 1.0, 1.0)))
    assert text["on-end"] == f"Stands on the {end}"
    assert "capsized" not in text

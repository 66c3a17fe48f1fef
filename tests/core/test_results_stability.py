"""Results of stability: the keys of the contract, and the numbers of the core to the last digit."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import numpy as np
import pytest

from addon.core.criteria.assessment import Assessment, assess
from addon.core.criteria.codes import CODES
from addon.core.criteria.disclaimer import CAUTION, UNCHECKED, criteria_note
from addon.core.criteria.limiting_kg import LimitingKG
from addon.core.criteria.verdict import Verdict
from addon.core.hydrostatics.floating_position import find_floating_position
from addon.core.model.case import Case
from addon.core.model.conditions import Condition
from addon.core.model.hull import build_hull
from addon.core.model.loaded_case import in_condition
from addon.core.model.openings import Opening
from addon.core.model.tanks import Tank, free_surface_moment
from addon.core.model.user_criteria import CustomCriterion
from addon.core.model.weights import Weight
from addon.core.stability.cross_curves import CrossCurve, cross_curves
from addon.report.stability import stability_report
from addon.results.conditions import condition_rows, conditions_result
from addon.results.cross_curves import cross_curve_rows, cross_curves_result
from addon.results.floating import csv_text, float_result, json_text
from addon.results.limiting_kg import limiting_kg_result, limiting_kg_rows
from addon.results.stability import stability_result, stability_rows, sunk_result
from tests.bodies import box, mesh, moved, tree

CONTRACT = """
    heel_deg GZ_m trim_m draft_mid_m area_m_rad GZ_max_m GZ_max_at_deg vanishing_stability_deg
    downflooding_deg downflooding_opening deck_edge_immersion_deg criteria criteria_checked
    criteria_note GM_upright_m sides heeling_levers converged volume_residual lever_residual_m
    disclaimer warnings corrective_actions notes GZ_max_to_downflooding_m range_to_downflooding_deg
""".split()
HEELS = np.radians([-30.0, -7.0, 0.0, 7.0, 30.0, 61.0, 180.0])


def barge(mass: float = 41_000.0, y: float = 0.0, **more) -> Case:
    """A box 10 x 4 x 3 m that floats at 1 m in sea water, with a slack tank across it."""
    hull = build_hull(mesh(box(10, 4, 3), "barge"))
    tank = Tank("fuel", tree(moved(box(2, 3, 1), (4, 0, 0.2))), 850.0, 0.5)
    weight = Weight("all", mass - tank.mass, np.array([5.0, y, 1.5]))
    return Case("Barge", hull, (weight,), tanks=(tank,), **more)


@pytest.fixture(scope="module")
def judged() -> Assessment:
    vents = (
        Opening("port vent", np.array([5.0, 1.5, 3.4])),
        Opening("starboard hatch", np.array([5.0, -1.9, 3.05]), weathertight=True),
    )
    rules = (
        CustomCriterion("stiff", "GM", least=0.1),
        CustomCriterion("too stiff", "GM", least=5.0),
        CustomCriterion("crowd", "heel under moment", most=0.2, moment=4_000.0),
    )
    return assess(barge(y=-0.05, openings=vents, codes=(), custom_criteria=rules), HEELS)


@pytest.fixture(scope="module")
def result(judged) -> dict:
    return stability_result(judged, HEELS)


# How it floats --------------------------------------------------------------------------------


def test_free_surfaces_are_reported_tank_by_tank():
    """A tank 3 m wide and 2 m long: rho l b^3 / 12 = 850 x 2 x 27 / 12 kg m, over 41 t."""
    values = float_result(find_floating_position(barge()))
    (tank,) = values["tanks"]
    assert tank["free_surface_moment_t_m"] == pytest.approx(0.85 * 2 * 27 / 12)
    assert values["GM_solid_m"] - values["GM_m"] == pytest.approx(0.85 * 2 * 27 / 12 / 41)
    assert (tank["name"], tank["fill"], tank["capacity_m3"]) == ("fuel", 0.5, pytest.approx(6))
    assert tank["mass_kg"] == pytest.approx(850 * 3)
    assert tank["level_m"] == pytest.approx(0.7)
    assert tank["height_above_water_m"] == pytest.approx(-0.3)
    assert tank["center_m"] == pytest.approx([5.0, 0.0, 0.45])


def test_what_free_surfaces_take_off_GM_adds_up_at_a_list():
    case = barge(y=0.1)
    ship = find_floating_position(case)
    values = float_result(ship)
    (tank,) = values["tanks"]
    assert abs(values["heel_deg"]) > 3
    lost = 1000 * tank["free_surface_moment_t_m"] / values["displacement_kg"]
    assert values["GM_solid_m"] - values["GM_m"] == pytest.approx(lost, rel=1e-12)
    assert 1000 * tank["free_surface_moment_t_m"] > free_surface_moment(case.tanks[0])
    assert values["GM_upright_solid_m"] == pytest.approx(0.5 + 4 / 3 - case.load.solid.center[2])
    x, y, z = tank["center_m"]
    surface = np.array([x, y, tank["level_m"]])
    assert ship.equilibrium.attitude.heights(surface) == pytest.approx(tank["height_above_water_m"])


def test_an_empty_tank_has_nothing_to_tell():
    case = barge()
    dry = replace(case, tanks=(case.tanks[0].filled(0.0),))
    values = float_result(find_floating_position(dry))
    (tank,) = values["tanks"]
    assert (tank["mass_kg"], tank["free_surface_moment_t_m"]) == (0.0, 0.0)
    assert tank["center_m"] is tank["level_m"] is tank["height_above_water_m"] is None
    assert values["GM_solid_m"] == values["GM_m"]


def test_openings_stand_over_the_water_at_rest():
    vent = Opening("vent", np.array([5.0, 1.5, 3.4]), weathertight=True)
    ship = find_floating_position(barge(y=0.1, openings=(vent,)))
    (values,) = float_result(ship)["openings"]
    assert values == {
        "name": "vent",
        "position_m": [5.0, 1.5, 3.4],
        "protection": "weathertight",
        "height_above_water_m": float(ship.equilibrium.attitude.heights(vent.point)),
    }


@pytest.mark.parametrize("weathertight", [False, True])
def test_a_ship_with_an_opening_under_water_is_lost_unless_it_is_shut(weathertight):
    scuttle = Opening("scuttle", np.array([5.0, 2.0, 0.8]), weathertight)
    values = float_result(find_floating_position(barge(openings=(scuttle,))))
    assert values["failed"] == ([] if weathertight else ["opening-under"])


def test_a_sunk_ship_has_every_key_of_tanks_and_openings():
    case = barge(200_000.0, openings=(Opening("vent", np.array([5.0, 1.5, 3.4])),))
    values = float_result(find_floating_position(case))
    assert values["openings"][0]["height_above_water_m"] is None
    assert values["tanks"][0]["height_above_water_m"] is None
    assert values["GM_m"] is None
    json_text(values)


# GZ curve ---------------------------------------------------------------------------------


def test_the_result_keeps_the_contract(result):
    assert set(CONTRACT) <= result.keys()
    assert json.loads(json_text(result)) == {"format": 1, **result}
    assert result["disclaimer"] == CAUTION


def test_arms_are_those_of_the_core_at_exactly_the_heels_asked_for(judged, result):
    curve = judged.stability.curve
    assert result["heel_deg"] == [-30.0, -7.0, 0.0, 7.0, 30.0, 61.0, 180.0]
    for at, heel in enumerate(HEELS):
        held = curve.heeling.at(heel, curve.at(heel))
        assert heel in curve.gz_curve.heels
        assert result["GZ_m"][at] == curve.at(heel).arm == pytest.approx(held.arm, abs=1e-12)
        assert result["area_m_rad"][at] == curve.gz_curve.area(0.0, heel)
        assert result["trim_deg"][at] == np.degrees(curve.at(heel).attitude.trim_rad)
        assert result["converged"][at] is True
        assert abs(result["volume_residual"][at]) < 1e-9
        assert abs(result["lever_residual_m"][at]) < 1e-8
    assert result["area_m_rad"][2] == 0
    assert result["draft_mid_m"][-1] is result["trim_m"][-1] is None
    assert result["trim_m"][2] == pytest.approx(0, abs=1e-9)


def test_GM_is_the_slope_of_GZ_upright(judged, result):
    step = 1e-4
    at = judged.stability.curve.at
    slope = (at(step).arm - at(-step).arm) / (2 * step)
    assert result["GM_upright_m"] == pytest.approx(slope, rel=1e-6)


def test_sides_count_positive_to_themselves(judged, result):
    for name in ("starboard", "port"):
        side, values = getattr(judged.stability, name), result["sides"][name]
        assert values["equilibrium_heel_deg"] == np.degrees(side.equilibrium_heel)
        assert values["vanishing_stability_deg"] == np.degrees(side.vanishing_angle)
        assert values["range_deg"] == np.degrees(side.range)
        assert (values["GZ_max_m"], values["GZ_max_at_deg"]) == (
            side.max_gz,
            np.degrees(side.max_gz_heel),
        )
        assert values["deck_edge_immersion_deg"] == np.degrees(side.deck_edge_angle)
        assert values["area_to_30_m_rad"] == side.gz_curve.area(0.0, np.radians(30.0))
        assert [each["name"] for each in values["openings"]] == [
            each.opening.name for each in side.immersions
        ]
    assert result["sides"]["starboard"]["equilibrium_heel_deg"] > 0
    assert result["sides"]["port"]["equilibrium_heel_deg"] < 0
    assert result["sides"]["port"]["downflooding_opening"] == "port vent"
    hatch = result["sides"]["starboard"]["openings"][0]
    assert (hatch["name"], hatch["protection"]) == ("starboard hatch", "weathertight")
    assert result["sides"]["starboard"]["downflooding_deg"] > hatch["heel_deg"]


def test_the_angles_beside_the_curve_belong_to_it(judged):
    """They lie on the heels of the curve as it is printed: signed, to the side it runs to."""
    stern = stability_result(judged, HEELS)
    port = stability_result(judged, -HEELS[::-1])
    assert (stern["side"], port["side"]) == ("starboard", "port")
    assert stern["GZ_max_at_deg"] > 0 > port["GZ_max_at_deg"]
    assert port["GZ_max_m"] == -port["sides"]["port"]["GZ_max_m"] < 0
    assert port["vanishing_stability_deg"] == -port["sides"]["port"]["vanishing_stability_deg"]
    assert port["downflooding_opening"] == "port vent"
    arm = judged.stability.curve.at(np.radians(port["GZ_max_at_deg"])).arm
    assert arm == pytest.approx(port["GZ_max_m"], abs=1e-4)


def test_areas_end_at_flooding():
    """A vent near the rail floods before 30 degrees, so all areas end there."""
    ship = assess(barge(openings=(Opening("vent", np.array([5.0, -2.0, 2.0])),), codes=()))
    values = stability_result(ship, [0.0])["sides"]["starboard"]
    assert values["downflooding_deg"] == pytest.approx(np.degrees(np.arctan(1 / 2)), abs=1e-6)
    assert values["area_to_deg"] == values["downflooding_deg"]
    assert values["area_to_30_m_rad"] == values["area_to_40_m_rad"]
    assert values["area_30_to_40_m_rad"] == 0
    whole = ship.stability.starboard.gz_curve.area(0.0, np.radians(values["downflooding_deg"]))
    assert values["area_to_30_m_rad"] == pytest.approx(whole)


def test_range_and_greatest_arm_to_flooding_stop_where_water_gets_in():
    """A vent goes under at atan(1/2), before GZ is greatest: the arm there is what is left."""
    ship = assess(barge(openings=(Opening("vent", np.array([5.0, -2.0, 2.0])),), codes=()))
    values = stability_result(ship, [0.0, 1.0])
    starboard, port = values["sides"]["starboard"], values["sides"]["port"]
    flooding = np.degrees(np.arctan(1 / 2))
    assert starboard["GZ_max_at_deg"] > flooding
    assert starboard["range_to_downflooding_deg"] == pytest.approx(flooding, abs=1e-6)
    assert starboard["GZ_max_to_downflooding_at_deg"] == pytest.approx(flooding, abs=1e-6)
    arm = float(ship.stability.curve.gz_curve.arm(np.radians(flooding)))
    assert starboard["GZ_max_to_downflooding_m"] == pytest.approx(arm, rel=1e-6)
    assert starboard["range_deg"] > 60 and values["range_to_downflooding_deg"] == pytest.approx(
        flooding
    )
    assert port["range_to_downflooding_deg"] == port["range_deg"]
    assert port["GZ_max_to_downflooding_m"] == port["GZ_max_m"]
    text = stability_report(values)
    assert "Maximum GZ to downflooding" in text and f"{flooding:.2f}" in text
    dry = stability_result(assess(barge(codes=())), [0.0, 1.0])
    assert "to downflooding" not in stability_report(dry)


def test_nothing_is_left_to_flooding_where_water_comes_in_at_rest():
    case = barge(openings=(Opening("hole", np.array([5.0, -2.0, 0.5])),), codes=())
    side = stability_result(assess(case), [0.0])["sides"]["starboard"]
    assert side["range_deg"] > 60 and side["range_to_downflooding_deg"] == 0
    assert side["GZ_max_to_downflooding_m"] is side["GZ_max_to_downflooding_at_deg"] is None


def test_what_never_happens_is_null():
    """A box with G at its bottom rights itself from any heel."""
    hull = build_hull(mesh(box(10, 4, 3)))
    case = Case("Box", hull, (Weight("all", 41e3, np.array([5.0, 0.0, 0.05])),), codes=())
    values = stability_result(assess(case), [0.0, 1.0])
    assert values["vanishing_stability_deg"] is None and values["downflooding_deg"] is None
    assert values["downflooding_opening"] is None
    assert values["range_deg"] == pytest.approx(180)
    json_text(values)


# Criteria --------------------------------------------------------------------------------------


def test_criteria_are_reported_in_full(judged, result):
    assert [row["outcome"] for row in result["criteria"]] == ["passes", "fails", "fails"]
    for row, verdict in zip(result["criteria"], judged.verdicts, strict=True):
        for key in ("code", "clause", "required", "attained", "margin", "unit", "sense"):
            assert row[key] == getattr(verdict, key)
        assert row["passes"] is (verdict.outcome == "passes")
        assert (row["reason"], row["description"]) == (verdict.reason, verdict.what)
    assert result["failed"] == result["criteria_checked"] == [judged.verdicts[0].code]


@pytest.mark.parametrize("outcome", ["not applicable", "not known"])
def test_what_is_not_judged_neither_passes_nor_fails(judged, outcome):
    verdict = Verdict(
        "code.1", "Code", "1", "Figure", None, None, "m", "at least", outcome, "reason"
    )
    values = stability_result(replace(judged, verdicts=(verdict,)), [0.0])
    assert values["criteria"][0]["passes"] is None
    assert (values["failed"], values["criteria_checked"]) == ([], [])
    assert values["criteria_note"].startswith(UNCHECKED)


def test_the_note_says_which_codes_were_checked_and_which_not():
    def verdict(code, outcome):
        return Verdict(code, code, "", "", None, None, "", "at least", outcome, "")

    note = criteria_note(
        [
            verdict("A", "passes"),
            verdict("A", "not known"),
            verdict("B", "fails"),
            verdict("B", "not applicable"),
            verdict("C", "not applicable"),
            verdict("D", "not applicable"),
            verdict("D", "not known"),
            *(verdict(code.title, "not applicable") for code in CODES[1:]),
        ]
    )
    alien = "; ".join(code.title for code in CODES[1:])
    assert note == (
        "Criteria checked: A; B. Not known, as facts are missing: part of A; D. "
        f"Not applicable: C; {alien}. Not asked for: {CODES[0].title}."
    )


@pytest.mark.parametrize(("y", "weaker", "sign"), [(-0.05, "starboard", 1), (0.05, "port", -1)])
def test_heeling_arms_lie_on_the_curve(y, weaker, sign):
    """A moment over the displacement, with the cosine of the heel, towards the weaker side."""
    rule = CustomCriterion("crowd", "heel under moment", most=0.2, moment=4_000.0)
    values = stability_result(assess(barge(y=y, codes=(), custom_criteria=(rule,))), HEELS)
    (arm,) = values["heeling_levers"]
    assert (arm["name"], values["weaker_side"]) == ("crowd", weaker)
    expected = sign * 4_000 / 41_000 * np.maximum(np.cos(HEELS), 0)
    assert arm["lever_m"] == pytest.approx(expected, abs=1e-12)


def test_wind_and_crowd_show_where_their_codes_were_checked():
    wanted = ("is-code-2.3", "is-code-3.1")
    case = barge(codes=wanted)
    service = replace(
        case.service, kind="passenger", passengers=20, passenger_offset=1.0, speed=4.0
    )
    values = stability_result(assess(replace(case, service=service)), [0.0])
    names = [arm["name"] for arm in values["heeling_levers"]]
    assert names == ["steady wind", "gust", "crowd", "turn"]
    assert values["heeling_levers"][2]["lever_m"] == [pytest.approx(20 * 75 / 41_000)]
    assert stability_result(assess(barge(codes=())), [0.0])["heeling_levers"] == []


# Other results ---------------------------------------------------------------------------------


def test_a_ship_that_sinks_has_every_key_and_nulls(result):
    ship = find_floating_position(barge(200_000.0), seek_others=False)
    values = sunk_result(ship, HEELS)
    assert list(values) == list(result)
    assert (values["state"], values["failed"]) == ("sunk", ["sunk"])
    assert values["GZ_m"] == [None] * len(HEELS) and values["GM_upright_m"] is None
    assert len(values["heel_deg"]) == len(HEELS)
    assert list(values["floating"]) == list(result["floating"])
    json_text(values)


def test_conditions_stand_side_by_side():
    case = barge(codes=())
    light = in_condition(case, Condition("light", {"fuel": 0.0}))
    results = {
        name: stability_result(assess(state), HEELS)
        for name, state in (("as modeled", case), ("light", light))
    }
    results["sunk"] = sunk_result(
        find_floating_position(barge(200_000.0), seek_others=False), HEELS
    )
    whole = conditions_result(results)
    assert [state["condition"] for state in whole["conditions"]] == list(results)
    assert whole["conditions"][1]["title"] == "Barge, light"
    assert whole["failed"] == ["sunk"]
    here, there, lost = condition_rows(whole)
    assert here["displacement_kg"] == pytest.approx(41_000)
    assert there["displacement_kg"] == pytest.approx(41_000 - 850 * 3)
    assert (here["GM_upright_m"], lost["GM_upright_m"], lost["range_deg"]) == (
        results["as modeled"]["GM_upright_m"],
        None,
        None,
    )
    assert here["range_deg"] == results["as modeled"]["sides"][here["weaker_side"]]["range_deg"]
    assert list(here) == list(there) == list(lost)
    json_text(whole)


def test_cross_curves_are_reported_as_computed():
    case = barge()
    heels = np.radians([10.0, 30.0])
    curves = cross_curves(case, [30_000.0, 41_000.0], heels, 1.2)
    values = cross_curves_result(case, curves, heels, 1.2)
    assert values["heel_deg"] == [10.0, 30.0] and values["KG_assumed_m"] == 1.2
    for row, curve in zip(values["rows"], curves, strict=True):
        assert (row["displacement_kg"], row["draft_m"]) == (curve.displacement, curve.draft)
        assert row["KN_m"] == curve.KN.tolist()
    assert cross_curves_result(case, curves, heels)["KG_assumed_m"] == 1.5
    (first, second) = csv.DictReader(io.StringIO(csv_text(cross_curve_rows(values))))
    assert list(first) == ["displacement_kg", "draft_m", "KN_10deg_m", "KN_30deg_m"]
    assert float(second["KN_30deg_m"]) == curves[1].KN[1]


def test_a_displacement_without_balance_says_so():
    curve = CrossCurve(1.0, 0.1, np.array([np.nan]), np.array([False]))
    (row,) = cross_curves_result(barge(), [curve], [1.0])["rows"]
    assert (row["KN_m"], row["converged"]) == ([None], [False])


@pytest.mark.parametrize(("most", "failed"), [(2.0, []), (1.0, ["KG"]), (None, ["KG"])])
def test_limits_hold_its_own_G_against_them(most, failed):
    """Free surfaces count as a rise of G: the classical moment over the displacement."""
    case = barge()
    load = case.load
    limits = [
        LimitingKG(30_000.0, 0.8, 2.5, 1.75, ("a", "b")),
        LimitingKG(50_000.0, 1.2, 2.2, None, ("c",)),
    ]
    own = LimitingKG(load.mass, 1.0, 2.3, most, ("a",))
    values = limiting_kg_result(case, limits, own=own)
    raised = load.solid.center[2] + 850 * 2 * 27 / 12 / 41_000
    assert values["KG_m"] == pytest.approx(raised, rel=1e-12)
    assert values["failed"] == failed
    assert values["margin_m"] == (None if most is None else pytest.approx(most - raised))
    first, second = values["rows"]
    assert (first["KG_max_m"], first["GM_min_m"]) == (1.75, 0.75)
    assert (second["KG_max_m"], second["GM_min_m"]) == (None, None)
    rows = list(csv.DictReader(io.StringIO(csv_text(limiting_kg_rows(values)))))
    assert (rows[0]["governing"], rows[1]["KG_max_m"]) == ("a; b", "")


def test_limits_of_a_hull_without_weights():
    values = limiting_kg_result(
        replace(barge(), weights=(), tanks=()), [LimitingKG(3e4, 0.8, 2.5, 1.7, ())]
    )
    assert values["failed"] == [] and values["KG_m"] is values["margin_m"] is None


def test_rows_of_a_curve_have_units_in_their_names(result):
    text = csv_text(stability_rows(result))
    rows = list(csv.DictReader(io.StringIO(text)))
    assert len(rows) == len(HEELS)
    assert [float(row["GZ_m"]) for row in rows] == result["GZ_m"]
    assert [float(row["heel_deg"]) for row in rows] == result["heel_deg"]
    assert [float(row["crowd lever_m"]) for row in rows] == result["heeling_levers"][0]["lever_m"]
    assert rows[-1]["trim_m"] == ""

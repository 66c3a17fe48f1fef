"""Keys that several results share."""

from __future__ import annotations

from typing import get_args

from ...core.criteria.verdict import Outcome, Sense
from ...core.damage.outcome import Outcome as Fate
from ...core.hydrostatics.floating_position import FloatingState
from ...core.model.compartment import PERMEABILITY_BY_USE
from ...core.model.openings import OpeningKind
from ...parts import declarations
from .key import FLAG, NUMBER, POINT, TEXT, Key, Record, nullable

STATES, FATES = get_args(FloatingState), get_args(Fate)
OUTCOMES, SENSES = get_args(Outcome), get_args(Sense)
KINDS, USES = get_args(OpeningKind), tuple(PERMEABILITY_BY_USE)
SIDES = ("starboard", "port")

HEADING = (
    Key("title", TEXT, "the case, with its condition"),
    Key("hull", TEXT, "the hull's mesh"),
    Key("length_pp_m", NUMBER, "length between perpendiculars"),
    Key("length_overall_m", NUMBER, "length overall"),
    Key("breadth_m", NUMBER, "maximum breadth of the hull"),
    Key("depth_m", NUMBER, "height from the lowest to the highest point of the hull"),
    Key("hull_volume_m3", NUMBER, "volume of the whole hull"),
    Key("water_density_kg_m3", NUMBER, "density of the water outside"),
)
FAILED = Key(
    "failed", TEXT, "codes of the checks that failed; exit code 1 if there are any", deep=1
)
FINDINGS = (
    Key("warnings", TEXT, "what is wrong or needs attention, the gravest first", deep=1),
    Key("notes", TEXT, "further information", deep=1),
)
ADVICE = Key("corrective_actions", TEXT, "corrective actions", deep=1)
CLOSING = (
    Key("criteria_checked", TEXT, "codes that were checked", deep=1),
    Key("criteria_note", TEXT, "which criteria were checked and which do not apply"),
    Key("disclaimer", TEXT, "the purpose and limits of the results"),
)
STATE = Key(
    "state",
    STATES,
    "sunk: heavier than the whole hull can displace; swamped: fills over an open edge",
)
FIXED_TRIM = Key("fixed_trim", FLAG, "whether the trim is held as the vessel heels")
PERMEABLE = Key("permeability", NUMBER, "share of the volume that water can take")

DISPLACEMENT = Key("displacement_kg", NUMBER, "mass of the vessel, or of the water displaced")
PARTICULARS = nullable(
    Key("volume_m3", NUMBER, "volume of displacement"),
    Key("draft_aft_m", NUMBER, "draft at the aft perpendicular"),
    Key("draft_forward_m", NUMBER, "draft at the forward perpendicular"),
    Key("draft_mid_m", NUMBER, "draft amidships"),
    Key("trim_m", NUMBER, "draft aft less draft forward, positive by the stern"),
    Key("trim_deg", NUMBER, "angle of trim, positive by the stern"),
    Key("heel_deg", NUMBER, "angle of heel, positive to starboard"),
    Key("B_m", POINT, "center of buoyancy"),
    Key("F_m", POINT, "center of flotation"),
    Key("M_m", POINT, "transverse metacenter"),
    Key("KB_m", NUMBER, "height of B above the baseline, normal to the water"),
    Key("BM_m", NUMBER, "transverse metacentric radius"),
    Key("BML_m", NUMBER, "longitudinal metacentric radius"),
    Key("KM_m", NUMBER, "height of the transverse metacenter"),
    Key("KML_m", NUMBER, "height of the longitudinal metacenter"),
    Key("waterplane_area_m2", NUMBER, "area of the waterplane"),
    Key("midship_area_m2", NUMBER, "immersed area of the section amidships"),
    Key("wetted_surface_m2", NUMBER, "wetted surface"),
    Key("LWL_m", NUMBER, "length of the waterline"),
    Key("BWL_m", NUMBER, "breadth of the waterline"),
    Key("Cb", NUMBER, "block coefficient"),
    Key("Cp", NUMBER, "prismatic coefficient"),
    Key("Cm", NUMBER, "midship section coefficient"),
    Key("Cwp", NUMBER, "waterplane coefficient"),
    Key("freeboard_min_m", NUMBER, "minimum freeboard to the deck edge"),
    Key("freeboard_min_at_m", POINT, "point of the deck edge of minimum freeboard"),
)
"""Null where they have no meaning, as drafts upside down, and where the vessel does not float."""

PARTICULAR = {key.name: key for key in PARTICULARS}

KG = Key("KG_m", NUMBER, "height of G above the baseline, normal to the water")
(GM, GM_FLUID) = nullable(
    Key("GM_solid_m", NUMBER, "GM solid: metacentric height with liquids taken as solid"),
    Key("GM_m", NUMBER, "GM: metacentric height corrected for free surfaces"),
)
TPC = Key("TPC_t_cm", NUMBER, "TPC: mass that sinks it by 1 cm")
MTC = Key("MTC_tm_cm", NUMBER, "MTC: moment that trims it by 1 cm", null=True)
MTC_BASIS = Key("MTC_basis", ("GML", "BML"), "the height from which MTC is computed")

OPENING = (
    Key("name", TEXT, "the opening"),
    Key("position_m", POINT, "point at which water first gets in"),
    Key("protection", declarations.OPENING.field("protection").words, "how it is closed at sea"),
)
TANK = (
    Key("name", TEXT, "the tank"),
    Key("group", TEXT, "the group it belongs to"),
    Key("density_kg_m3", NUMBER, "density of the content"),
    Key("capacity_m3", NUMBER, "its capacity"),
    Key("fill", NUMBER, "filled share of the capacity"),
    Key("mass_kg", NUMBER, "mass of the content"),
    Key("center_m", POINT, "actual center of the content", null=True),
    Key("level_m", NUMBER, "height of its surface above the baseline, over the center", null=True),
    Key("height_above_water_m", NUMBER, "height of its surface above the water outside", null=True),
    Key(
        "free_surface_moment_t_m",
        NUMBER,
        "free surface moment; divided by the displacement, the loss of GM",
    ),
)

VERDICT = Record(
    "criterion",
    "one requirement of a code, and how the vessel meets it",
    (
        Key("code", TEXT, "the code"),
        Key("clause", TEXT, "its clause"),
        Key("description", TEXT, "what is limited"),
        Key("required", NUMBER, "the limit", null=True),
        Key("attained", NUMBER, "the attained value", null=True),
        Key("margin", NUMBER, "how much better than required", null=True),
        Key("unit", TEXT, "unit of these three, empty for none"),
        Key("sense", SENSES, "whether the limit is a minimum or a maximum"),
        Key("outcome", OUTCOMES, "the outcome"),
        Key("passes", FLAG, "null where it is not applicable or not known", null=True),
        Key("reason", TEXT, "the reason as text"),
        Key("note", TEXT, "the reason without the margin, empty for none"),
    ),
)


def answer(name: str, meaning: str, keys: tuple[Key, ...]) -> Record:
    """The result of a command: these keys between the heading with its findings and the close."""
    return Record(name, meaning, (*HEADING, FAILED, *FINDINGS, *keys, *CLOSING))


def in_conditions(result: Record) -> Record:
    """That result for the case as modeled and for its conditions."""
    state = Record(
        f"{result.name}-in-condition",
        f"{result.meaning}, in one condition",
        (Key("condition", TEXT, "the condition"), *result.keys),
    )
    return Record(
        f"{result.name}-in-conditions",
        f"{result.meaning}, in several conditions",
        (*HEADING, FAILED, Key("conditions", state, "one each", deep=1), *CLOSING),
    )

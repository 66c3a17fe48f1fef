"""Keys of flooding: at rest, in time, over length, and by bulkheads."""

from __future__ import annotations

from .floating import FLOAT_KEYS
from .key import FLAG, NUMBER, POINT, TEXT, WHOLE, Key, Record, nullable
from .shared import (
    CLOSING,
    FAILED,
    FATES,
    FINDINGS,
    GM,
    GM_FLUID,
    HEADING,
    PARTICULAR,
    PERMEABLE,
    SIDES,
    STATE,
)

AFLOAT = (
    *("draft_aft_m", "draft_mid_m", "draft_forward_m", "trim_m", "trim_deg", "heel_deg"),
    "freeboard_min_m",
)
OUTCOME = Key("outcome", FATES, "how it ends")
WHY = Key("reason", TEXT, "the same in one sentence")

FLOODED = (
    Key("compartments", TEXT, "compartments opened to the sea", deep=1),
    Key("compartments_flooded", TEXT, "compartments open to the sea in the end", deep=1),
    Key(
        "progressive_flooding",
        Record(
            "progressive_flooding",
            "a compartment that floods by way of others",
            (
                Key("compartment", TEXT, "the compartment"),
                Key("through", TEXT, "what water comes through"),
            ),
        ),
        "how water spread, in order",
        deep=1,
    ),
    OUTCOME,
    Key("survives", FLAG, "whether it ends afloat, at an equilibrium that was found"),
    Key("margin_line_immersed", FLAG, "whether it survives with the margin line under water"),
    WHY,
    Key("flooded_volume_m3", NUMBER, "water in the compartments"),
    Key("residual_GZ_max_m", NUMBER, "greatest righting lever that is left"),
    Key("residual_range_deg", NUMBER, "range of positive righting levers that is left"),
    Key("residual_area_m_rad", NUMBER, "area under GZ within that range"),
    Key("residual_curve_complete", FLAG, "false where the curve was sought no farther than s asks"),
    Key("s_factor", NUMBER, "s of SOLAS II-1 regulation 7-2"),
    Key("residual_freeboard_m", NUMBER, "height of the margin line above water", null=True),
    Key(
        "freeboards",
        Record(
            "freeboard",
            "how high an opening is",
            (
                Key("opening", TEXT, "the opening"),
                Key("height_m", NUMBER, "above water", null=True),
            ),
        ),
        "openings into dry compartments",
        deep=1,
    ),
)

FLOOD = Record(
    "flood",
    "the floating position with compartments open to the sea",
    (
        *FLOAT_KEYS,
        *FLOODED,
        Key("residual_side", SIDES, "the side to which the curve below runs", null=True),
        Key("residual_equilibrium_deg", NUMBER, "heel at which it floats, to that side", null=True),
        Key("residual_heel_deg", NUMBER, "heels, positive to that side", deep=1),
        Key("residual_GZ_m", NUMBER, "righting lever at each", deep=1),
    ),
)

FLOODS = Record(
    "floods",
    "several floodings, one a row",
    (
        *HEADING,
        FAILED,
        *FINDINGS,
        Key(
            "rows",
            Record(
                "flooding",
                "compartments open to the sea together",
                (
                    *FLOODED,
                    STATE,
                    *(PARTICULAR[name] for name in AFLOAT),
                    GM,
                    GM_FLUID,
                ),
            ),
            "the floodings",
            deep=1,
        ),
        Key("survived", WHOLE, "how many are survived"),
        Key("lost", WHOLE, "how many are not"),
        Key("worst", TEXT, "compartments of the one survived least", deep=1),
        *CLOSING,
    ),
)

EVENTS = (
    "margin-line",
    "deck-edge",
    "opening",
    "heel-15",
    "heel-30",
    "full",
    "progressive_flooding",
)
ENDS = ("converged", "lost")

TIME_TO_FLOOD = Record(
    "time-to-flood",
    "water coming in over time",
    (
        *HEADING,
        FAILED,
        *FINDINGS,
        Key("compartment", TEXT, "the compartment that is holed"),
        Key("opening", TEXT, "the opening instead of a hole", null=True),
        Key("breach_m", POINT, "where water comes in"),
        Key("breach_area_m2", NUMBER, "area of that"),
        Key("discharge_coefficient", NUMBER, "coefficient of discharge of the hole", null=True),
        Key(
            "events",
            Record(
                "event",
                "something that comes about",
                (
                    Key("time_s", NUMBER, "when"),
                    Key("description", TEXT, "what, in words"),
                    Key("kind", (*EVENTS, *ENDS), "of which kind"),
                ),
            ),
            "what comes about, in order",
            deep=1,
        ),
        Key("settled_s", NUMBER, "when nothing changes any more", null=True),
        Key("lost_s", NUMBER, "when the vessel is lost", null=True),
        Key("time_s", NUMBER, "times of the series that follow", deep=1),
        Key("draft_mid_m", NUMBER, "draft amidships", True, 1),
        Key("heel_deg", NUMBER, "angle of heel, positive to starboard", deep=1),
        Key("trim_m", NUMBER, "trim, positive by the stern", True, 1),
        Key("water_m3", NUMBER, "water in all compartments", deep=1),
        Key(
            "compartments",
            Record(
                "water-of-compartment",
                "water in one compartment",
                (
                    Key("name", TEXT, "the compartment"),
                    Key("water_m3", NUMBER, "water in it", deep=1),
                    Key(
                        "level_above_sea_m", NUMBER, "level of that over the sea; null dry", True, 1
                    ),
                ),
            ),
            "water in each compartment",
            deep=1,
        ),
        *CLOSING,
    ),
)

ENDS_OF_LENGTH = (
    Key("aft_m", NUMBER, "x of its aft end"),
    Key("forward_m", NUMBER, "x of its forward end"),
    Key("length_m", NUMBER, "its length"),
)

FLOODABLE = Record(
    "floodable",
    "floodable length along the hull",
    (
        *HEADING,
        FAILED,
        *FINDINGS,
        PERMEABLE,
        Key("margin_line_below_deck_m", NUMBER, "how far the margin line is below the deck edge"),
        Key("x_m", NUMBER, "middles of compartments", deep=1),
        Key("floodable_length_m", NUMBER, "the longest that may flood there", deep=1),
        Key(
            "compartments",
            Record(
                "length",
                "a length between transverse bulkheads",
                (
                    *ENDS_OF_LENGTH,
                    Key("floodable_length_m", NUMBER, "how long it may be"),
                    Key("survives", FLAG, "whether it may flood"),
                ),
            ),
            "the compartments that the bulkheads make",
            deep=1,
        ),
        Key(
            "bulkheads",
            Record(
                "bulkhead",
                "a transverse bulkhead, and where it may stand",
                (
                    Key("x_m", NUMBER, "where it stands"),
                    Key("boundaries", TEXT, "the boundaries that do", deep=1),
                    *nullable(
                        Key("from_m", NUMBER, "aftmost place; null where none will do"),
                        Key("to_m", NUMBER, "foremost place"),
                    ),
                ),
            ),
            "the bulkheads",
            deep=1,
        ),
        *CLOSING,
    ),
)

BULKHEADS = Record(
    "bulkheads",
    "where bulkheads do most",
    (
        *HEADING,
        FAILED,
        *FINDINGS,
        Key("count", WHOLE, "how many bulkheads"),
        PERMEABLE,
        Key("survives", FLAG, "whether any one compartment may flood"),
        WHY,
        Key("margin_m", NUMBER, "least height of the margin line above water", null=True),
        Key("sufficient", WHOLE, "how many would do; null if that is not known", null=True),
        Key("positions_m", NUMBER, "where they stand", deep=1),
        Key(
            "compartments",
            Record(
                "compartment-alone",
                "a compartment flooded alone",
                (
                    *ENDS_OF_LENGTH,
                    OUTCOME,
                    *nullable(
                        Key("margin_m", NUMBER, "height of the margin line above water"),
                        PARTICULAR["draft_aft_m"],
                        PARTICULAR["draft_forward_m"],
                        PARTICULAR["heel_deg"],
                    ),
                ),
            ),
            "the compartments they make",
            deep=1,
        ),
        *CLOSING,
    ),
)

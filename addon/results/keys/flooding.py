"""Keys of flooding: equilibrium, in time, floodable length, and bulkheads."""

from __future__ import annotations

from typing import get_args

from ...core.flooding_time.flooding_events import EventKind
from .floating import FLOAT_KEYS
from .key import FLAG, NUMBER, POINT, TEXT, WHOLE, Key, Record, nullable
from .shared import (
    FATES,
    GM,
    GM_FLUID,
    PARTICULAR,
    PERMEABLE,
    SIDES,
    STATE,
    answer,
)

AFLOAT = (
    *("draft_aft_m", "draft_mid_m", "draft_forward_m", "trim_m", "trim_deg", "heel_deg"),
    "freeboard_min_m",
)
OUTCOME = Key("outcome", FATES, "final state")
WHY = Key("reason", TEXT, "the reason in one sentence")

FLOODED = (
    Key("compartments", TEXT, "compartments opened to the sea", deep=1),
    Key("compartments_flooded", TEXT, "compartments open to the sea at the end", deep=1),
    Key(
        "progressive_flooding",
        Record(
            "progressive_flooding",
            "a compartment that floods through others",
            (
                Key("compartment", TEXT, "the compartment"),
                Key("through", TEXT, "the flooding path"),
            ),
        ),
        "progressive flooding, in order",
        deep=1,
    ),
    OUTCOME,
    Key("survives", FLAG, "whether it stays afloat in an equilibrium that was found"),
    Key("margin_line_immersed", FLAG, "whether it survives with the margin line immersed"),
    WHY,
    Key("flooded_volume_m3", NUMBER, "floodwater in the compartments"),
    Key("residual_GZ_max_m", NUMBER, "maximum residual GZ"),
    Key("residual_range_deg", NUMBER, "range of positive residual GZ"),
    Key("residual_area_m_rad", NUMBER, "area under residual GZ within that range"),
    Key(
        "residual_curve_complete", FLAG, "false where the curve was computed only as far as s needs"
    ),
    Key("s_factor", NUMBER, "s of SOLAS II-1 regulation 7-2"),
    Key("residual_freeboard_m", NUMBER, "residual freeboard to the margin line", null=True),
    Key(
        "freeboards",
        Record(
            "freeboard",
            "height of an opening",
            (
                Key("opening", TEXT, "the opening"),
                Key("height_above_water_m", NUMBER, "height above water", null=True),
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
        Key("residual_equilibrium_deg", NUMBER, "angle of list, positive to that side", null=True),
        Key("residual_heel_deg", NUMBER, "heels, positive to that side", deep=1),
        Key("residual_GZ_m", NUMBER, "residual GZ at each", deep=1),
    ),
)

FLOODS = answer(
    "floods",
    "several floodings, one per row",
    (
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
        Key("survived", WHOLE, "number survived"),
        Key("lost", WHOLE, "number not survived"),
        Key("worst", TEXT, "compartments of the worst flooding", deep=1),
    ),
)

TIME_TO_FLOOD = answer(
    "time-to-flood",
    "flooding in time, quasi-static in calm water",
    (
        Key("compartment", TEXT, "the breached compartment"),
        Key("opening", TEXT, "the opening instead of a breach", null=True),
        Key("breach_m", POINT, "position of the breach or opening"),
        Key("breach_area_m2", NUMBER, "its area"),
        Key("discharge_coefficient", NUMBER, "discharge coefficient of the breach", null=True),
        Key(
            "events",
            Record(
                "event",
                "an event",
                (
                    Key("time_s", NUMBER, "time of the event"),
                    Key("description", TEXT, "the event as text"),
                    Key("kind", get_args(EventKind), "its kind"),
                ),
            ),
            "the events, in order",
            deep=1,
        ),
        Key("settled_s", NUMBER, "time to equilibrium", null=True),
        Key("lost_s", NUMBER, "time to capsize or sink", null=True),
        Key("time_s", NUMBER, "times of the series that follow", deep=1),
        Key("draft_mid_m", NUMBER, "draft amidships", True, 1),
        Key("heel_deg", NUMBER, "angle of list, positive to starboard", deep=1),
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
                        "level_above_sea_m",
                        NUMBER,
                        "level of that above the sea; null if dry",
                        True,
                        1,
                    ),
                ),
            ),
            "water in each compartment",
            deep=1,
        ),
    ),
)

ENDS_OF_LENGTH = (
    Key("aft_m", NUMBER, "x of its aft end"),
    Key("forward_m", NUMBER, "x of its forward end"),
    Key("length_m", NUMBER, "its length"),
)

FLOODABLE = answer(
    "floodable",
    "floodable length along the hull",
    (
        PERMEABLE,
        Key("margin_line_below_deck_m", NUMBER, "distance of the margin line below the deck edge"),
        Key("x_m", NUMBER, "middles of compartments", deep=1),
        Key("floodable_length_m", NUMBER, "floodable length there", deep=1),
        Key(
            "main_compartments",
            Record(
                "length",
                "a length between transverse bulkheads",
                (
                    *ENDS_OF_LENGTH,
                    Key("floodable_length_m", NUMBER, "its permissible length"),
                    Key("survives", FLAG, "whether the margin line stays above water"),
                ),
            ),
            "the main compartments between bulkheads",
            deep=1,
        ),
        Key(
            "bulkheads",
            Record(
                "bulkhead",
                "a transverse bulkhead and its permissible range",
                (
                    Key("x_m", NUMBER, "its position"),
                    Key("boundaries", TEXT, "the boundaries that form it", deep=1),
                    *nullable(
                        Key(
                            "from_m", NUMBER, "aftmost permissible position; null if there is none"
                        ),
                        Key("to_m", NUMBER, "foremost permissible position"),
                    ),
                ),
            ),
            "the bulkheads",
            deep=1,
        ),
    ),
)

BULKHEADS = answer(
    "bulkheads",
    "suggested bulkhead positions",
    (
        Key("count", WHOLE, "number of bulkheads"),
        PERMEABLE,
        Key("survives", FLAG, "whether it survives the flooding of any one compartment"),
        WHY,
        Key(
            "residual_freeboard_m", NUMBER, "least residual freeboard to the margin line", null=True
        ),
        Key("sufficient", WHOLE, "number that is sufficient; null if not known", null=True),
        Key("positions_m", NUMBER, "their positions", deep=1),
        Key(
            "main_compartments",
            Record(
                "compartment-alone",
                "a compartment flooded alone",
                (
                    *ENDS_OF_LENGTH,
                    OUTCOME,
                    *nullable(
                        Key(
                            "residual_freeboard_m", NUMBER, "residual freeboard to the margin line"
                        ),
                        PARTICULAR["draft_aft_m"],
                        PARTICULAR["draft_forward_m"],
                        PARTICULAR["heel_deg"],
                    ),
                ),
            ),
            "the compartments between them",
            deep=1,
        ),
    ),
)

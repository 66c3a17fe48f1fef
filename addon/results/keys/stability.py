"""Keys of stability, cross curves and limits of KG."""

from __future__ import annotations

from .key import FLAG, NUMBER, TEXT, Key, Record, nullable
from .shared import (
    ADVICE,
    CLOSING,
    DISPLACEMENT,
    FAILED,
    FINDINGS,
    FIXED_TRIM,
    GM_FLUID,
    HEADING,
    KG,
    OPENING,
    PARTICULAR,
    SIDES,
    STATE,
    VERDICT,
)
from .shared import GM as GM_SOLID

AFLOAT = ("draft_aft_m", "draft_mid_m", "draft_forward_m", "trim_m", "heel_deg", "freeboard_min_m")
HEELS = Key("heel_deg", NUMBER, "angles of heel, positive to starboard", deep=1)
CURVE = (
    Key("GZ_m", NUMBER, "righting lever at each heel", True, 1),
    Key("trim_m", NUMBER, "trim there, positive by the stern", True, 1),
    Key("trim_deg", NUMBER, "angle of trim there", True, 1),
    Key("draft_mid_m", NUMBER, "draft amidships there", True, 1),
    Key("converged", FLAG, "whether an equilibrium of sinkage and trim was found there", True, 1),
    Key("volume_residual", NUMBER, "share by which the volume is off there", True, 1),
    Key("lever_residual_m", NUMBER, "arm by which G and B are out of line lengthwise", True, 1),
    Key("area_m_rad", NUMBER, "area under GZ from upright to there", True, 1),
)
REST = Key("equilibrium_heel_deg", NUMBER, "heel at which it floats")
GREATEST = (
    Key("GZ_max_m", NUMBER, "greatest righting lever"),
    Key("GZ_max_at_deg", NUMBER, "heel at which that is"),
)
RANGE = Key("range_deg", NUMBER, "from the heel afloat to where GZ vanishes")
VANISHING = Key(
    "vanishing_stability_deg", NUMBER, "heel at which GZ vanishes; null on the curve nowhere", True
)
DECK_EDGE = Key("deck_edge_immersion_deg", NUMBER, "heel that immerses the deck edge", True)
DOWNFLOODING = Key("downflooding_deg", NUMBER, "heel at which water first gets in", True)
THROUGH = Key("downflooding_opening", TEXT, "the opening it gets in through", True)
GREATEST_TO_FLOODING = (
    Key("GZ_max_to_downflooding_m", NUMBER, "greatest righting lever before water gets in", True),
    Key("GZ_max_to_downflooding_at_deg", NUMBER, "heel at which that is", True),
)
RANGE_TO_FLOODING = Key("range_to_downflooding_deg", NUMBER, "range that ends where water gets in")
AREAS = (
    Key("area_to_30_m_rad", NUMBER, "area under GZ up to 30 degrees"),
    Key("area_to_40_m_rad", NUMBER, "area under GZ up to 40 degrees"),
    Key("area_30_to_40_m_rad", NUMBER, "area under GZ from 30 to 40 degrees"),
    Key("area_to_deg", NUMBER, "heel at which these areas end at the latest"),
)

SIDE = Record(
    "side",
    "the curve to one side, heels and levers positive to that side",
    (
        REST,
        VANISHING,
        RANGE,
        *GREATEST,
        DECK_EDGE,
        DOWNFLOODING,
        THROUGH,
        *GREATEST_TO_FLOODING,
        RANGE_TO_FLOODING,
        *AREAS,
        Key(
            "openings",
            Record(
                "opening-immersed",
                "an opening that goes under water",
                (*OPENING, Key("heel_deg", NUMBER, "heel that immerses it")),
            ),
            "openings that go under, in order",
            deep=1,
        ),
    ),
)

STABILITY = Record(
    "stability",
    "righting levers, what follows from them, and criteria",
    (
        *HEADING,
        STATE,
        Key(
            "floating",
            Record(
                "floating",
                "how it floats, briefly",
                (
                    DISPLACEMENT,
                    *(PARTICULAR[name] for name in AFLOAT),
                    KG,
                    GM_SOLID,
                    GM_FLUID,
                ),
            ),
            "the floating position",
        ),
        FAILED,
        *FINDINGS,
        ADVICE,
        FIXED_TRIM,
        Key("GM_solid_m", NUMBER, "slope of GZ upright, free surfaces counted", null=True),
        HEELS,
        *CURVE,
        Key("side", SIDES, "the side to which the curve runs further", null=True),
        *nullable(REST, *GREATEST, VANISHING, DECK_EDGE, DOWNFLOODING, *GREATEST_TO_FLOODING),
        *nullable(RANGE, RANGE_TO_FLOODING, THROUGH, *AREAS),
        Key("weaker_side", SIDES, "the side with the lesser area, then range", null=True),
        Key(
            "sides",
            Record(
                "sides",
                "both sides; none where it is sunk",
                tuple(Key(side, SIDE, f"to {side}", always=False) for side in SIDES),
            ),
            "the curve to each side",
        ),
        Key(
            "heeling_levers",
            Record(
                "heeling-arm",
                "a heeling lever",
                (
                    Key("name", TEXT, "what heels the vessel"),
                    Key("lever_m", NUMBER, "lever at each heel of the curve", deep=1),
                ),
            ),
            "heeling levers, to the weaker side",
            deep=1,
        ),
        Key("criteria", VERDICT, "the criteria", deep=1),
        *CLOSING,
    ),
)

CROSS_CURVES = Record(
    "cross-curves",
    "KN over displacement and heel; GZ = KN - KG sin(heel)",
    (
        *HEADING,
        *FINDINGS,
        Key("KG_assumed_m", NUMBER, "height of G with which the trim was found"),
        FIXED_TRIM,
        HEELS,
        Key(
            "rows",
            Record(
                "cross-curve",
                "KN of one displacement",
                (
                    DISPLACEMENT,
                    Key("draft_m", NUMBER, "draft on an even keel"),
                    Key("KN_m", NUMBER, "KN at each heel", True, 1),
                    Key("converged", FLAG, "whether a trim balances it there", deep=1),
                ),
            ),
            "one a displacement",
            deep=1,
        ),
        *CLOSING,
    ),
)

KG_MAX = Key("KG_max_m", NUMBER, "greatest KG; null where none will do", null=True)
GOVERNING = Key("governing", TEXT, "what sets that limit", deep=1)

LIMITS = Record(
    "limits",
    "the greatest KG at which nothing fails, over displacement",
    (
        *HEADING,
        *FINDINGS,
        FAILED,
        *nullable(
            DISPLACEMENT,
            Key("KG_m", NUMBER, "height of G of the case, free surfaces counted as a rise"),
            KG_MAX,
            Key("margin_m", NUMBER, "how far G is below the limit"),
        ),
        GOVERNING,
        Key(
            "rows",
            Record(
                "limit",
                "the limit at one displacement",
                (
                    DISPLACEMENT,
                    Key("draft_m", NUMBER, "draft on an even keel"),
                    Key("KM_m", NUMBER, "height of the transverse metacenter"),
                    KG_MAX,
                    Key("GM_min_m", NUMBER, "least GM, KM less that KG", null=True),
                    GOVERNING,
                ),
            ),
            "one a displacement",
            deep=1,
        ),
        *CLOSING,
    ),
)

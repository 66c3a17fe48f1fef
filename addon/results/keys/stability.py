"""Keys of stability, cross curves and limiting KG."""

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
    Key("volume_residual", NUMBER, "relative error of the volume there", True, 1),
    Key("lever_residual_m", NUMBER, "lengthwise distance of G and B from one vertical", True, 1),
    Key("area_m_rad", NUMBER, "area under GZ from upright to there", True, 1),
)
REST = Key("equilibrium_heel_deg", NUMBER, "angle of list")
GREATEST = (
    Key("GZ_max_m", NUMBER, "maximum GZ"),
    Key("GZ_max_at_deg", NUMBER, "heel at which that is"),
)
RANGE = Key(
    "range_deg",
    NUMBER,
    "range of stability, from the angle of list to the angle of vanishing stability",
)
VANISHING = Key(
    "vanishing_stability_deg",
    NUMBER,
    "angle of vanishing stability; null if GZ does not vanish",
    True,
)
DECK_EDGE = Key("deck_edge_immersion_deg", NUMBER, "deck-edge immersion angle", True)
DOWNFLOODING = Key("downflooding_deg", NUMBER, "downflooding angle", True)
THROUGH = Key("downflooding_opening", TEXT, "the opening of downflooding", True)
GREATEST_TO_FLOODING = (
    Key("GZ_max_to_downflooding_m", NUMBER, "maximum GZ to downflooding", True),
    Key("GZ_max_to_downflooding_at_deg", NUMBER, "heel at which that is", True),
)
RANGE_TO_FLOODING = Key("range_to_downflooding_deg", NUMBER, "range to downflooding")
AREAS = (
    Key("area_to_30_m_rad", NUMBER, "area under GZ up to 30 degrees"),
    Key("area_to_40_m_rad", NUMBER, "area under GZ up to 40 degrees"),
    Key("area_30_to_40_m_rad", NUMBER, "area under GZ from 30 to 40 degrees"),
    Key("area_to_deg", NUMBER, "heel at which these areas end: 40 degrees or downflooding"),
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
                "an opening that is immersed",
                (*OPENING, Key("heel_deg", NUMBER, "opening immersion angle")),
            ),
            "openings that are immersed, in order",
            deep=1,
        ),
    ),
)

STABILITY = Record(
    "stability",
    "the GZ curve, its figures, and the criteria",
    (
        *HEADING,
        STATE,
        Key(
            "floating",
            Record(
                "floating",
                "main figures of the floating position",
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
        Key(
            "GM_upright_m",
            NUMBER,
            "GM upright: slope of GZ at upright, free surfaces included",
            null=True,
        ),
        HEELS,
        *CURVE,
        Key("side", SIDES, "the side to which the curve runs further", null=True),
        *nullable(REST, *GREATEST, VANISHING, DECK_EDGE, DOWNFLOODING, *GREATEST_TO_FLOODING),
        *nullable(RANGE, RANGE_TO_FLOODING, THROUGH, *AREAS),
        Key("weaker_side", SIDES, "the side with the smaller area, then range", null=True),
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
        Key("KG_assumed_m", NUMBER, "height of G by which trim was found"),
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
            "one per displacement",
            deep=1,
        ),
        *CLOSING,
    ),
)

KG_MAX = Key("KG_max_m", NUMBER, "limiting KG; null if no KG meets the criteria", null=True)
GOVERNING = Key("governing", TEXT, "the criteria that set that limit", deep=1)

LIMITS = Record(
    "limits",
    "limiting KG over displacement",
    (
        *HEADING,
        *FINDINGS,
        FAILED,
        *nullable(
            DISPLACEMENT,
            Key("KG_m", NUMBER, "height of G of the case, free surfaces counted as a rise"),
            KG_MAX,
            Key("margin_m", NUMBER, "margin of KG below the limiting KG"),
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
                    Key("GM_min_m", NUMBER, "minimum GM: KM less limiting KG", null=True),
                    GOVERNING,
                ),
            ),
            "one per displacement",
            deep=1,
        ),
        *CLOSING,
    ),
)

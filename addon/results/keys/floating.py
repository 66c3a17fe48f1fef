"""Keys of the floating position and of hydrostatics."""

from __future__ import annotations

from .key import FLAG, NUMBER, POINT, WHOLE, Key, Record, nullable
from .shared import (
    ADVICE,
    CLOSING,
    DISPLACEMENT,
    FAILED,
    FINDINGS,
    GM,
    GM_FLUID,
    HEADING,
    KG,
    MTC,
    MTC_BASIS,
    OPENING,
    PARTICULARS,
    STATE,
    TANK,
    TPC,
)

FLOAT_KEYS = (
    *HEADING,
    STATE,
    Key("floats", FLAG, "whether it is afloat, neither sunk nor swamped"),
    Key("stable", FLAG, "whether the floating position is stable"),
    FAILED,
    *FINDINGS,
    ADVICE,
    DISPLACEMENT,
    *PARTICULARS,
    Key("G_m", POINT, "center of gravity, liquids at their actual centers"),
    KG,
    GM,
    GM_FLUID,
    *nullable(
        Key(
            "GM_upright_solid_m",
            NUMBER,
            "metacentric height upright on an even keel, liquids solid",
        ),
        Key("GML_m", NUMBER, "longitudinal metacentric height"),
        TPC,
    ),
    MTC,
    MTC_BASIS,
    Key("reserve_buoyancy_m3", NUMBER, "volume above water that can still be immersed"),
    Key(
        "downflooding_point_m",
        POINT,
        "downflooding point: the lowest point of an open edge of the hull",
        null=True,
    ),
    Key("downflooding_height_m", NUMBER, "its height above water", null=True),
    Key(
        "openings",
        Record(
            "opening-afloat",
            "an opening and its height above water",
            (*OPENING, Key("height_above_water_m", NUMBER, "height above water", null=True)),
        ),
        "the openings",
        deep=1,
    ),
    Key("tanks", Record("tank", "a tank and its content", TANK), "the tanks", deep=1),
    Key(
        "stable_positions",
        Record(
            "position",
            "another stable equilibrium",
            (
                Key("heel_deg", NUMBER, "angle of list, positive to starboard"),
                Key("trim_deg", NUMBER, "angle of trim, positive by the stern"),
            ),
        ),
        "further stable positions",
        deep=1,
    ),
    Key("converged", FLAG, "whether an equilibrium was found"),
    *nullable(
        Key("iterations", WHOLE, "steps to the equilibrium"),
        Key("volume_residual", NUMBER, "relative error of the volume"),
        Key("lever_residual_m", NUMBER, "distance of G and B from one vertical"),
    ),
    *CLOSING,
)

FLOAT = Record("float", "the floating position", FLOAT_KEYS)

HYDROSTATICS = Record(
    "hydrostatics",
    "particulars at given drafts, trim and heel",
    (
        *HEADING,
        *FINDINGS,
        Key(
            "rows",
            Record("draft", "particulars at one draft", (DISPLACEMENT, *PARTICULARS, TPC, MTC)),
            "one per draft",
            deep=1,
        ),
        MTC_BASIS,
        *CLOSING,
    ),
)

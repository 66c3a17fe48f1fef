"""Keys of compartments and tanks."""

from __future__ import annotations

from .key import FLAG, NUMBER, POINT, TEXT, Key, Record, nullable
from .shared import (
    CLOSING,
    FINDINGS,
    HEADING,
    KINDS,
    OPENING,
    PERMEABLE,
    TANK,
    USES,
    answer,
)

GAP = Record(
    "gap",
    "a gap between the boundaries of two compartments",
    (
        Key("compartments", TEXT, "the two compartments, or one and the sea", deep=1),
        Key("boundary", TEXT, "the boundary it is in"),
        Key("area_m2", NUMBER, "area that water can pass"),
        Key("lowest_point_m", POINT, "its lowest point"),
    ),
)
COMPARTMENT = Record(
    "compartment",
    "a compartment, enclosed by boundaries",
    (
        Key("name", TEXT, "the compartment"),
        Key("volume_m3", NUMBER, "volume within its boundaries"),
        Key("centroid_m", POINT, "its center of volume"),
        Key("bottom_m", NUMBER, "height of its lowest point"),
        Key("top_m", NUMBER, "height of its highest point"),
        Key("aft_m", NUMBER, "x of its aftmost point"),
        Key("forward_m", NUMBER, "x of its foremost point"),
        Key("watertight", FLAG, "whether it is watertight: no gap connects it to the sea"),
        Key("use", USES, "its use"),
        PERMEABLE,
        Key("boundaries", TEXT, "its boundaries", deep=1),
        Key("neighbors", TEXT, "compartments that share a boundary with it", deep=1),
    ),
)
WAY = (
    Key("area_m2", NUMBER, "area that water can pass"),
    Key("height_m", NUMBER, "height above the sill"),
)
OPENING_OF_COMPARTMENT = Record(
    "opening-of-compartment",
    "an opening and the compartments behind it",
    (
        *OPENING,
        Key("kind", KINDS, "its kind"),
        *nullable(WAY[0]),
        WAY[1],
        Key("compartments", TEXT, "compartments that it leads into", deep=1),
    ),
)
DOOR = Record(
    "door",
    "a connection between two compartments",
    (
        Key("name", TEXT, "the door"),
        Key("position_m", POINT, "the middle of its sill"),
        *WAY,
        Key("compartments", TEXT, "the two that it connects", deep=1),
        Key("closed", FLAG, "whether it is closed"),
        Key("discharge_coefficient", NUMBER, "discharge coefficient, if it is a duct", null=True),
    ),
)
LEAK = Record(
    "leak",
    "a flooding path into a compartment that is not watertight",
    (
        Key("compartment", TEXT, "the compartment"),
        Key("position_m", POINT, "point to which water must rise to get in"),
        Key(
            "height_above_water_m", NUMBER, "its height above water; null if not afloat", null=True
        ),
        Key("reason", TEXT, "the flooding path as text"),
        Key("path", GAP, "gaps of the flooding path, inward", deep=1),
    ),
)

COMPARTMENTS = answer(
    "compartments",
    "compartments, and which are not watertight",
    (
        Key("compartments", COMPARTMENT, "the compartments", deep=1),
        Key("compartments_volume_m3", NUMBER, "volume of all compartments"),
        Key("boundary_volume_m3", NUMBER, "volume of boundary material"),
        Key("neighbors", TEXT, "pairs of compartments that share a boundary", deep=2),
        Key("openings", OPENING_OF_COMPARTMENT, "the openings", deep=1),
        Key("doors", DOOR, "the doors", deep=1),
        Key("gaps", GAP, "the gaps", deep=1),
        Key("leaks", LEAK, "flooding paths into compartments that are not watertight", deep=1),
    ),
)

SOUNDING = Record(
    "sounding",
    "content of a tank at one level",
    (
        Key("level_m", NUMBER, "height of the surface above the lowest point of the tank"),
        Key("fill", NUMBER, "filled share of the tank"),
        Key("volume_m3", NUMBER, "volume of the content"),
        Key("mass_kg", NUMBER, "mass of the content"),
        Key("center_m", POINT, "center of the content", null=True),
        Key("free_surface_moment_t_m", NUMBER, "free surface moment"),
    ),
)
FREE_SURFACE = Record(
    "free-surface",
    "heeling moment of the liquid, by free surface moment and by actual liquid transfer",
    (
        Key("moment_upright_t_m", NUMBER, "free surface moment upright"),
        Key("heel_deg", NUMBER, "heels at which both are compared", deep=1),
        Key(
            "FSM_heeling_moment_t_m",
            NUMBER,
            "heeling moment by free surface moment upright",
            deep=1,
        ),
        Key(
            "actual_heeling_moment_t_m", NUMBER, "heeling moment by actual liquid transfer", deep=1
        ),
    ),
)

TANKS = Record(
    "tanks",
    "soundings of the tanks",
    (
        *HEADING,
        *FINDINGS,
        Key("heel_deg", NUMBER, "angle of heel, positive to starboard"),
        Key("trim_m", NUMBER, "trim, positive by the stern"),
        Key(
            "tanks",
            Record(
                "tank-table",
                "a tank with its soundings",
                (
                    *TANK,
                    PERMEABLE,
                    Key("rows", SOUNDING, "soundings, from empty to full", deep=1),
                    Key("free_surface", FREE_SURFACE, "heeling moment of the liquid"),
                ),
            ),
            "the tanks",
            deep=1,
        ),
        *nullable(
            Key("GM_loss_FSM_m", NUMBER, "loss of GM by free surface moments upright"),
            Key("GM_loss_m", NUMBER, "loss of GM by free surfaces as it floats"),
        ),
        *CLOSING,
    ),
)

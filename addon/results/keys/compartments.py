"""Keys of compartments and tanks."""

from __future__ import annotations

from .key import FLAG, NUMBER, POINT, TEXT, Key, Record, nullable
from .shared import (
    CLOSING,
    FAILED,
    FINDINGS,
    HEADING,
    KINDS,
    OPENING,
    PERMEABLE,
    TANK,
    USES,
)

GAP = Record(
    "gap",
    "a place where no boundary parts two spaces",
    (
        Key("compartments", TEXT, "the two spaces", deep=1),
        Key("boundary", TEXT, "the boundary it is in"),
        Key("area_m2", NUMBER, "area that water can pass"),
        Key("lowest_point_m", POINT, "its lowest point"),
    ),
)
COMPARTMENT = Record(
    "compartment",
    "a space that boundaries part off",
    (
        Key("name", TEXT, "the compartment"),
        Key("volume_m3", NUMBER, "volume within its boundaries"),
        Key("centroid_m", POINT, "its center of volume"),
        Key("bottom_m", NUMBER, "height of its lowest point"),
        Key("top_m", NUMBER, "height of its highest point"),
        Key("aft_m", NUMBER, "x of its aftmost point"),
        Key("forward_m", NUMBER, "x of its foremost point"),
        Key("watertight", FLAG, "whether no gap joins it to the sea"),
        Key("use", USES, "what it serves for"),
        PERMEABLE,
        Key("boundaries", TEXT, "the boundaries round it", deep=1),
        Key("neighbors", TEXT, "compartments that share a boundary with it", deep=1),
    ),
)
WAY = (
    Key("area_m2", NUMBER, "area that water can pass"),
    Key("height_m", NUMBER, "height above the sill"),
)
OPENING_OF_ROOM = Record(
    "opening-of-compartment",
    "an opening and the compartments behind it",
    (
        *OPENING,
        Key("kind", KINDS, "what it is"),
        *nullable(WAY[0]),
        WAY[1],
        Key("compartments", TEXT, "compartments that it leads into", deep=1),
    ),
)
DOOR = Record(
    "door",
    "a way from one compartment to another",
    (
        Key("name", TEXT, "the door"),
        Key("position_m", POINT, "the middle of its sill"),
        *WAY,
        Key("compartments", TEXT, "the two that it joins", deep=1),
        Key("closed", FLAG, "whether it lets nothing through"),
        Key(
            "discharge_coefficient",
            NUMBER,
            "coefficient of discharge, where it has its own",
            null=True,
        ),
    ),
)
LEAK = Record(
    "leak",
    "how water gets into a compartment",
    (
        Key("compartment", TEXT, "the compartment"),
        Key("position_m", POINT, "where water must rise to before it gets in"),
        Key(
            "height_above_water_m",
            NUMBER,
            "how far that is above water; null if not afloat",
            null=True,
        ),
        Key("reason", TEXT, "the way in words"),
        Key("path", GAP, "the gaps on the way, inward", deep=1),
    ),
)

COMPARTMENTS = Record(
    "compartments",
    "compartments, and which of them leak",
    (
        *HEADING,
        FAILED,
        *FINDINGS,
        Key("compartments", COMPARTMENT, "the compartments", deep=1),
        Key("compartments_volume_m3", NUMBER, "volume of all compartments"),
        Key("boundary_volume_m3", NUMBER, "volume of the boundaries' own material"),
        Key("neighbors", TEXT, "pairs of compartments that share a boundary", deep=2),
        Key("openings", OPENING_OF_ROOM, "the openings", deep=1),
        Key("doors", DOOR, "the doors", deep=1),
        Key("gaps", GAP, "the gaps", deep=1),
        Key("leaks", LEAK, "ways into compartments that are not watertight", deep=1),
        *CLOSING,
    ),
)

SOUNDING = Record(
    "sounding",
    "what a tank holds at one level",
    (
        Key("level_m", NUMBER, "height of the surface above the lowest point of the tank"),
        Key("fill", NUMBER, "share of the tank that is filled"),
        Key("volume_m3", NUMBER, "volume of the content"),
        Key("mass_kg", NUMBER, "mass of the content"),
        Key("center_m", POINT, "center of the content", null=True),
        Key("free_surface_moment_t_m", NUMBER, "moment of the free surface"),
    ),
)
FREE_SURFACE = Record(
    "free-surface",
    "heeling moment of the liquid, by its free surface upright and as it runs",
    (
        Key("moment_upright_t_m", NUMBER, "moment of the free surface upright"),
        Key("heel_deg", NUMBER, "heels at which both are compared", deep=1),
        Key("FSM_heeling_moment_t_m", NUMBER, "moment by the free surface upright", deep=1),
        Key("actual_heeling_moment_t_m", NUMBER, "moment of the liquid as it lies", deep=1),
    ),
)

TANKS = Record(
    "tanks",
    "what tanks hold over the level in them",
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
                    Key("free_surface", FREE_SURFACE, "what the liquid does under heel"),
                ),
            ),
            "the tanks",
            deep=1,
        ),
        *nullable(
            Key("GM_loss_FSM_m", NUMBER, "what free surfaces upright take off GM"),
            Key("GM_loss_m", NUMBER, "what free surfaces take off GM as it floats"),
        ),
        *CLOSING,
    ),
)

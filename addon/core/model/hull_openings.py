"""Openings of the hull itself, by their place in it."""

from __future__ import annotations

from typing import Literal

import numpy as np

from ..arrays import Floats
from ..messages.sentence import Sentence
from .deck_edge import DECK_SLOPE_COSINE
from .hull import Hull

OpenPlace = Literal["top", "side", "bottom"]

HULL_OPENING_NAMES: dict[OpenPlace, Sentence] = {
    "top": Sentence("open edge of the hull"),
    "side": Sentence("hole in the side"),
    "bottom": Sentence("hole in the bottom"),
}
"""Names of openings of the hull itself, by their place in it."""


def side_of_opening(rim: Floats) -> OpenPlace:
    """Where an opening with a rim (k, 2, 3), each edge as its face has it, lies in the hull: in
    the top as that of an open boat, within 45 degrees, in a side or an end, or in the bottom."""
    starts, ends = (rim - rim.mean(axis=(0, 1))).transpose(1, 0, 2)
    looks = -np.cross(starts, ends).sum(axis=0)
    rise = looks[2] / max(float(np.linalg.norm(looks)), np.finfo(float).tiny)
    return "side" if abs(rise) <= DECK_SLOPE_COSINE else "top" if rise > 0 else "bottom"


def hull_openings(hull: Hull) -> dict[OpenPlace, Floats]:
    """Points (k, 3) round the openings of the hull itself, by where they lie in it."""
    places: dict[OpenPlace, list[Floats]] = {}
    for rim in hull.rims:
        places.setdefault(side_of_opening(rim), []).append(rim.reshape(-1, 3))
    return {place: np.concatenate(rims) for place, rims in places.items()}

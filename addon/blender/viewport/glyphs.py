"""The glyphs of marks: their sizes, and their outlines about the place that each is at."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ...core.arrays import Floats
from ...drawing.tessellation import mitres
from .shapes import MarkKind

RADIUS: Mapping[MarkKind, float] = {  # pixels at a scale of 1, as the rims
    "G": 7,
    "B": 7,
    "M": 7,
    "F": 7,
    "weight": 5,
    "fault": 4.5,
    "opening": 5,
    "flooding": 6,
}
RIM, HALO = 1.1, 2.4

TURN = np.linspace(0, 2 * np.pi, 28, endpoint=False)
CIRCLE = np.stack([np.cos(TURN), np.sin(TURN)], axis=1)
BOW = np.linspace(-1, 1, 11)


def _drop() -> Floats:
    """A drop with its point up, the tangents from the point to a circle."""
    radius, middle, tip = 0.78, -0.25, 1.3
    reach = np.arcsin(radius / (tip - middle))
    around = np.linspace(np.pi - reach, 2 * np.pi + reach, 20)
    return np.concatenate(
        [[[0.0, tip]], radius * np.stack([np.cos(around), np.sin(around)], axis=1) + [0, middle]]
    )


ARCH = np.concatenate(
    [
        [[-0.75, -0.9], [0.75, -0.9]],
        np.stack(
            [0.75 * np.cos(np.pi * (BOW + 1) / 2), 0.2 + 0.75 * np.sin(np.pi * (BOW + 1) / 2)],
            axis=1,
        ),
    ]
)  # of a doorway

OUTLINES: Mapping[MarkKind, Floats] = {
    "G": np.array([[-1.15, -0.85], [1.15, -0.85], [0.6, 0.85], [-0.6, 0.85]]),
    "B": _drop(),
    "M": np.array(
        [[0.0, -1.3], [0.75, -0.6], [0.75, 0.6], [0.0, 1.3], [-0.75, 0.6], [-0.75, -0.6]]
    ),
    "F": np.concatenate(
        [
            np.stack([1.45 * BOW, -0.62 * (1 - BOW**2)], axis=1)[:-1],
            np.stack([-1.45 * BOW, 0.62 * (1 - BOW**2)], axis=1)[:-1],
        ]
    ),
    "weight": np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]]),
    "fault": np.array([[0.0, -0.8], [0.8, 0.0], [0.0, 0.8], [-0.8, 0.0]]),
    "opening": ARCH,
    "flooding": ARCH,
}

REACHES = {kind: np.abs(outline).max(axis=0) for kind, outline in OUTLINES.items()}
MITRES = {kind: mitres(outline) for kind, outline in OUTLINES.items()}

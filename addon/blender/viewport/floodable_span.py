"""Floodable length in the vessel: what a compartment is called, and the longest that may flood."""

from __future__ import annotations

import numpy as np

from ...core.buoyancy.body import Body
from ...core.buoyancy.sections import plane_section
from ...core.damage.subdivision import MainCompartment, Subdivision
from ...core.model.compartment import CompartmentPlan
from ...units.lengths import Lengths
from .dimensions import Dimension

OVER = 0.15  # of the depth over the deck, at which a length is drawn in the vessel
AHEAD = np.array([1.0, 0.0, 0.0])


def main_compartment_name(main: MainCompartment, plan: CompartmentPlan | None) -> str:
    """The name of a main compartment: that of its largest compartment, or of its two bulkheads."""
    compartment = main.compartment(plan) if plan else ""
    if compartment:
        return compartment
    aft, forward = (end.boundaries[0] if end else "" for end in main.ends)
    if aft and forward:
        return f"{aft} to {forward}"
    return f"forward of {aft}" if aft else f"aft of {forward}"


def longest_at(subdivision: Subdivision, hull: Body, x: float, lengths: Lengths) -> Dimension:
    """The longest compartment that may flood with its middle at x (m), as a length over the deck
    with the sections of the hull at its ends."""
    length = subdivision.curve.at(x)
    ends = np.array([x - length / 2, x + length / 2])
    height = float(hull.high[2]) + OVER * float(hull.high[2] - hull.low[2])
    line = np.array([[end, 0.0, height] for end in ends])
    sections = np.concatenate([plane_section(hull, AHEAD, float(end)) for end in ends])
    rises = np.array([[[end, 0.0, float(hull.high[2])], [end, 0.0, height]] for end in ends])
    text = f"floodable {lengths(length)}"
    return Dimension(line[0], line[1], text, np.concatenate([rises, sections]))

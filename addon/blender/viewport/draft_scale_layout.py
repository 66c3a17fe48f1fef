"""Draft marks laid out on the plane of pixels."""

from __future__ import annotations

import numpy as np

from ...core.arrays import Floats
from .shapes import DraftScale
from .sketch import Sketch
from .style import TEXT

NUMERAL = 10.5  # font size in pixels at a scale of 1
STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)
CLOSEST_NUMERALS, CLOSEST_RUNGS = 17.0, 6.0  # in pixels at a scale of 1
SHORTEST_DRAFT_SCALE = 20.0  # likewise


def draw_draft_scale(sketch: Sketch, draft_scale: DraftScale) -> None:
    """Draft marks: a line, ticks outward from the vessel with numerals, the present draft.

    Seen from above or from far off only the present draft remains.
    """
    ends = sketch.view.pixels(draft_scale.at(np.array([draft_scale.low, draft_scale.high])))
    present = sketch.view.pixels(draft_scale.at(np.array([draft_scale.draft])))[0]
    length = float(np.linalg.norm(ends[1] - ends[0]))
    if not np.isfinite([length, *present]).all():
        return
    out = _outward(sketch, draft_scale, ends)
    clear = 0.0
    if length > SHORTEST_DRAFT_SCALE * sketch.scale:
        clear = _draw_rungs(sketch, draft_scale, ends, present, out)
    if draft_scale.text:
        _write_draft(sketch, draft_scale.text, present, out, clear + 10.0 * sketch.scale)


def _draw_rungs(
    sketch: Sketch, draft_scale: DraftScale, ends: Floats, present: Floats, out: Floats
) -> float:
    """The line, its rungs and, for a scale with a text, numerals; returns their reach."""
    unit, scale = sketch.style.unit, sketch.scale
    length = float(np.linalg.norm(ends[1] - ends[0]))
    along = (ends[1] - ends[0]) / length
    step, fine = rung_steps(unit * length / (draft_scale.high - draft_scale.low) / scale)
    feet = sketch.view.pixels(draft_scale.at(draft_scale.rungs(fine * unit)))
    heights = draft_scale.rungs(step * unit)
    numbered = sketch.view.pixels(draft_scale.at(heights))
    spikes = (_spikes(feet, 4.0 * scale * out), _spikes(numbered, 8.0 * scale * out))
    sketch.line(np.concatenate([ends[None], *spikes]), 1.2, sketch.palette.quiet)
    reach = 12.0 * scale
    if not draft_scale.text:
        return reach
    widest = 0.0
    size = NUMERAL * scale
    places = 0 if step * unit > 0.99 * sketch.style.counted else 1
    for height, foot in zip(heights, numbered, strict=True):
        numeral = f"{height / sketch.style.counted + 0.0:.{places}f}"
        box = sketch.box(numeral, size, foot + reach * out, out)
        widest = max(widest, box.right - box.left)
        if abs(along @ (foot - present)) > size:
            sketch.write(numeral, size, box, sketch.palette.quiet)
    return reach + widest


def _write_draft(sketch: Sketch, text: str, present: Floats, out: Floats, clear: float) -> None:
    """The present draft on a level line that leads outward, clear of the numerals."""
    aside = np.array([1.0 if out[0] >= 0 else -1.0, 0.0])
    size = TEXT * sketch.scale
    start = present + clear * aside
    box = sketch.box(text, size, start + (0.0, 4.0 * sketch.scale), aside + (0.0, 1.0))
    end = start + (box.right - box.left) * aside
    sketch.line(np.array([[present, end]]), 1.6, sketch.palette.present)
    sketch.write(text, size, box, sketch.palette.present, plate=True)


def _outward(sketch: Sketch, draft_scale: DraftScale, ends: Floats) -> Floats:
    """Unit direction on the plane, square to the draft scale and away from the vessel."""
    farther = draft_scale.at(np.array([draft_scale.low])) + (
        1e-3 if draft_scale.forward else -1e-3,
        0.0,
        0.0,
    )
    away = sketch.view.pixels(farther)[0] - ends[0]
    span = ends[1] - ends[0]
    if np.linalg.norm(span) < SHORTEST_DRAFT_SCALE * sketch.scale:
        return away
    square = np.array([span[1], -span[0]]) / np.linalg.norm(span)
    ahead = float(away @ square)
    return square if ahead > 0 or (ahead == 0 and draft_scale.forward) else -square


def rung_steps(pixels_a_unit: float) -> tuple[float, float]:
    """Spacing of numbered draft marks and of those between, in units of length.

    The closest that are legible, the finer dividing the coarser.
    """
    step = next((s for s in STEPS if s * pixels_a_unit >= CLOSEST_NUMERALS), STEPS[-1])
    parts = (fine for fine in STEPS if fine * pixels_a_unit >= CLOSEST_RUNGS)
    return step, next((f for f in parts if abs(step / f - round(step / f)) < 1e-9), step)


def _spikes(feet: Floats, reach: Floats) -> Floats:
    return np.stack([feet, feet + reach], axis=1)

"""What a picture shows beyond the overlay's own shapes, on its pixels: water, list, end views."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from ...core.arrays import Bools, Floats
from ...core.buoyancy.attitude import Attitude
from ...core.hydrostatics.upright import UPRIGHT_TOLERANCE
from ...drawing.picture import Label, Picture, TextSize, together
from ...drawing.tessellation import Stroke, faint
from ..viewport.compartment_bodies import CompartmentBody
from ..viewport.drawing_layout import picture
from ..viewport.readout import angle_words
from ..viewport.shapes import Drawing
from ..viewport.style import TEXT, Style
from ..viewport.view import View
from .camera import Aspect
from .water_block import afloat, moved

WATERLINE, CASING, BORDER, AXIS, PARTITION = (
    2.0,
    4.5,
    1.0,
    1.2,
    0.8,
)  # widths in pixels at a scale of 1
DASH, DASHES = 0.6, 30
OVER = 1.03  # heights of the vessel to which the axes rise


def ship_on(view: View, shapes: Drawing, aspect: Aspect, style: Style, size: TextSize) -> Picture:
    """The shapes of a vessel on a view of axes ahead, to port and up from the water.

    End on, both perpendiculars lie in one line: then only the near draft marks are shown, their
    texts to the left of it.
    """
    own = view.of(afloat(shapes.attitude))
    if not aspect.end_on:
        return picture(shapes, own, style, size)
    draft_scales = (near for near in shapes.draft_scales if near.forward == (aspect.toward[0] > 0))
    parts = [
        picture(
            Drawing(shapes.attitude, draft_scales=(near,)), own.of(_sheared(near.x)), style, size
        )
        for near in draft_scales
    ]
    return together(*parts, picture(replace(shapes, draft_scales=()), own, style, size))


def border(view: View, pieces: Floats, hidden: Bools, style: Style) -> list[Stroke]:
    """The border of the water, pieces (n, 2, 3), fainter where it is hidden (n,)."""
    ends, palette = _ends(view, pieces), style.palette
    return [
        Stroke(ends[hidden], BORDER * style.scale, palette.border_behind),
        Stroke(ends[~hidden], BORDER * style.scale, palette.border),
    ]


def waterline(view: View, pieces: Floats, hidden: Bools, style: Style) -> list[Stroke]:
    """The waterline, pieces (n, 2, 3), over a casing, fainter where it is hidden (n,)."""
    ends, palette = _ends(view, pieces), style.palette
    return [
        Stroke(ends[hidden], WATERLINE * style.scale, palette.waterline_behind),
        Stroke(ends[~hidden], CASING * style.scale, palette.waterline_casing),
        Stroke(ends[~hidden], WATERLINE * style.scale, palette.waterline),
    ]


def partitions(
    view: View, pose: Floats, bodies: Iterable[CompartmentBody], style: Style
) -> list[Stroke]:
    """Outlines and hatching of compartments; `pose` (4, 4) takes ship axes to those of the view."""
    palette, strokes = style.palette, []
    for body in bodies:
        for lines, color in (
            (body.hatching, faint(palette.warning)),
            (body.outline, palette.partition),
        ):
            ends = _ends(view, moved(pose, lines))
            strokes.append(Stroke(ends, PARTITION * style.scale, color))
    return strokes


def list_angle(
    view: View, attitude: Attitude, top: float, style: Style, held: bool = False
) -> Picture:
    """The list, or the held heel, of a vessel `top` (m) high over the water: upper parts of its
    centerline and of the vertical over its keel, labeled with the angle between them."""
    if abs(attitude.heel_rad) <= UPRIGHT_TOLERANCE or attitude.upside_down:
        return Picture((), ())
    pose = afloat(attitude)
    keel = moved(pose, np.zeros(3))
    directions = np.array([pose[:3, 2] / np.linalg.norm(pose[1:3, 2]), [0.0, 0.0, 1.0]])
    shares = (1 + (np.arange(DASHES)[:, None] + (0, DASH)) / DASHES) / 2
    dashes = keel + OVER * (top - keel[2]) * shares[..., None] * directions[:, None, None]
    ends = _ends(view, dashes.reshape(-1, 2, 3))
    tips = ends.reshape(2, -1, 2)[:, -1]
    size = TEXT * style.scale
    beside = tips[tips[:, 0].argmax()] + (size, -size / 3)
    angle = angle_words(attitude.heel_rad)
    words = f"Heel {angle}, held" if held else f"List {angle}"
    label = Label(words, beside, size, style.palette.ink)
    return Picture((Stroke(ends, AXIS * style.scale, style.palette.ink),), (label,))


def _sheared(x: float) -> Floats:
    """A matrix (4, 4) that leaves points at `x` and moves those ahead of it to starboard."""
    shear = np.eye(4)
    shear[1, 0], shear[1, 3] = -1.0, x
    return shear


def _ends(view: View, pieces: Floats) -> Floats:
    return view.pixels(pieces.reshape(-1, 3)).reshape(-1, 2, 2)

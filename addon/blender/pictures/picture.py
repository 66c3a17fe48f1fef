"""The documentation picture of a floating vessel."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import bpy
import numpy as np

from ...core.arrays import Floats
from ...drawing.canvas import Canvas
from ...drawing.picture import Picture, together
from ...drawing.tessellation import RGBA
from ...units.lengths import Lengths
from ..controller.held_heel import Heeled
from ..controller.session import Entry
from ..properties.settings import settings
from ..viewport.compartment_bodies import compartment_bodies
from ..viewport.compartment_shapes import CompartmentState, inner_drawing, shown_bodies
from ..viewport.floated_copy import TOPSIDES
from ..viewport.palette import Palette, palette_for
from ..viewport.shapes import Show
from ..viewport.style import Style
from ..viewport.vessel_shapes import drawing
from .camera import Aspect, fitted
from .picture_overlay import border, list_angle, partitions, ship_on, waterline
from .studio import Studio, family
from .text_outlines import TextOutlines
from .titles import HEIGHT, WIDTH, Wording, title_block, warnings
from .water_block import afloat, moved, water_block

PAPER: RGBA = (0.90, 0.915, 0.925, 1.0)
BLOCK: RGBA = (0.985, 0.985, 0.98, 1.0)
PALETTE = palette_for(PAPER[:3])
SCALE, MARK_SCALE = 1.65, 1.15  # of lines and texts, and of marks, in a picture WIDTH wide
HALO = 0.08  # of a font size, around letters
BESIDE, ABOVE, BELOW = 0.155, 0.08, 0.12  # shares of the photograph left free around the vessel
ROUND = 0.05  # and in perspective around the water
SHELL = 0.10  # opacity of a see-through hull
REFLECTED = np.diag([1.0, -1.0, 1.0, 1.0])


def documentation(
    hull: bpy.types.Object,
    entry: Entry,
    aspect: Aspect,
    width: int = 1600,
    height: int = 900,
    heeled: Heeled | None = None,
    within: CompartmentState | None = None,
) -> Canvas:
    """A picture of a hull object in level water at the floating position of `entry`, or `heeled`,
    or see-through with the compartments `within` it at their own floating position.

    It shows the hull with its parents and children, and leaves the scene unchanged.
    Raises BadInputError where Cycles is missing.
    """
    ship, units = entry.floating, bpy.context.scene.unit_settings
    arm = None
    if heeled:
        ship, arm = heeled.floating, heeled.held.arm
    if within and within.floating:
        ship = within.floating
    assert ship
    lengths = Lengths.of(units).for_size(ship.case.hull.length_overall)
    shapes = drawing(ship, Show(), lengths, arm)
    if within:
        shapes = shapes.with_inner(inner_drawing(within))
    level, to_ship = afloat(shapes.attitude), np.linalg.inv(entry.to_world)
    block = round(HEIGHT * width / WIDTH)
    size = (width, height - block)
    with Studio(PAPER) as studio:
        if within:
            surface = ship.case.hull
            faces = surface.vertices[surface.triangles]
            studio.see_through(faces, (*TOPSIDES, SHELL), level)
            box = moved(level, surface.vertices)
        else:
            studio.show(family(hull), level @ to_ship)
            if settings(hull).form.mirror:
                studio.show([hull], level @ REFLECTED @ to_ship)
            box = studio.corners()
        water = water_block(shapes.attitude, shapes.waterline, box, aspect)
        filled = np.concatenate([box, water.corners]) if aspect.perspective else box
        camera = fitted(aspect, filled, size, *free_part(aspect, size))
        line, rim = moved(level, shapes.waterline), water.edges
        hidden = studio.hides(np.concatenate([line, rim]).mean(axis=1), camera)
        studio.fill(water)
        inner = shown_bodies(within, compartment_bodies(within.plan)) if within else ()
        for body in (body for body in inner if len(body.faces)):
            studio.see_through(body.faces, PALETTE.tint(body.tint), level)
        photograph = studio.photograph(camera, *size)

    canvas = Canvas.blank(width, height, BLOCK)
    upper = Canvas(canvas.pixels[block:])
    upper.pixels[:] = photograph
    palette, unit = PALETTE, width / WIDTH
    plain = Style(palette, unit)
    style = Style(palette, SCALE * unit, MARK_SCALE, lengths.unit, lengths.counted)
    view = camera.view(*size)
    with TextOutlines() as outlines:
        mass = partial(bpy.utils.units.to_string, _system(units), "MASS", precision=4)
        wording = Wording(replace(lengths, fine=True), mass, outlines.size)
        upper.paint(border(view, rim, hidden[len(line) :], style))
        upper.paint(partitions(view, level, inner, style))
        upper.paint(waterline(view, line, hidden[: len(line)], style))
        shown = ship_on(view, shapes, aspect, style, outlines.size)
        if aspect.end_on:
            top = float(box[:, 2].max())
            shown = together(
                list_angle(view, shapes.attitude, top, style, heeled is not None), shown
            )
        _print(upper, shown, outlines, palette)
        if heeled is None and not (within and within.levels is not None):
            _print(upper, Picture((), warnings(ship, size[1], lengths, plain)), outlines, palette)
        kinds = {mark.kind for mark in shapes.marks}
        block_shown = title_block(ship, aspect.title, wording, plain, arm, kinds)
        _print(canvas, block_shown, outlines, palette)
    return canvas


def free_part(aspect: Aspect, size: tuple[int, int]) -> tuple[Floats, Floats]:
    """Corners (2,) in pixels of the part of the photograph that the vessel may fill."""
    pixels = np.array(size, np.float64)
    if aspect.perspective:
        return ROUND * pixels, (1 - ROUND) * pixels
    return pixels * (BESIDE, BELOW), pixels * (1 - BESIDE, 1 - ABOVE)


def _print(canvas: Canvas, shown: Picture, outlines: TextOutlines, palette: Palette) -> None:
    canvas.paint(shown.primitives)
    for label in shown.labels:
        edges = np.round(label.at) + label.size * outlines.outline(label.text)
        canvas.write(edges, label.color, palette.halo, HALO * label.size)


def _system(units: bpy.types.UnitSettings) -> str:
    return "METRIC" if units.system == "NONE" else units.system

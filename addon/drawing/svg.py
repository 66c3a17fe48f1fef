"""Pictures as SVG 1.1: text stays text, and the same picture gives the same file to the letter."""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree import ElementTree as ET

import numpy as np

from ..core.arrays import Floats
from .picture import Label, Picture
from .tessellation import RGBA, Area, Fill, Primitive, Stroke

FONT = "Arial, Helvetica, Liberation Sans, sans-serif"
HALO = 3.0  # width of the halo round a text over lines
NOT_XML = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def svg(
    picture: Picture, width: float, height: float, width_mm: float, title: str, paper: RGBA
) -> str:
    """A picture of so many pixels on paper of a color, printed so many millimeters wide; ends in a
    newline."""
    size = {"viewBox": f"0 0 {width:g} {height:g}", "width": f"{width_mm:g}mm"}
    size["height"] = f"{width_mm * height / width:.2f}mm"
    root = ET.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", **size})
    ET.SubElement(root, "title").text = clean(title)
    whole = {"width": f"{width:g}", "height": f"{height:g}"}
    ET.SubElement(root, "rect", {**whole, **_tint("fill", paper)})
    for primitive in picture.primitives:
        _draw(root, primitive, height)
    for label in picture.labels:
        _write(root, label, height, paper)
    return ET.tostring(root, encoding="unicode") + "\n"


def clean(text: str) -> str:
    """A text on one line, without the characters that XML cannot hold."""
    return " ".join(NOT_XML.sub("", text).split())


def _draw(root: ET.Element, primitive: Primitive, height: float) -> None:
    if isinstance(primitive, Stroke):
        path = "".join(_runs(_turned(primitive.segments, height)))
        look = {
            "fill": "none",
            **_tint("stroke", primitive.color),
            "stroke-width": f"{primitive.width:g}",
        }
        look["stroke-linejoin"] = "round"
    else:
        outlines = primitive.outlines if isinstance(primitive, Area) else _alike(primitive)
        path = "".join(_moves(outline) + "Z" for outline in _turned(outlines, height))
        look = {**_tint("fill", primitive.color), "stroke": "none"}
    if path:
        ET.SubElement(root, "path", {"d": path, **look})


def _alike(fill: Fill) -> Floats:
    """Its triangles, all of them the same way round, so that no seams show."""
    a, b = fill.corners[:, 1] - fill.corners[:, 0], fill.corners[:, 2] - fill.corners[:, 0]
    turned = a[:, 0] * b[:, 1] < a[:, 1] * b[:, 0]
    return np.where(turned[:, None, None], fill.corners[:, ::-1], fill.corners)


def _runs(segments: Floats) -> Iterator[str]:
    """Segments (k, 2, 2), each on from the last where it begins where that ended."""
    last = None
    for start, end in segments:
        if last is None or not np.allclose(last, start, atol=1e-6):
            yield _moves(np.array([start]))
        yield f"L{end[0]:.2f},{end[1]:.2f}"
        last = end


def _moves(points: Floats) -> str:
    return "M" + "L".join(f"{x:.2f},{y:.2f}" for x, y in points)


def _turned(points: Floats, height: float) -> Floats:
    """Points (..., 2) with y down from the top."""
    return points * (1.0, -1.0) + (0.0, height)


def _tint(what: str, color: RGBA) -> dict[str, str]:
    tint = {what: "#" + "".join(f"{round(255 * part):02x}" for part in color[:3])}
    return tint if color[3] >= 1.0 else {**tint, f"{what}-opacity": f"{color[3]:.3g}"}


def _write(root: ET.Element, label: Label, height: float, paper: RGBA) -> None:
    x, y = label.at
    where = {"x": f"{x:.2f}", "y": f"{height - y:.2f}"}
    where |= {"font-family": FONT, "font-size": f"{label.size:g}"}
    looks = [{**_tint("fill", label.color), "stroke": "none"}]
    if label.over:
        halo = _tint("fill", paper) | _tint("stroke", paper)
        looks.insert(0, {**halo, "stroke-width": f"{HALO:g}", "aria-hidden": "true"})
    for look in looks:
        ET.SubElement(root, "text", {**where, **look}).text = clean(label.text)

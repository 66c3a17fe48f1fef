"""Cases that the tests write, and what the words answer in files."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from xml.etree import ElementTree

from addon.files.obj import PolygonMesh, obj_text
from tests.bodies import Body


def written_case(folder: Path, text: str, body: Body) -> Path:
    """Writes a case of a body as `hull.obj`; gives its path."""
    (folder / "hull.obj").write_text(obj_text(PolygonMesh("hull", *body)))
    path = folder / "case.toml"
    path.write_text(text)
    return path


def rows_of(text: str) -> list[dict[str, str]]:
    """The rows of a CSV by their columns."""
    return list(csv.DictReader(io.StringIO(text)))


def words_of(path: Path) -> str:
    """All that is written in an SVG."""
    return "".join(ElementTree.parse(path).getroot().itertext())

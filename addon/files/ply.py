"""PLY, ASCII and binary, with polygons of any number of corners."""

from __future__ import annotations

import struct
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from ..core.arrays import Floats
from ..core.messages.findings import BadInputError
from .obj import Polygons

KINDS = {
    **dict.fromkeys(("char", "int8"), "b"),
    **dict.fromkeys(("uchar", "uint8"), "B"),
    **dict.fromkeys(("short", "int16"), "h"),
    **dict.fromkeys(("ushort", "uint16"), "H"),
    **dict.fromkeys(("int", "int32"), "i"),
    **dict.fromkeys(("uint", "uint32"), "I"),
    **dict.fromkeys(("float", "float32"), "f"),
    **dict.fromkeys(("double", "float64"), "d"),
}
ORDERS = {"binary_little_endian": "<", "binary_big_endian": ">"}


@dataclass(frozen=True)
class Element:
    """`count` rows of named properties of `kinds`; `lengths` has the kind that counts a list."""

    name: str
    count: int
    names: list[str] = field(default_factory=list)
    kinds: list[str] = field(default_factory=list)
    lengths: list[str] = field(default_factory=list)


class AsciiBody:
    """The numbers after an ASCII header, taken in order."""

    def __init__(self, body: bytes) -> None:
        self.words, self.at = body.split(), 0

    def take(self, kind: str, count: int) -> Sequence[float]:
        """The next `count` numbers."""
        part = self.words[self.at : self.at + count]
        if len(part) < count:
            raise ValueError("it ends early")
        self.at += count
        return [float(word) for word in part]

    def grid(self, kinds: Sequence[str], count: int) -> Floats:
        """The next rows, shape (count, properties)."""
        return np.array(self.take("", count * len(kinds))).reshape(count, len(kinds))


class BinaryBody:
    """The numbers after a binary header, taken in order."""

    def __init__(self, body: bytes, order: str) -> None:
        self.body, self.order, self.at = body, order, 0

    def take(self, kind: str, count: int) -> Sequence[float]:
        """The next `count` numbers."""
        layout = f"{self.order}{count}{kind}"
        numbers = struct.unpack_from(layout, self.body, self.at)
        self.at += struct.calcsize(layout)
        return numbers

    def grid(self, kinds: Sequence[str], count: int) -> Floats:
        """The next rows, shape (count, properties)."""
        row = np.dtype([(str(i), self.order + kind) for i, kind in enumerate(kinds)])
        rows = np.frombuffer(self.body, row, count, self.at)
        self.at += rows.nbytes
        return np.stack([rows[str(i)].astype(np.float64) for i in range(len(kinds))], axis=1)


def parse_ply(data: bytes) -> tuple[Floats, Polygons]:
    """Vertices (n, 3) and polygons. Raises BadInputError for a file that is not whole."""
    vertices, polygons = np.zeros((0, 3)), []
    try:
        elements, body = _header(data)
        for element in elements:
            if any(element.lengths):
                rows = _lists(element, body)
                if element.name == "face":
                    polygons = rows
            else:
                values = body.grid(element.kinds, element.count)
                if element.name == "vertex":
                    vertices = values[:, [element.names.index(axis) for axis in "xyz"]]
    except (ValueError, LookupError, struct.error) as error:
        raise BadInputError(f"not a whole PLY file ({error}); export the mesh again") from None
    return vertices, tuple(polygons)


def _header(data: bytes) -> tuple[list[Element], AsciiBody | BinaryBody]:
    head, end, body = data.partition(b"end_header")
    lines = [line.split() for line in head.decode("ascii", "replace").splitlines() if line.strip()]
    if not end or lines[0] != ["ply"]:
        raise ValueError("no header")
    elements: list[Element] = []
    form = ""
    for word, *rest in lines[1:]:
        if word == "format":
            form = rest[0]
        elif word == "element":
            elements.append(Element(rest[0], int(rest[1])))
        elif word == "property":
            *listed, kind, name = rest
            elements[-1].names.append(name)
            elements[-1].kinds.append(KINDS[kind])
            elements[-1].lengths.append(KINDS[listed[1]] if listed else "")
    if form == "ascii":
        return elements, AsciiBody(body)
    return elements, BinaryBody(body[body.index(b"\n") + 1 :], ORDERS[form])


def _lists(element: Element, body: AsciiBody | BinaryBody) -> list[tuple[int, ...]]:
    """The vertex numbers in each row of an element that has lists."""
    rows = []
    for _ in range(element.count):
        for name, kind, length in zip(element.names, element.kinds, element.lengths, strict=True):
            count = int(body.take(length, 1)[0]) if length else 1
            numbers = body.take(kind, count)
            if name in ("vertex_indices", "vertex_index"):
                rows.append(tuple(map(int, numbers)))
    return rows

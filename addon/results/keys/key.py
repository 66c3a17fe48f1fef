"""What a key of a result is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum


class Kind(Enum):
    """Values that a key may have; a point is x, y, z in ship axes (m)."""

    NUMBER = "number"
    WHOLE = "integer"
    TEXT = "string"
    FLAG = "boolean"
    POINT = "point"


NUMBER, WHOLE, TEXT, FLAG, POINT = Kind


@dataclass(frozen=True)
class Key:
    """One key: its name, whose ending is its unit, the kind of its value and what it means.

    `kind` is a `Kind`, a tuple of words of which the value is one, or a `Record` of further keys.
    `deep` counts lists round the value, as 1 for a list; `null` values may be null, those within
    the lists where there are some; a key that is not `always` there may be missing.
    """

    name: str
    kind: Kind | tuple[str, ...] | Record
    meaning: str
    null: bool = False
    deep: int = 0
    always: bool = True

    @property
    def unit(self) -> str:
        """The unit that the name ends in, empty where there is none."""
        return next((unit for ending, unit in UNITS.items() if self.name.endswith(ending)), "")


@dataclass(frozen=True)
class Record:
    """Keys that stand together, in the order in which they are printed."""

    name: str
    meaning: str
    keys: tuple[Key, ...]

    def records(self) -> Iterator[Record]:
        """The records within it, the innermost first, and itself."""
        for key in self.keys:
            if isinstance(key.kind, Record):
                yield from key.kind.records()
        yield self


def nullable(*keys: Key) -> tuple[Key, ...]:
    """The same keys, that may be null."""
    return tuple(replace(key, null=True) for key in keys)


UNITS = {
    "_kg_m3": "kg/m3",
    "_tm_cm": "t m/cm",
    "_t_cm": "t/cm",
    "_t_m": "t m",
    "_m_rad": "m rad",
    "_deg": "degrees",
    "_m3": "m3",
    "_m2": "m2",
    "_kg": "kg",
    "_m": "m",
    "_s": "s",
}
"""Units by the endings of names, a longer ending before one that it ends in."""

"""Tables of a case file, read key by key with the types checked."""

from __future__ import annotations

import reprlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..core.messages.findings import BadInputError
from ..files.input_errors import check_words

KINDS = {
    bool: "true or false",
    int: "a number",
    float: "a number",
    str: "text",
    list: "a list",
    dict: "a table",
}

HUGE = 1e100

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Table:
    """The keys of one table. `path` stands before a key's name, such as 'hull.'.

    Readers give the value of a key, `None` when it is left out, and raise BadInputError for
    one of another type.
    """

    path: str
    keys: Mapping[str, Any]

    def check_keys(self, known: Sequence[str]) -> None:
        """Raises BadInputError for a key that is not known."""
        table = f" in [{self.path.rstrip('.')}]" if self.path else ""
        check_words(f"key{table}", self.keys, known)

    def text(self, key: str) -> str | None:
        """Text, not empty."""
        value = self._typed(key, str, "text in quotes")
        if value is not None and not value.strip():
            raise BadInputError(f"{self.path}{key} is empty; fill it in or leave it out")
        return value

    def flag(self, key: str) -> bool | None:
        """True or false."""
        return self._typed(key, bool, "true or false")

    def number(self, key: str, least: float = -HUGE) -> float | None:
        """A finite number, `least` or more."""
        value = self.keys.get(key)
        if value is None:
            return None
        if not _is_number(value):
            raise self._wrong(key, "a finite number")
        if value < least:
            raise self._wrong(key, f"{least:g} or more")
        return float(value)

    def whole(self, key: str) -> int | None:
        """A whole number, zero or more."""
        value = self.keys.get(key)
        if value is not None and not (_is_number(value) and value == int(value) and value >= 0):
            raise self._wrong(key, "a whole number, 0 or more")
        return None if value is None else int(value)

    def choice(self, key: str, known: Sequence[str]) -> str | None:
        """One of the words that are known."""
        value = self.text(key)
        if value is not None:
            check_words(f"{self.path}{key}", [value], known)
        return value

    def texts(self, key: str) -> tuple[str, ...] | None:
        """A list of texts."""
        value = self.keys.get(key)
        if value is None:
            return None
        if not (isinstance(value, list) and all(isinstance(item, str) for item in value)):
            raise self._wrong(key, 'a list of texts ["...", "..."]')
        return tuple(value)

    def numbers(self, key: str) -> dict[str, float]:
        """Finite numbers by any names, none when left out."""
        value = self._typed(key, dict, "a table of numbers {name = 0.5}") or {}
        if not all(map(_is_number, value.values())):
            raise self._wrong(key, "a table of numbers {name = 0.5}")
        return {name: float(number) for name, number in value.items()}

    def point(self, key: str) -> Point | None:
        """Three finite numbers."""
        value = self.keys.get(key)
        if value is None:
            return None
        if not _is_point(value):
            raise self._wrong(key, "three numbers [x, y, z]")
        return float(value[0]), float(value[1]), float(value[2])

    def corners(self, key: str) -> tuple[Point, Point] | None:
        """Two points."""
        value = self.keys.get(key)
        if value is None:
            return None
        if not (isinstance(value, list) and len(value) == 2 and all(map(_is_point, value))):
            raise self._wrong(key, "two corners [[x0, y0, z0], [x1, y1, z1]]")
        (x0, y0, z0), (x1, y1, z1) = ([float(number) for number in corner] for corner in value)
        return (x0, y0, z0), (x1, y1, z1)

    def table(self, key: str, known: Sequence[str]) -> Table:
        """A table of known keys, empty when left out."""
        table = Table(f"{self.path}{key}.", self._typed(key, dict, f"a table, [{key}]") or {})
        table.check_keys(known)
        return table

    def tables(self, key: str, known: Sequence[str]) -> list[Table]:
        """A list of tables, each of known keys."""
        value = self._typed(key, list, f"a list of tables, [[{key}]]") or []
        if not all(isinstance(entry, dict) for entry in value):
            raise self._wrong(key, f"a list of tables, [[{key}]]")
        tables = [Table(f"{self.path}{key} {i}.", entry) for i, entry in enumerate(value, 1)]
        for table in tables:
            table.check_keys(known)
        return tables

    def _typed(self, key: str, kind: type, wanted: str) -> Any:
        value = self.keys.get(key)
        if value is not None and not isinstance(value, kind):
            raise self._wrong(key, wanted)
        return value

    def _wrong(self, key: str, wanted: str) -> BadInputError:
        value = self.keys[key]
        kind = KINDS.get(type(value), f"a {type(value).__name__}")
        return BadInputError(
            f"{self.path}{key} is {reprlib.repr(value)}, {kind}; it should be {wanted}"
        )


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) < HUGE


def _is_point(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 3 and all(map(_is_number, value))

"""Weight lists: CSV with a header row, one weight a row.

Columns `name`, `mass_kg`, `x_m`, `y_m`, `z_m` and, if wanted, `group`, `both_sides` and `fixed`,
in any order, positions in ship axes. `both_sides` is true for a weight that has its mirror image
on the other side, so that one row is two weights, `fixed` for one that cannot be moved. Fields
are separated by commas; or by semicolons or tabs if the header has those, and then numbers may
have a decimal comma.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar, cast

import numpy as np

from ..core.messages.findings import BadInputError
from ..core.model.weights import Weight
from ..files.disk import read_text
from ..files.input_errors import check_words, within
from .declarations import WEIGHT, WeightEntry
from .places import Point

NEEDED = ("name", "mass_kg", "x_m", "y_m", "z_m")
COLUMNS = (*NEEDED, "group", "both_sides", "fixed")
FLAGS = {"true": True, "false": False, "": None}


@dataclass(frozen=True)
class ListedWeight(Weight):
    """A weight as listed; `both_sides` is None if the list does not have it, and `says_fixed` False
    if the list does not have whether it can be moved."""

    both_sides: bool | None = None
    fixed_given: bool = False

    @property
    def weight(self) -> Weight:
        """The weight by itself."""
        given = self.name, self.mass, self.center, self.group, self.inertia
        return Weight(*given, fixed=self.fixed)

    @property
    def entry(self) -> WeightEntry:
        """The weight as a case file has it."""
        place = cast(Point, tuple(self.center.tolist()))
        return WEIGHT.from_core(self.weight, place=place, both_sides=bool(self.both_sides))


def listed_weight(entry: WeightEntry) -> ListedWeight:
    """The row of a point weight."""
    values = WEIGHT.core_values(entry)
    return ListedWeight(center=np.array(entry.place), both_sides=entry.both_sides, **values)


AnyWeight = TypeVar("AnyWeight", bound=Weight)


def read_weight_list(path: Path) -> tuple[ListedWeight, ...]:
    """Weights of a file. Raises BadInputError that names the row or the column at fault."""
    text = read_text(path)
    with within(str(path)):
        return parse_weight_list(text)


def parse_weight_list(text: str) -> tuple[ListedWeight, ...]:
    """Weights of CSV text."""
    header = text.partition("\n")[0]
    separator = next((mark for mark in ";\t" if mark in header), ",")
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True))
    except csv.Error as error:
        raise BadInputError(f"is not CSV: {error}; save it as CSV with a header row") from None
    columns = [cell.strip() for cell in rows[0]] if rows else []
    check_words("column", columns, COLUMNS)
    for column in COLUMNS:
        if columns.count(column) != 1 and (column in columns or column in NEEDED):
            fault = "named twice" if column in columns else "missing"
            raise BadInputError(
                f"column '{column}' is {fault}; the header row is {separator.join(COLUMNS[:-2])}"
            )
    weights = []
    for number, cells in enumerate(rows[1:], 2):
        if not any(cell.strip() for cell in cells):
            continue
        with within(f"row {number}"):
            if len(cells) != len(columns):
                raise BadInputError(
                    f"has {len(cells)} cells, but the header has {len(columns)} columns"
                )
            weights.append(_weight(dict(zip(columns, cells, strict=True)), separator))
    return tuple(weights)


def weight_list_text(weights: Iterable[Weight]) -> str:
    """CSV text that gives the same masses and centers back to the last digit; with columns for
    both sides and for what is fixed only where a weight is on both, or fixed."""
    rows = []
    for weight in weights:
        figures = [repr(float(figure)) for figure in (weight.mass, *weight.center)]
        both = isinstance(weight, ListedWeight) and weight.both_sides
        flags = ["true" if flag else "" for flag in (both, weight.fixed)]
        rows.append([weight.name, *figures, weight.group, *flags])
    always = len(COLUMNS) - 2
    given = [i for i in range(len(COLUMNS)) if i < always or any(row[i] for row in rows)]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerows([row[i] for i in given] for row in (COLUMNS, *rows))
    return text.getvalue()


def in_few_digits(weight: AnyWeight, near: float) -> AnyWeight:
    """The weight in as few digits as single precision needs for its mass, and its place to
    within `near` meters."""
    figures = [_shortest(figure, near) for figure in weight.center.tolist()]
    mass = _shortest(weight.mass, float(np.spacing(np.float32(weight.mass))) / 2)
    return replace(weight, mass=mass, center=np.array(figures))


def _shortest(figure: float, near: float) -> float:
    rounded = (float(f"{figure:.{digits}g}") for digits in range(1, 18))
    return next((short for short in (0.0, *rounded) if abs(short - figure) <= near), figure)


def _weight(row: dict[str, str], separator: str) -> ListedWeight:
    name = row["name"].strip()
    if not name:
        raise BadInputError("the name is empty; name the weight")
    mass, *center = (_number(column, row[column], separator) for column in NEEDED[1:])
    both, fixed = (_flag(column, row) for column in ("both_sides", "fixed"))
    return ListedWeight(
        name,
        mass,
        np.array(center),
        row.get("group", "").strip(),
        fixed=bool(fixed),
        both_sides=both,
        fixed_given=fixed is not None,
    )


def _flag(column: str, row: dict[str, str]) -> bool | None:
    """True or false; None for an empty cell, or for no such column."""
    cell = row.get(column, "").strip()
    if cell.lower() not in FLAGS:
        raise BadInputError(f"{column} is '{cell}'; it should be true, false or empty")
    return FLAGS[cell.lower()]


def _number(column: str, cell: str, separator: str) -> float:
    try:
        return float(cell if separator == "," else cell.replace(",", "."))
    except ValueError:
        raise BadInputError(f"{column} is '{cell}'; it should be a number such as 12.5") from None

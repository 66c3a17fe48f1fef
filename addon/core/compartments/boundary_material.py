"""Parts of the hull that are no compartment: material of boundaries, and space between a deck and
the caps of the hull."""

from __future__ import annotations

import numpy as np

from ..arrays import Bools, Ints
from ..geometry.arrangement import Arrangement
from ..geometry.arrangement_cells import Cells
from ..geometry.half_edges import connected_components
from ..messages.findings import Finding
from ..messages.sentence import Sentence, cubic_meters, meters
from ..model.hull import Hull
from .thick_boundaries import is_plate

MAX_ON_DECK_DEPTH_SHARE = 0.1
"""Mean depth over that of the hull up to which space under a cap is on deck."""
MAX_SHELL_THICKNESS_SHARE = 0.2
"""Thickness over that of the whole hull up to which space between surfaces is a shell."""


def find_material(hull: Hull, cells: Cells, within: Ints, findings: list[Finding]) -> Bools:
    """Which cells within the hull are material of boundaries.

    `within` (cells, parts) counts how often each lies in the hull, in what the faces inside the
    hull close, and in each boundary. An odd count of closed surfaces of a boundary puts a cell
    inside it: a compartment with boundaries all round is thus not inside. Such a cell is material
    if the boundary is a plate, with what protrudes from the hull; else it is a compartment outlined
    by the boundary. Between the hull surface and inner surfaces of the same mesh, its caps
    included, a cell is material if its 2 V / A is no more than `MAX_SHELL_THICKNESS_SHARE` of that
    of the hull. A hull that is a shell without inside is all material.
    """
    inside = within[:, 0] > 0
    if any(finding.code == "thin-shell" for finding in hull.findings):
        return inside
    material = np.zeros(len(inside), bool)
    for number in range(2, within.shape[1]):
        for region in _regions(cells, within[:, number] % 2 == 1):
            edge = region[cells.front] != region[cells.back]
            if is_plate(cells.volume[region].sum(), cells.area[edge].sum()):
                material |= region & inside
    enclosed = inside & (within[:, 1] % 2 == 1)
    if enclosed.any():
        for shell in _regions(cells, inside & ~enclosed):
            beyond = _adjacent_cells(cells, shell) & enclosed
            if beyond.any() and cells.thickness(
                shell
            ) <= MAX_SHELL_THICKNESS_SHARE * cells.thickness(inside):
                material |= shell
    if material.any():
        findings.append(
            Finding(
                "note",
                "boundary-material",
                Sentence(
                    "{volume} within boundaries that have thickness, about "
                    "{thickness}, is no compartment",
                    volume=cubic_meters(cells.volume[material].sum(), ".3g"),
                    thickness=meters(cells.thickness(material), ".2g"),
                ),
            )
        )
    return material


def find_on_deck(
    hull: Hull, arrangement: Arrangement, cells: Cells, inside: Bools, findings: list[Finding]
) -> Bools:
    """Which cells within the hull lie between boundaries and the hull's caps alone, no deeper on
    average than a share `MAX_ON_DECK_DEPTH_SHARE` of its depth: a deck that follows the rim does
    not coincide with the cap."""
    cap = np.flatnonzero(arrangement.only_caps & (arrangement.first_part() == 0))
    of_hull = (arrangement.part == 0) | ((arrangement.part == 1) & arrangement.closing)
    surface = arrangement.copy[of_hull & ~arrangement.cap]
    holes = np.arange(len(arrangement.only_caps), len(cells.triangles))
    other = np.concatenate([surface, holes])
    bounded, area = np.zeros(len(inside), bool), np.zeros(len(inside))
    for side in (cells.front, cells.back):
        bounded[side[other]] = True
        area += np.bincount(side[cap], cells.area[cap], len(area))
    on_deck = (
        inside
        & ~bounded
        & (area > 0)
        & (cells.volume <= MAX_ON_DECK_DEPTH_SHARE * hull.depth * area)
    )
    if on_deck.any():
        findings.append(
            Finding(
                "note",
                "on-deck",
                Sentence(
                    "{volume} between a deck and the cap over the open edge of the hull is no "
                    "compartment; make the deck a part of the hull to leave it out",
                    volume=cubic_meters(cells.volume[on_deck].sum(), ".3g"),
                ),
            )
        )
    return on_deck


def _regions(cells: Cells, chosen: Bools) -> list[Bools]:
    """The chosen cells in sets connected through shared faces."""
    both = chosen[cells.front] & chosen[cells.back]
    label = connected_components(len(chosen), cells.front[both], cells.back[both])
    return [(label == number) & chosen for number in np.unique(label[chosen])]


def _adjacent_cells(cells: Cells, chosen: Bools) -> Bools:
    """Which cells share a face with the chosen ones."""
    beside = np.zeros(len(chosen), bool)
    for side, other in ((cells.front, cells.back), (cells.back, cells.front)):
        beside[side[chosen[other]]] = True
    return beside & ~chosen

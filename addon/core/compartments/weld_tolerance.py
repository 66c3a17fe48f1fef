"""The tolerance within which faces coincide: the least at which the parts combine soundly.

Faces about a tolerance apart, more in one place and less in another, may be cut wrongly. Signs of
it: cutting does not end, or cells differ in the bodies that contain them where no face of these
separates them. The parts are then combined again with a larger tolerance.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from ..geometry.arrangement import Arrangement, Part, arrange
from ..geometry.half_edges import connected
from ..geometry.triangles import area_vectors, areas, by_axis, unit_normals, volumes
from ..messages.findings import Finding
from ..messages.sentence import Sentence, metres, named
from ..messages.subjects import Subject
from .partitions import Partition, part_hull

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

STEPS = (1, 4, 16, 64)
AGREES = 1e-6
MOST_LOST = 0.05
MOST_TORN = 1e-6
MOST_UNSETTLED = 2


def part_soundly(
    parts: list[Part], touch: float, tell: Callable[[float], None] | None = None
) -> tuple[Partition, Array]:
    """The cells into which a hull, the first of the parts, is divided by the others, with faces
    `touch` (m) apart taken as one.

    The tolerance is the first of `STEPS` times that distance at which cutting ends and all closed
    parts come out whole, else the one at which they do so best; the second result is the excess
    defect of each part (n,). `tell` is called as in `conform`.
    """
    unsettled: list[tuple[Arrangement, float]] = []
    tried: list[tuple[Partition, Array]] = []

    def comes_out_whole(arrangement: Arrangement, reach: float) -> bool:
        parted = part_hull(parts, arrangement, reach, tell)
        tried.append((parted, _strains(parted, touch)))
        return bool(tried[-1][1].max() <= 1)

    for step in STEPS:
        arrangement = arrange(parts, step * touch, tell)
        if not arrangement.settled:
            unsettled.append((arrangement, step * touch))
        elif comes_out_whole(arrangement, step * touch):
            return tried[-1]
    unsettled.sort(key=lambda each: len(each[0].triangles))
    for arrangement, reach in unsettled[:MOST_UNSETTLED]:
        if comes_out_whole(arrangement, reach):
            return tried[-1]
    return min(tried, key=lambda each: float(each[1].max()))


def tell_welds(parted: Partition, strains: Array, touch: float, findings: list[Finding]) -> None:
    """Adds findings for parts with faces more than `touch` (m) apart that were merged, and for
    those that came out torn or with another volume, by the strains (n,) of `part_soundly`."""
    if parted.touch > touch:
        _tell_one(parted, touch, findings)
    for number in np.flatnonzero(strains > 1):
        text = Sentence(
            "rooms beside '{part}' may be wrong: faces of it all but lie on other faces; move them "
            "together or farther apart",
            part=Subject("object", parted.parts[number].name),
        )
        findings.append(Finding("warning", "faces-all-but-one", text))


def _strains(parted: Partition, touch: float) -> Array:
    """The excess defect of each part (n,): torn, or with another volume.

    The hull may change by moving its surface by `touch` (m), others by moving theirs by the
    tolerance of the partition, but by no large part of them.
    """
    torn = _torn(parted) / MOST_TORN
    strains: Array = torn.copy()
    for number, part in enumerate(parted.parts):
        faces = part.triangles[part.closing]
        if not len(faces):
            continue
        given = float(volumes(part.vertices, faces).sum())
        found = float(parted.cells.volume @ parted.around[:, number])
        reach = parted.touch if number else touch
        skin = float(areas(part.vertices, faces).sum())
        far = AGREES * abs(given) + min(reach * skin, MOST_LOST * abs(given))
        open_area = area_vectors(by_axis(part.vertices, faces)).sum(axis=1)
        if np.linalg.norm(open_area) * np.ptp(part.vertices, axis=0).max() <= far:
            strains[number] = max(torn[number], abs(found - given) / far)
        else:
            strains[number] = 0.0
    return strains


def _torn(parted: Partition) -> Array:
    """Share of the area within the hull at which each part (n,) is torn: one of its faces does not
    have exactly one cell more within the part behind than before, or cells differ in that where it
    has no face; or it separates nothing in a cell without a free edge."""
    arrangement, cells, around = parted.arrangement, parted.cells, parted.around
    closing, count = arrangement.closing, len(arrangement.triangles)
    steps = np.zeros((count, around.shape[1]), np.int64)
    np.add.at(
        steps, (arrangement.copy[closing], arrangement.part[closing]), arrangement.turn[closing]
    )
    front, back = around[cells.front[:count]], around[cells.back[:count]]
    area = np.where((front[:, 0] > 0) | (back[:, 0] > 0), cells.area[:count], 0.0)
    torn: Array = area @ (back - front != steps)
    ended = np.zeros(len(cells.volume), bool)
    ended[cells.front[parted.loose // 3]] = True
    idle = ~(cells.parting | ended[cells.front])[arrangement.copy]
    copies = arrangement.copy[idle]
    torn += np.bincount(arrangement.part[idle], area[copies], len(torn))
    torn /= area.sum() or 1.0
    return torn


def _tell_one(parted: Partition, touch: float, findings: list[Finding]) -> None:
    """Adds findings for parts that share triangles whose planes were more than `touch` apart
    there."""
    arrangement, parts = parted.arrangement, parted.parts
    middles = arrangement.vertices[arrangement.triangles].mean(axis=1)
    corners = np.concatenate([part.vertices[part.triangles] for part in parts])
    planes = corners[arrangement.source].transpose(2, 1, 0)
    above = (planes[:, 0] - middles[arrangement.copy].T) * unit_normals(planes)
    height = above.sum(axis=0) * arrangement.turn
    low, high = (np.full(len(middles), sign * np.inf) for sign in (1, -1))
    np.minimum.at(low, arrangement.copy, height)
    np.maximum.at(high, arrangement.copy, height)
    apart = high - low
    one = (apart > touch) & (apart <= 2 * parted.touch)
    copies = np.flatnonzero(one[arrangement.copy])
    part, triangle = arrangement.part[copies], arrangement.copy[copies]
    label = connected(len(parts) + len(middles), part, len(parts) + triangle)
    for number in np.unique(label[part]):
        names = [parts[each].name for each in np.flatnonzero(label[: len(parts)] == number)]
        if len(set(names)) > 1:
            text = Sentence(
                "{walls} are taken as one where they all but lie on each other, up to {apart} "
                "apart; move them together or farther apart",
                walls=named("object", dict.fromkeys(names)),
                apart=metres(float(apart[triangle[label[part] == number]].max()), ".2g"),
            )
            findings.append(Finding("note", "taken-as-one", text))

"""The distance within which faces are one: the least at which parts go together as they are.

Faces a weld distance apart, more in one place and less in another, may be cut amiss. It shows: a
closed part encloses another volume than it did, or cutting does not come to an end. Then the parts
are put together anew, with faces taken as one that are farther apart.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from .arrangement import Arrangement, Part, arrange
from .findings import Finding
from .partitions import Partition, part_hull
from .sentence import Sentence, cubic_metres, metres
from .sides import connected
from .triangles import area_vectors, areas, by_axis, unit_normals, volumes

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

STEPS = (1, 4, 16, 64)
AGREES = 1e-6
MOST_LOST = 0.05
MOST_UNSETTLED = 2


def part_soundly(
    parts: list[Part], touch: float, tell: Callable[[float], None] | None = None
) -> Partition:
    """The cells that a hull, the first of the parts, is parted in by the others, where faces
    `touch` (m) apart are one: with the first of `STEPS` times that distance at which cutting comes
    to an end and all closed parts keep their volumes, else that at which they do so best. `tell`
    hears as in `conform`."""
    unsettled: list[tuple[Arrangement, float]] = []
    tried: list[Partition] = []
    for step in STEPS:
        arrangement = arrange(parts, step * touch, tell)
        if not arrangement.settled:
            unsettled.append((arrangement, step * touch))
            continue
        tried.append(part_hull(parts, arrangement, step * touch, tell))
        if _strain(tried[-1], touch) <= 1:
            return tried[-1]
    unsettled.sort(key=lambda each: len(each[0].triangles))
    for arrangement, reach in unsettled[:MOST_UNSETTLED]:
        tried.append(part_hull(parts, arrangement, reach, tell))
        if _strain(tried[-1], touch) <= 1:
            return tried[-1]
    return min(tried, key=lambda parted: _strain(parted, touch))


def _strain(parted: Partition, touch: float) -> float:
    """How far a closed part is from its volume at most, as a share of how far it may be."""
    return max(abs(found - given) / far for _, given, found, far in _held(parted, touch))


def tell_welds(parted: Partition, touch: float, findings: list[Finding]) -> None:
    """Parts with faces more than `touch` (m) apart that are taken as one, and walls that enclose
    less or more than they did."""
    if parted.touch > touch:
        _tell_one(parted, touch, findings)
    for number, given, found, far in _held(parted, touch):
        if number and abs(found - given) > far:
            text = Sentence(
                "of {given} that '{wall}' encloses {found} are found, so that rooms beside it are "
                "wrong; look for faces that all but lie on each other, and move them together or "
                "apart",
                given=cubic_metres(given, ".3g"),
                wall=parted.parts[number].name,
                found=cubic_metres(found, ".3g"),
            )
            findings.append(Finding("warning", "wall-does-not-add-up", text))


def _held(parted: Partition, touch: float) -> list[tuple[int, float, float, float]]:
    """The closed parts by number, with the volume of each as given and as the cells in it have it
    (m3), and how far the two may be apart: for the hull what moving her skin by `touch` (m) comes
    to, for others by the weld distance of the partition, but no large part of them."""
    held = []
    for number, part in enumerate(parted.parts):
        faces = part.triangles[part.closing]
        if not len(faces):
            continue
        given = float(volumes(part.vertices, faces).sum())
        found = float(parted.cells.volume @ parted.around[:, number])
        skin = areas(part.vertices, faces).sum()
        reach = parted.touch if number else touch
        far = AGREES * abs(given) + min(reach * skin, MOST_LOST * abs(given))
        open_area = area_vectors(by_axis(part.vertices, faces)).sum(axis=1)
        if np.linalg.norm(open_area) * np.ptp(part.vertices, axis=0).max() <= far:
            held.append((number, given, found, far))
    return held


def _tell_one(parted: Partition, touch: float, findings: list[Finding]) -> None:
    """Parts that have triangles in common whose planes were more than `touch` apart there."""
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
                walls=", ".join(f"'{name}'" for name in dict.fromkeys(names)),
                apart=metres(float(apart[triangle[label[part] == number]].max()), ".2g"),
            )
            findings.append(Finding("note", "taken-as-one", text))

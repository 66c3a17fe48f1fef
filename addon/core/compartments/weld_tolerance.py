"""The tolerance within which faces coincide: the least at which the parts combine soundly.

Faces about a tolerance apart, more in one place and less in another, may be cut wrongly. Signs of
it: cutting does not end, or cells differ in the bodies that contain them where no face of these
separates them. The parts are then combined again with a larger tolerance.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ..arrays import Floats
from ..geometry.arrangement import Arrangement, SurfacePart, arrange
from ..geometry.half_edges import connected_components
from ..geometry.triangles import area_vectors, areas, corners_by_axis, unit_normals, volumes
from ..messages.findings import Finding
from ..messages.sentence import Sentence, meters, named
from ..messages.subjects import Subject
from .partitions import Partition, partition_hull

TOLERANCE_STEPS = (1, 4, 16, 64)
"""Multiples of the tolerance that are tried in turn."""
VOLUME_TOLERANCE_SHARE = 1e-6
"""Share of a volume within which two are the same."""
MAX_VOLUME_ERROR_SHARE = 0.05
"""Share of its volume that a part may lose by welding."""
MAX_TORN_SHARE = 1e-6
"""Share of the area at which a part may be torn."""
MAX_UNCONVERGED = 2
"""Arrangements that are used though cutting did not end, to bound time."""


def partition_robustly(
    parts: list[SurfacePart], tolerance: float, on_progress: Callable[[float], None] | None = None
) -> tuple[Partition, Floats]:
    """The cells into which a hull, the first of the parts, is divided by the others, with faces
    `tolerance` (m) apart taken as one.

    The tolerance is the first of `TOLERANCE_STEPS` times that distance at which cutting ends and
    all closed parts come out whole, else the one at which they do so best; the second result is the
    excess defect of each part (n,). `on_progress` is called as in `conform`.
    """
    unconverged: list[tuple[Arrangement, float]] = []
    tried: list[tuple[Partition, Floats]] = []

    def comes_out_whole(arrangement: Arrangement, reach: float) -> bool:
        partition = partition_hull(parts, arrangement, reach, on_progress)
        tried.append((partition, _part_errors(partition, tolerance)))
        return bool(tried[-1][1].max() <= 1)

    for step in TOLERANCE_STEPS:
        arrangement = arrange(parts, step * tolerance, on_progress)
        if not arrangement.converged:
            unconverged.append((arrangement, step * tolerance))
        elif comes_out_whole(arrangement, step * tolerance):
            return tried[-1]
    unconverged.sort(key=lambda each: len(each[0].triangles))
    for arrangement, reach in unconverged[:MAX_UNCONVERGED]:
        if comes_out_whole(arrangement, reach):
            return tried[-1]
    return min(tried, key=lambda each: float(each[1].max()))


def report_welds(
    partition: Partition, part_errors: Floats, tolerance: float, findings: list[Finding]
) -> None:
    """Adds findings for parts with faces more than `tolerance` (m) apart that were merged, and for
    those that came out torn or with another volume, by the strains (n,) of `partition_robustly`."""
    if partition.tolerance > tolerance:
        _report_merged_faces(partition, tolerance, findings)
    for number in np.flatnonzero(part_errors > 1):
        text = Sentence(
            "compartments beside '{part}' may be wrong: faces of it all but lie on other faces; "
            "move them together or farther apart",
            part=Subject("object", partition.parts[number].name),
        )
        findings.append(Finding("warning", "faces-all-but-one", text))


def _part_errors(partition: Partition, tolerance: float) -> Floats:
    """The excess defect of each part (n,): torn, or with another volume.

    The hull may change by moving its surface by `tolerance` (m), others by moving theirs by the
    tolerance of the partition, but by no large part of them.
    """
    torn = _torn_shares(partition) / MAX_TORN_SHARE
    part_errors: Floats = torn.copy()
    for number, part in enumerate(partition.parts):
        faces = part.triangles[part.closing]
        if not len(faces):
            continue
        given = float(volumes(part.vertices, faces).sum())
        found = float(partition.cells.volume @ partition.winding[:, number])
        reach = partition.tolerance if number else tolerance
        surface = float(areas(part.vertices, faces).sum())
        far = VOLUME_TOLERANCE_SHARE * abs(given) + min(
            reach * surface, MAX_VOLUME_ERROR_SHARE * abs(given)
        )
        open_area = area_vectors(corners_by_axis(part.vertices, faces)).sum(axis=1)
        if np.linalg.norm(open_area) * np.ptp(part.vertices, axis=0).max() <= far:
            part_errors[number] = max(torn[number], abs(found - given) / far)
        else:
            part_errors[number] = 0.0
    return part_errors


def _torn_shares(partition: Partition) -> Floats:
    """Share of the area within the hull at which each part (n,) is torn: one of its faces does not
    have exactly one cell more within the part behind than before, or cells differ in that where it
    has no face; or it separates nothing in a cell without a free edge."""
    arrangement, cells, around = partition.arrangement, partition.cells, partition.winding
    closing, count = arrangement.closing, len(arrangement.triangles)
    steps = np.zeros((count, around.shape[1]), np.int64)
    np.add.at(
        steps,
        (arrangement.copy[closing], arrangement.part[closing]),
        arrangement.orientation[closing],
    )
    front, back = around[cells.front[:count]], around[cells.back[:count]]
    area = np.where((front[:, 0] > 0) | (back[:, 0] > 0), cells.area[:count], 0.0)
    torn: Floats = area @ (back - front != steps)
    ended = np.zeros(len(cells.volume), bool)
    ended[cells.front[partition.loose // 3]] = True
    idle = ~(cells.separating | ended[cells.front])[arrangement.copy]
    copies = arrangement.copy[idle]
    torn += np.bincount(arrangement.part[idle], area[copies], len(torn))
    torn /= area.sum() or 1.0
    return torn


def _report_merged_faces(partition: Partition, tolerance: float, findings: list[Finding]) -> None:
    """Adds findings for parts that share triangles whose planes were more than `tolerance` apart
    there."""
    arrangement, parts = partition.arrangement, partition.parts
    middles = arrangement.vertices[arrangement.triangles].mean(axis=1)
    corners = np.concatenate([part.vertices[part.triangles] for part in parts])
    planes = corners[arrangement.source].transpose(2, 1, 0)
    above = (planes[:, 0] - middles[arrangement.copy].T) * unit_normals(planes)
    height = above.sum(axis=0) * arrangement.orientation
    low, high = (np.full(len(middles), sign * np.inf) for sign in (1, -1))
    np.minimum.at(low, arrangement.copy, height)
    np.maximum.at(high, arrangement.copy, height)
    apart = high - low
    one = (apart > tolerance) & (apart <= 2 * partition.tolerance)
    copies = np.flatnonzero(one[arrangement.copy])
    part, triangle = arrangement.part[copies], arrangement.copy[copies]
    label = connected_components(len(parts) + len(middles), part, len(parts) + triangle)
    for number in np.unique(label[part]):
        names = [parts[each].name for each in np.flatnonzero(label[: len(parts)] == number)]
        if len(set(names)) > 1:
            text = Sentence(
                "{boundaries} are taken as one where they nearly coincide, up to {apart} apart; "
                "move them together or farther apart",
                boundaries=named("object", dict.fromkeys(names)),
                apart=meters(float(apart[triangle[label[part] == number]].max()), ".2g"),
            )
            findings.append(Finding("note", "taken-as-one", text))

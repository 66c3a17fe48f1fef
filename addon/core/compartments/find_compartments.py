"""Compartments found from hull, decks, bulkheads and tanks as modeled.

All surfaces are combined into one arrangement; its cells within the hull are compartments, boundary
material, or tanks. Holes in boundaries and open edges of the hull separate compartments as if
closed, and become the gaps through which water passes, except those that a closed door fills. See
docs/method.md, "Compartments".
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from ..arrays import Bools, Floats, Ints
from ..buoyancy.moment_tree import build_tree
from ..geometry.arrangement import Arrangement, SurfacePart, closed_part, sheet_part
from ..geometry.arrangement_cells import Cells
from ..geometry.caps import half_edge_ends
from ..geometry.mesh import WELD_SHARE, Mesh
from ..geometry.shared_volume import shared_volumes
from ..geometry.triangles import areas
from ..geometry.winding_number import is_inside
from ..messages.findings import BadInputError, Finding
from ..messages.sentence import Sentence, coordinates, cubic_meters
from ..messages.subjects import Subject, SubjectKind
from ..model.case import Case
from ..model.compartment import Compartment, CompartmentMark, CompartmentPlan
from ..model.hull import Hull
from ..model.names import check_names
from .adjacent_compartments import compartment_at, compartments_beside
from .boundary_material import find_material, find_on_deck
from .leaks import AT_SEA, downflooding_sill, find_gaps, find_leaks, gaps_without_doors
from .neighbors import find_neighbors
from .partitions import Partition
from .weld_tolerance import VOLUME_TOLERANCE_SHARE, partition_robustly, report_welds

__all__ = ["find_compartments", "downflooding_sill", "compartments_beside"]


HULL_PART, INNER_PART, FIRST_BOUNDARY_PART = 0, 1, 2
"""Numbers of the hull, of the faces within it, and of the first boundary among the parts."""
MATERIAL, OUTSIDE_HULL = -2, -3
"""Numbers of cells that are no compartment."""


def find_compartments(
    case: Case, on_progress: Callable[[float], None] | None = None
) -> CompartmentPlan:
    """The compartments of a case.

    `on_progress` receives the number of triangles at each step. Raises BadInputError for a boundary
    or a drawn compartment wholly outside the hull, for overlapping tanks or drawn compartments, and
    for a compartment marked where there is none or marked twice.
    """
    hull = case.hull
    drawn = tuple(mark for mark in case.compartment_marks if mark.body is not None)
    check_names("compartment", (*case.tanks, *case.compartment_marks))
    for boundary in case.boundaries:
        _check_mesh(boundary)
    tolerance = WELD_SHARE * hull.tree.size
    _check_apart("tank", {tank.name: tank.body.faces() for tank in case.tanks}, tolerance)
    _check_apart(
        "compartment", {mark.name: mark.body for mark in drawn if mark.body is not None}, tolerance
    )
    partition, part_errors = partition_robustly(
        _parts(case, drawn, tolerance), tolerance, on_progress
    )
    arrangement, cells, around = partition.arrangement, partition.cells, partition.winding
    findings: list[Finding] = []
    report_welds(partition, part_errors, tolerance, findings)
    _check_boundaries(case, arrangement, cells, around[:, HULL_PART] > 0, findings)
    if on_progress:
        on_progress(len(cells.triangles))
    compartment, numbers = _compartment_of_cells(case, drawn, partition, findings)
    compartments = _build_compartments(
        partition.parts, arrangement, cells, compartment, len(numbers)
    )
    compartments = _with_marks(case, drawn, numbers, compartments)
    order = _ship_order(compartments, tolerance)
    compartment = np.append(np.argsort(order), [OUTSIDE_HULL, MATERIAL, AT_SEA])[compartment]
    compartments = _with_names([compartments[number] for number in order])
    names = [each.name for each in compartments]
    gaps = find_gaps(
        arrangement, cells, compartment, names, [part.name for part in partition.parts]
    )
    gaps = gaps_without_doors(gaps, (door for door in case.doors if door.closed))
    leaks = find_leaks(gaps)
    leaky = {leak.compartment for leak in leaks}
    _report_loose_boundaries(partition, findings)
    solid = float(cells.volume[compartment == MATERIAL].sum())
    _report_tanks(case, compartments, findings)
    _report_sum(case, solid + sum(each.volume for each in compartments), tolerance, findings)
    return CompartmentPlan(
        tuple(replace(each, watertight=each.name not in leaky) for each in compartments),
        tuple(
            (names[a], names[b])
            for a, b in find_neighbors(arrangement, cells, compartment, MATERIAL, tolerance)
        ),
        gaps,
        leaks,
        solid,
        tuple(findings),
        cells.boundary_faces(compartment == MATERIAL),
    )


def _check_mesh(boundary: Mesh) -> None:
    """Raises BadInputError for a boundary without faces or with unusable numbers."""
    if not len(boundary.triangles):
        words = "boundary '{boundary}' has no faces; model them, or leave it out"
        raise BadInputError(Sentence(words, boundary=Subject("boundary", boundary.name)))
    if not np.isfinite(boundary.vertices[boundary.triangles]).all():
        raise BadInputError(
            Sentence(
                "boundary '{boundary}' has a vertex with a coordinate that is not a "
                "number; delete or move it",
                boundary=Subject("boundary", boundary.name),
            )
        )


def _parts(case: Case, drawn: tuple[CompartmentMark, ...], tolerance: float) -> list[SurfacePart]:
    """The parts of the arrangement: hull, faces within it, boundaries, tanks and drawn
    compartments."""
    hull = case.hull
    return [
        closed_part(hull.name, hull.vertices, hull.triangles, hull.caps, _is_whole(hull)),
        _inner_part(hull, tolerance),
        *(
            sheet_part(boundary.name, boundary.vertices, boundary.triangles, tolerance)
            for boundary in case.boundaries
        ),
        *(
            closed_part(tank.name, *_from_corners(tank.body.faces()), tank.body.caps)
            for tank in case.tanks
        ),
        *(
            closed_part(mark.name, *_from_corners(mark.body))
            for mark in drawn
            if mark.body is not None
        ),
    ]


def _inner_part(hull: Hull, tolerance: float) -> SurfacePart:
    """The faces within a hull, with its caps where they close the inside of thick boundaries."""
    caps = hull.vertices[hull.triangles[len(hull.triangles) - hull.caps :]]
    if not len(hull.inner):
        caps = caps[:0]
    corners = np.concatenate([hull.inner, caps])
    return sheet_part(hull.name, *_from_corners(corners), tolerance, len(caps))


def _is_whole(hull: Hull) -> bool:
    """Whether no part of a hull is known to cross itself."""
    crossing = {"crossing-faces", "overlapping-parts"}
    return crossing.isdisjoint(finding.code for finding in hull.findings)


def _from_corners(corners: Floats) -> tuple[Floats, Ints]:
    """Vertices and triangles of corners (n, 3, 3)."""
    return corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3)


def _compartment_of_cells(
    case: Case,
    drawn: tuple[CompartmentMark, ...],
    partition: Partition,
    findings: list[Finding],
) -> tuple[Ints, Ints]:
    """The compartment that each cell belongs to, `AT_SEA`, `MATERIAL`, or outside and enclosed,
    `OUTSIDE_HULL`; and what each compartment is: a tank, a drawn one, both by number, or else."""
    cells, around = partition.cells, partition.winding
    first_tank = FIRST_BOUNDARY_PART + len(case.boundaries)
    first_mark = first_tank + len(case.tanks)
    inside, thin = (
        around[:, HULL_PART] > 0,
        cells.volume <= partition.tolerance * cells.surface_area,
    )
    tanks = around[:, first_tank:first_mark] != 0
    marks = around[:, first_mark : first_mark + len(drawn)] != 0
    solid = find_material(case.hull, cells, around[:, :first_tank], findings)
    solid |= find_on_deck(case.hull, partition.arrangement, cells, inside & ~solid, findings)
    owner = np.arange(len(inside)) + len(case.tanks) + len(drawn)
    for number in range(len(drawn)):
        owner[marks[:, number]] = len(case.tanks) + number
    owner[solid] = MATERIAL
    for number in range(len(case.tanks)):
        owner[tanks[:, number]] = number
    owner[inside & thin] = MATERIAL
    owner[~inside] = OUTSIDE_HULL
    owner[cells.unbounded] = AT_SEA
    numbers, compartment = np.unique(
        np.append(owner, [OUTSIDE_HULL, MATERIAL, AT_SEA]), return_inverse=True
    )
    return compartment.reshape(-1)[:OUTSIDE_HULL] + OUTSIDE_HULL, numbers[-OUTSIDE_HULL:]


def _check_boundaries(
    case: Case, arrangement: Arrangement, cells: Cells, inside: Bools, findings: list[Finding]
) -> None:
    """Boundaries of which no face is within the hull, or over an opening of it, with the sea
    beyond.

    Raises BadInputError for one without area, or that does not meet the hull at all.
    """
    near = inside.copy()
    for side, other in ((cells.front, cells.back), (cells.back, cells.front)):
        near[
            side[
                np.flatnonzero(arrangement.only_caps & inside[other[: len(arrangement.only_caps)]])
            ]
        ] = True
    near[cells.unbounded] = False
    bounding = near[cells.front] | near[cells.back]
    there = set(arrangement.part[bounding[arrangement.copy]].tolist())
    of_hull = np.zeros(len(arrangement.vertices), bool)
    of_hull[_corners_of(arrangement, HULL_PART)] = True
    for number, boundary in enumerate(case.boundaries, FIRST_BOUNDARY_PART):
        if number in there:
            continue
        corners = _corners_of(arrangement, number)
        if not len(corners):
            words = "boundary '{boundary}' has no area; model its faces, or leave it out"
            raise BadInputError(Sentence(words, boundary=Subject("boundary", boundary.name)))
        if not of_hull[corners].any():
            raise BadInputError(
                Sentence(
                    "boundary '{boundary}' lies wholly outside the hull; move it to where it "
                    "divides the hull, or leave it out",
                    boundary=Subject("boundary", boundary.name),
                )
            )
        text = Sentence(
            "'{boundary}' divides nothing: it lies outside the hull, and closes no opening",
            boundary=Subject("boundary", boundary.name),
        )
        findings.append(Finding("warning", "open-boundary", text))


def _corners_of(arrangement: Arrangement, part: int) -> Ints:
    """Corners (k, 3) of the triangles of a part."""
    return arrangement.triangles[arrangement.copy[arrangement.part == part]]


def _check_apart(kind: SubjectKind, bodies: Mapping[str, Floats], tolerance: float) -> None:
    """Raises BadInputError for two of a kind, triangles (n, 3, 3) by name, that share space."""
    names = tuple(bodies)
    for one, other, volume, _ in shared_volumes(tuple(bodies.values()), tolerance):
        raise BadInputError(
            Sentence(
                "{kinds} '{one}' and '{other}' share {volume}; draw them side by side",
                kinds=Sentence("tanks") if kind == "tank" else Sentence("compartments"),
                one=Subject(kind, names[one]),
                other=Subject(kind, names[other]),
                volume=cubic_meters(volume, ".3g"),
            )
        )


def _build_compartments(
    parts: list[SurfacePart], arrangement: Arrangement, cells: Cells, compartment: Ints, count: int
) -> list[Compartment]:
    """The compartments, from the number of each cell's (k,), without names."""
    front, back = compartment[cells.front], compartment[cells.back]
    cap = np.ones(len(cells.triangles), bool)
    cap[: len(arrangement.only_caps)] = arrangement.only_caps
    outward = np.flatnonzero((front != back) & (back >= 0))
    inward = np.flatnonzero((front != back) & (front >= 0))
    number = np.concatenate([outward, inward])
    owner = np.concatenate([back[outward], front[inward]])
    faces = np.concatenate([cells.triangles[outward], cells.triangles[inward][:, ::-1]])
    order = np.lexsort((cap[number], owner))
    starts = np.searchsorted(owner[order], np.arange(count + 1))
    boundaries = _compartment_parts(arrangement, front, back)
    compartments = []
    for each in range(count):
        here = order[starts[each] : starts[each + 1]]
        used, place = np.unique(faces[here], return_inverse=True)
        vertices, triangles = cells.vertices[used], place.reshape(-1, 3)
        body = build_tree(vertices, triangles, int(cap[number[here]].sum()))
        names = dict.fromkeys(parts[part].name for part in boundaries[boundaries[:, 0] == each, 1])
        compartments.append(Compartment("", body, vertices, triangles, boundaries=tuple(names)))
    return compartments


def _compartment_parts(arrangement: Arrangement, front: Ints, back: Ints) -> Ints:
    """Pairs (k, 2) of a compartment and a part that bounds it, from the compartments in front and
    behind."""
    face = ~arrangement.cap
    sides = np.stack([front, back])[:, arrangement.copy[face]]
    bounded = (sides[0] != sides[1]) & (sides >= 0)
    parts = np.broadcast_to(arrangement.part[face], sides.shape)
    count = int(arrangement.part.max()) + 1
    pairs = np.flatnonzero(np.bincount(sides[bounded] * count + parts[bounded]))
    return np.stack(np.divmod(pairs, count), axis=1)


def _with_marks(
    case: Case, drawn: tuple[CompartmentMark, ...], numbers: Ints, compartments: list[Compartment]
) -> list[Compartment]:
    """The compartments with names and properties from tanks, drawn compartments and marked
    points."""
    specified = [
        *(
            CompartmentMark(tank.name, use="liquids", permeability=tank.permeability)
            for tank in case.tanks
        ),
        *drawn,
    ]
    marks = {
        int(place): specified[number]
        for place, number in enumerate(numbers)
        if number < len(specified)
    }
    for number, mark in enumerate(drawn, len(case.tanks)):
        if number not in numbers:
            raise BadInputError(
                Sentence(
                    "compartment '{compartment}' has no volume of its own within the hull; move it "
                    "to where it is to be, or leave it out",
                    compartment=Subject("compartment", mark.name),
                )
            )
    for mark in case.compartment_marks:
        if mark.at is None:
            continue
        words = "compartment '{compartment}' is marked at {place}"
        marked = Sentence(
            words, compartment=Subject("compartment", mark.name), place=coordinates(mark.at)
        )
        at = compartment_at(compartments, mark.at)
        if at is None:
            within = is_inside(mark.at[None], case.hull.vertices[case.hull.triangles])[0]
            raise BadInputError(
                Sentence(
                    "{marked}, in a boundary; move the mark into the compartment"
                    if within
                    else "{marked}, outside the hull; move the mark into the compartment",
                    marked=marked,
                )
            )
        if at in marks:
            raise BadInputError(
                Sentence(
                    "{marked}, in compartment '{compartment}'; a compartment has one name: "
                    "leave one of the two out",
                    marked=marked,
                    compartment=Subject("compartment", marks[at].name),
                )
            )
        marks[at] = mark
    for number, mark in marks.items():
        compartments[number] = replace(
            compartments[number], name=mark.name, use=mark.use, permeability=mark.share
        )
    return compartments


def _ship_order(compartments: list[Compartment], tolerance: float) -> Ints:
    """Numbers of the compartments from aft to forward, low to high, starboard to port, by
    centroid."""
    centers = np.array([compartment.center for compartment in compartments]).reshape(-1, 3)
    ranks = []
    for values in centers.T:
        rising = np.argsort(values, kind="stable")
        rank = np.zeros(len(values), np.int64)
        rank[rising[1:]] = np.cumsum(np.diff(values[rising]) > tolerance)
        ranks.append(rank)
    x, y, z = ranks
    return np.lexsort((y, z, x))


def _with_names(compartments: list[Compartment]) -> list[Compartment]:
    """The compartments with a name for each: 'space 1', 'space 2' where the user gives none."""
    taken = {compartment.name for compartment in compartments}
    free = (
        name
        for name in (f"space {n}" for n in range(1, 2 * len(compartments) + 1))
        if name not in taken
    )
    return [
        compartment if compartment.name else replace(compartment, name=next(free))
        for compartment in compartments
    ]


def _report_loose_boundaries(partition: Partition, findings: list[Finding]) -> None:
    """Adds findings for boundaries in the hull that end without closing, and so separate
    nothing."""
    cells, part = partition.cells, partition.arrangement.first_part()
    separating = cells.separating[: len(part)]
    for number in np.unique(part[partition.loose // 3]):
        here = partition.loose[part[partition.loose // 3] == number]
        points = cells.vertices[half_edge_ends(cells.triangles, here)]
        name = partition.parts[number].name
        if separating[part == number].any():
            words = "part of '{boundary}' divides nothing: it ends in the hull with free edges"
        else:
            words = (
                "'{boundary}' divides nothing: it ends in the hull with free edges; extend it to "
                "the hull surface, a deck or another boundary"
            )
        text = Sentence(words, boundary=Subject("object", name))
        findings.append(Finding("warning", "open-boundary", text, "", points=points.mean(axis=1)))


def _report_tanks(case: Case, compartments: list[Compartment], findings: list[Finding]) -> None:
    """Adds findings for tanks that lie in the hull in part, or not at all."""
    within = {compartment.name: compartment.volume for compartment in compartments}
    for tank in case.tanks:
        volume, whole = within.get(tank.name, 0.0), tank.body.volume
        if not volume:
            words = "tank '{tank}' lies outside the hull and is no compartment of it"
            text = Sentence(words, tank=Subject("tank", tank.name))
            findings.append(Finding("note", "tank-outside", text))
        elif volume < (1 - VOLUME_TOLERANCE_SHARE) * whole:
            text = Sentence(
                "tank '{tank}' sticks out of the hull with {volume}",
                tank=Subject("tank", tank.name),
                volume=cubic_meters(whole - volume, ".3g"),
            )
            findings.append(Finding("warning", "tank-sticks-out", text))


def _report_sum(case: Case, total: float, tolerance: float, findings: list[Finding]) -> None:
    """Adds a finding where the compartments do not add up to the hull within what moving its
    surface by the tolerance explains, as where parts of it intersect."""
    volume, surface = case.hull.volume, areas(case.hull.vertices, case.hull.triangles).sum()
    if abs(total - volume) > VOLUME_TOLERANCE_SHARE * volume + tolerance * surface:
        findings.append(
            Finding(
                "warning",
                "compartments-do-not-add-up",
                Sentence(
                    "the compartments hold {total} in all, the hull {volume}; look for faces that "
                    "pass through each other, or end a hair's breadth from one another",
                    total=cubic_meters(total, ".6g"),
                    volume=cubic_meters(volume, ".6g"),
                ),
            )
        )

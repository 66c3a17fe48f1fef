"""Compartments found from hull, decks, bulkheads and tanks as modeled.

All surfaces are combined into one arrangement; its cells within the hull are compartments, boundary
material, or tanks. Holes in boundaries and open edges of the hull separate compartments as if
closed, and become the gaps through which water passes, except those that a closed door fills. See
docs/method.md, "Rooms".
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..buoyancy.moment_tree import build_tree
from ..geometry.arrangement import Arrangement, Part, closed_part, sheet_part
from ..geometry.arrangement_cells import Cells
from ..geometry.caps import ends_of
from ..geometry.mesh import WELD, Mesh
from ..geometry.shared_volume import shared_spaces
from ..geometry.triangles import areas
from ..geometry.winding_number import is_inside
from ..messages.findings import BadInputError, Finding
from ..messages.sentence import Sentence, coordinates, cubic_metres
from ..messages.subjects import Subject, SubjectKind
from ..model.case import Case
from ..model.compartment import Division, Room, RoomMark
from ..model.hull import Hull
from ..model.names import check_names
from .adjacent_compartments import room_at, rooms_beside
from .boundary_material import find_material, find_on_deck
from .leaks import AT_SEA, find_gaps, find_leaks, first_water, less_doors
from .neighbors import find_neighbours
from .partitions import Partition
from .weld_tolerance import AGREES, part_soundly, tell_welds

__all__ = ["find_rooms", "first_water", "rooms_beside"]

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Chosen = NDArray[np.bool_]

HULL, INNER, WALLS = 0, 1, 2
SOLID, NOWHERE = -2, -3


def find_rooms(case: Case, tell: Callable[[float], None] | None = None) -> Division:
    """The compartments of a case.

    `tell` receives the number of triangles at each step. Raises BadInputError for a boundary or a
    drawn compartment wholly outside the hull, for overlapping tanks or drawn compartments, and for
    a compartment marked where there is none or marked twice.
    """
    hull = case.hull
    drawn = tuple(mark for mark in case.room_marks if mark.body is not None)
    check_names("compartment", (*case.tanks, *case.room_marks))
    for wall in case.walls:
        _check_mesh(wall)
    touch = WELD * hull.tree.size
    _check_apart("tank", {tank.name: tank.body.faces() for tank in case.tanks}, touch)
    _check_apart(
        "compartment", {mark.name: mark.body for mark in drawn if mark.body is not None}, touch
    )
    parted, strains = part_soundly(_parts(case, drawn, touch), touch, tell)
    arrangement, cells, around = parted.arrangement, parted.cells, parted.around
    findings: list[Finding] = []
    tell_welds(parted, strains, touch, findings)
    _check_walls(case, arrangement, cells, around[:, HULL] > 0, findings)
    if tell:
        tell(len(cells.triangles))
    room, numbers = _numbered(case, drawn, parted, findings)
    rooms = _rooms(parted.parts, arrangement, cells, room, len(numbers))
    rooms = _told(case, drawn, numbers, rooms)
    order = _in_order(rooms, touch)
    room = np.append(np.argsort(order), [NOWHERE, SOLID, AT_SEA])[room]
    rooms = _named([rooms[number] for number in order])
    names = [each.name for each in rooms]
    gaps = find_gaps(arrangement, cells, room, names, [part.name for part in parted.parts])
    gaps = less_doors(gaps, (door for door in case.doors if door.shut))
    leaks = find_leaks(gaps)
    leaky = {leak.room for leak in leaks}
    _tell_loose_walls(parted, findings)
    solid = float(cells.volume[room == SOLID].sum())
    _tell_tanks(case, rooms, findings)
    _tell_sum(case, solid + sum(each.volume for each in rooms), touch, findings)
    return Division(
        tuple(replace(each, sealed=each.name not in leaky) for each in rooms),
        tuple(
            (names[a], names[b]) for a, b in find_neighbours(arrangement, cells, room, SOLID, touch)
        ),
        gaps,
        leaks,
        solid,
        tuple(findings),
        cells.faces_round(room == SOLID),
    )


def _check_mesh(wall: Mesh) -> None:
    """Raises BadInputError for a boundary without faces or with unusable numbers."""
    if not len(wall.triangles):
        words = "wall '{wall}' has no faces; model them, or leave it out"
        raise BadInputError(Sentence(words, wall=Subject("boundary", wall.name)))
    if not np.isfinite(wall.vertices[wall.triangles]).all():
        raise BadInputError(
            Sentence(
                "wall '{wall}' has a vertex with a coordinate that is not a number; delete or move "
                "it",
                wall=Subject("boundary", wall.name),
            )
        )


def _parts(case: Case, drawn: tuple[RoomMark, ...], touch: float) -> list[Part]:
    """The parts of the arrangement: hull, faces within it, boundaries, tanks and drawn
    compartments."""
    hull = case.hull
    return [
        closed_part(hull.name, hull.vertices, hull.triangles, hull.lids, _is_whole(hull)),
        _inner_part(hull, touch),
        *(sheet_part(wall.name, wall.vertices, wall.triangles, touch) for wall in case.walls),
        *(
            closed_part(tank.name, *_from_corners(tank.body.faces()), tank.body.lids)
            for tank in case.tanks
        ),
        *(
            closed_part(mark.name, *_from_corners(mark.body))
            for mark in drawn
            if mark.body is not None
        ),
    ]


def _inner_part(hull: Hull, touch: float) -> Part:
    """The faces within a hull, with its caps where they close the inside of thick boundaries."""
    lids = hull.vertices[hull.triangles[len(hull.triangles) - hull.lids :]]
    if not len(hull.inner):
        lids = lids[:0]
    corners = np.concatenate([hull.inner, lids])
    return sheet_part(hull.name, *_from_corners(corners), touch, len(lids))


def _is_whole(hull: Hull) -> bool:
    """Whether no part of a hull is known to cross itself."""
    crossing = {"crossing-faces", "overlapping-parts"}
    return crossing.isdisjoint(finding.code for finding in hull.findings)


def _from_corners(corners: Array) -> tuple[Array, Ints]:
    """Vertices and triangles of corners (n, 3, 3)."""
    return corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3)


def _numbered(
    case: Case,
    drawn: tuple[RoomMark, ...],
    parted: Partition,
    findings: list[Finding],
) -> tuple[Ints, Ints]:
    """The compartment that each cell belongs to, `AT_SEA`, `SOLID`, or outside and enclosed,
    `NOWHERE`; and what each compartment is: a tank, a drawn one, both by number, or else."""
    cells, around = parted.cells, parted.around
    first_tank = WALLS + len(case.walls)
    first_mark = first_tank + len(case.tanks)
    inside, thin = around[:, HULL] > 0, cells.volume <= parted.touch * cells.skin
    tanks = around[:, first_tank:first_mark] != 0
    marks = around[:, first_mark : first_mark + len(drawn)] != 0
    solid = find_material(case.hull, cells, around[:, :first_tank], findings)
    solid |= find_on_deck(case.hull, parted.arrangement, cells, inside & ~solid, findings)
    owner = np.arange(len(inside)) + len(case.tanks) + len(drawn)
    for number in range(len(drawn)):
        owner[marks[:, number]] = len(case.tanks) + number
    owner[solid] = SOLID
    for number in range(len(case.tanks)):
        owner[tanks[:, number]] = number
    owner[inside & thin] = SOLID
    owner[~inside] = NOWHERE
    owner[cells.sea] = AT_SEA
    numbers, room = np.unique(np.append(owner, [NOWHERE, SOLID, AT_SEA]), return_inverse=True)
    return room.reshape(-1)[:NOWHERE] + NOWHERE, numbers[-NOWHERE:]


def _check_walls(
    case: Case, arrangement: Arrangement, cells: Cells, inside: Chosen, findings: list[Finding]
) -> None:
    """Boundaries of which no face is within the hull, or over an opening of it, with the sea
    beyond.

    Raises BadInputError for one without area, or that does not meet the hull at all.
    """
    near = inside.copy()
    for side, other in ((cells.front, cells.back), (cells.back, cells.front)):
        near[side[np.flatnonzero(arrangement.open & inside[other[: len(arrangement.open)]])]] = True
    near[cells.sea] = False
    bounding = near[cells.front] | near[cells.back]
    there = set(arrangement.part[bounding[arrangement.copy]].tolist())
    hers = np.zeros(len(arrangement.vertices), bool)
    hers[_corners_of(arrangement, HULL)] = True
    for number, wall in enumerate(case.walls, WALLS):
        if number in there:
            continue
        corners = _corners_of(arrangement, number)
        if not len(corners):
            words = "wall '{wall}' has no area; model its faces, or leave it out"
            raise BadInputError(Sentence(words, wall=Subject("boundary", wall.name)))
        if not hers[corners].any():
            raise BadInputError(
                Sentence(
                    "wall '{wall}' lies wholly outside the hull; move it to where it parts her, or "
                    "leave it out",
                    wall=Subject("boundary", wall.name),
                )
            )
        text = Sentence(
            "'{wall}' divides nothing: it lies outside the hull, and closes no opening",
            wall=Subject("boundary", wall.name),
        )
        findings.append(Finding("warning", "open-wall", text))


def _corners_of(arrangement: Arrangement, part: int) -> Ints:
    """Corners (k, 3) of the triangles of a part."""
    return arrangement.triangles[arrangement.copy[arrangement.part == part]]


def _check_apart(kind: SubjectKind, bodies: Mapping[str, Array], touch: float) -> None:
    """Raises BadInputError for two of a kind, triangles (n, 3, 3) by name, that share space."""
    names = tuple(bodies)
    for one, other, volume, _ in shared_spaces(tuple(bodies.values()), touch):
        raise BadInputError(
            Sentence(
                "{kinds} '{one}' and '{other}' share {volume}; draw them side by side",
                kinds=Sentence("tanks") if kind == "tank" else Sentence("rooms"),
                one=Subject(kind, names[one]),
                other=Subject(kind, names[other]),
                volume=cubic_metres(volume, ".3g"),
            )
        )


def _rooms(
    parts: list[Part], arrangement: Arrangement, cells: Cells, room: Ints, count: int
) -> list[Room]:
    """The compartments, from the number of each cell's (k,), without names."""
    front, back = room[cells.front], room[cells.back]
    lid = np.ones(len(cells.triangles), bool)
    lid[: len(arrangement.open)] = arrangement.open
    outward = np.flatnonzero((front != back) & (back >= 0))
    inward = np.flatnonzero((front != back) & (front >= 0))
    number = np.concatenate([outward, inward])
    owner = np.concatenate([back[outward], front[inward]])
    faces = np.concatenate([cells.triangles[outward], cells.triangles[inward][:, ::-1]])
    order = np.lexsort((lid[number], owner))
    starts = np.searchsorted(owner[order], np.arange(count + 1))
    walls = _walls(arrangement, front, back)
    rooms = []
    for each in range(count):
        here = order[starts[each] : starts[each + 1]]
        used, place = np.unique(faces[here], return_inverse=True)
        vertices, triangles = cells.vertices[used], place.reshape(-1, 3)
        body = build_tree(vertices, triangles, int(lid[number[here]].sum()))
        names = dict.fromkeys(parts[part].name for part in walls[walls[:, 0] == each, 1])
        rooms.append(Room("", body, vertices, triangles, walls=tuple(names)))
    return rooms


def _walls(arrangement: Arrangement, front: Ints, back: Ints) -> Ints:
    """Pairs (k, 2) of a compartment and a part that bounds it, from the compartments in front and
    behind."""
    face = ~arrangement.lid
    sides = np.stack([front, back])[:, arrangement.copy[face]]
    bounded = (sides[0] != sides[1]) & (sides >= 0)
    parts = np.broadcast_to(arrangement.part[face], sides.shape)
    count = int(arrangement.part.max()) + 1
    pairs = np.flatnonzero(np.bincount(sides[bounded] * count + parts[bounded]))
    return np.stack(np.divmod(pairs, count), axis=1)


def _told(case: Case, drawn: tuple[RoomMark, ...], numbers: Ints, rooms: list[Room]) -> list[Room]:
    """The compartments with names and properties from tanks, drawn compartments and marked
    points."""
    said = [
        *(
            RoomMark(tank.name, use="liquids", permeability=tank.permeability)
            for tank in case.tanks
        ),
        *drawn,
    ]
    marks = {int(place): said[number] for place, number in enumerate(numbers) if number < len(said)}
    for number, mark in enumerate(drawn, len(case.tanks)):
        if number not in numbers:
            raise BadInputError(
                Sentence(
                    "room '{room}' has no space of its own within the hull; move it to where it is "
                    "to be, or leave it out",
                    room=Subject("compartment", mark.name),
                )
            )
    for mark in case.room_marks:
        if mark.at is None:
            continue
        words = "room '{room}' is marked at {place}"
        marked = Sentence(words, room=Subject("compartment", mark.name), place=coordinates(mark.at))
        at = room_at(rooms, mark.at)
        if at is None:
            within = is_inside(mark.at[None], case.hull.vertices[case.hull.triangles])[0]
            raise BadInputError(
                Sentence(
                    "{marked}, in a wall; move the mark into the room"
                    if within
                    else "{marked}, outside the hull; move the mark into the room",
                    marked=marked,
                )
            )
        if at in marks:
            raise BadInputError(
                Sentence(
                    "{marked}, in room '{room}'; a room has one name: leave one of the two out",
                    marked=marked,
                    room=Subject("compartment", marks[at].name),
                )
            )
        marks[at] = mark
    for number, mark in marks.items():
        rooms[number] = replace(
            rooms[number], name=mark.name, use=mark.use, permeability=mark.share
        )
    return rooms


def _in_order(rooms: list[Room], touch: float) -> Ints:
    """Numbers of the compartments from aft to forward, low to high, starboard to port, by
    centroid."""
    centres = np.array([room.centre for room in rooms]).reshape(-1, 3)
    ranks = []
    for values in centres.T:
        rising = np.argsort(values, kind="stable")
        rank = np.zeros(len(values), np.int64)
        rank[rising[1:]] = np.cumsum(np.diff(values[rising]) > touch)
        ranks.append(rank)
    x, y, z = ranks
    return np.lexsort((y, z, x))


def _named(rooms: list[Room]) -> list[Room]:
    """The compartments with a name for each: 'space 1', 'space 2' where the user gives none."""
    taken = {room.name for room in rooms}
    free = (
        name for name in (f"space {n}" for n in range(1, 2 * len(rooms) + 1)) if name not in taken
    )
    return [room if room.name else replace(room, name=next(free)) for room in rooms]


def _tell_loose_walls(parted: Partition, findings: list[Finding]) -> None:
    """Adds findings for boundaries in the hull that end without closing, and so separate
    nothing."""
    cells, part = parted.cells, parted.arrangement.first_part()
    parting = cells.parting[: len(part)]
    for number in np.unique(part[parted.loose // 3]):
        here = parted.loose[part[parted.loose // 3] == number]
        points = cells.vertices[ends_of(cells.triangles, here)]
        name = parted.parts[number].name
        if parting[part == number].any():
            words = "part of '{wall}' divides nothing: it ends in the hull with free edges"
        else:
            words = (
                "'{wall}' divides nothing: it ends in the hull with free edges; extend it to the "
                "skin, a deck or another wall"
            )
        text = Sentence(words, wall=Subject("object", name))
        findings.append(Finding("warning", "open-wall", text, "", points=points.mean(axis=1)))


def _tell_tanks(case: Case, rooms: list[Room], findings: list[Finding]) -> None:
    """Adds findings for tanks that lie in the hull in part, or not at all."""
    within = {room.name: room.volume for room in rooms}
    for tank in case.tanks:
        volume, whole = within.get(tank.name, 0.0), tank.body.volume
        if not volume:
            words = "tank '{tank}' lies outside the hull and is no room of hers"
            text = Sentence(words, tank=Subject("tank", tank.name))
            findings.append(Finding("note", "tank-outside", text))
        elif volume < (1 - AGREES) * whole:
            text = Sentence(
                "tank '{tank}' sticks out of the hull with {volume}",
                tank=Subject("tank", tank.name),
                volume=cubic_metres(whole - volume, ".3g"),
            )
            findings.append(Finding("warning", "tank-sticks-out", text))


def _tell_sum(case: Case, total: float, touch: float, findings: list[Finding]) -> None:
    """Adds a finding where the compartments do not add up to the hull within what moving its
    surface by the tolerance explains, as where parts of it intersect."""
    volume, skin = case.hull.volume, areas(case.hull.vertices, case.hull.triangles).sum()
    if abs(total - volume) > AGREES * volume + touch * skin:
        findings.append(
            Finding(
                "warning",
                "rooms-do-not-add-up",
                Sentence(
                    "the rooms hold {total} in all, the hull {volume}; look for faces that pass "
                    "through each other, or end a hair's breadth from one another",
                    total=cubic_metres(total, ".6g"),
                    volume=cubic_metres(volume, ".6g"),
                ),
            )
        )

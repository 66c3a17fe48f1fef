"""Envelope: the closed outer surface of a mesh as modeled.

Coincident vertices are welded, slivers dissolved into their neighbors, openings closed with caps,
including the rims of open boats with thick shells, and the faces with the outside on exactly one
side are kept, turned outward. Inner bulkheads, loose sheets and bodies wholly inside others
displace nothing and are left out. Every change is reported as a finding.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..messages.findings import BadInputError, Finding
from ..messages.sentence import Quantity, Sentence, counted, cubic_metres, metres, square_metres
from ..messages.subjects import Subject
from .caps import Loop, Spaces, ends_of, find_loops, find_spaces, with_lids
from .mesh import Mesh, check_mesh, in_use
from .self_intersections import crossing_faces
from .surface import Skin, first_alike, is_sliver, without_slivers
from .triangles import area_vectors, areas, by_axis, lengths, volumes
from .watershed import hold_basins
from .winding_number import is_inside

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

THIN = 0.1
PROBES = 24
PROBED_PAIRS = 1 << 20


@dataclass(frozen=True)
class Envelope:
    """Closed outward surface. The last `lids` triangles close the open edges.

    `rims` holds the edges (k, 2, 3) round each opening, and `rim_ends` (k, 2) their vertices in the
    mesh; `source` (m,) is the triangle of the mesh that each one came from (-1 for a cap), `given`
    (n,) the vertex of the mesh that each vertex is (-1 for the middle of a cap), and `twins` (k, 2)
    vertices of the mesh that were merged with the second of each pair.
    """

    vertices: Array
    triangles: Ints
    lids: int
    source: Ints
    given: Ints
    twins: Ints
    rims: tuple[Array, ...]
    rim_ends: tuple[Ints, ...]
    parts: int
    findings: tuple[Finding, ...]


def find_envelope(mesh: Mesh) -> Envelope:
    """The closed surface of a mesh. Raises BadInputError when there is none."""
    check_mesh(mesh)
    findings: list[Finding] = []
    skin, twins = _weld(mesh, findings)
    skin = without_slivers(skin, mesh.touch)
    spaces, loose = find_spaces(skin, mesh.touch)
    spaces = hold_basins(skin.vertices, skin.triangles, spaces, mesh.touch)
    _tell_basins(mesh, skin, spaces, findings)
    _tell_loose_edges(skin, loose, findings)
    skin = _outside(mesh, skin, spaces, findings)
    loops = find_loops(skin)
    skin = with_lids(skin, loops, mesh.touch)
    skin = skin.take(_displacing(mesh, skin, findings))
    openings = _tell_openings(skin, loops, mesh.touch, findings)
    vertices, triangles = in_use(skin.vertices, skin.triangles)
    _seek_crossings(mesh, vertices, triangles, skin.source, findings)
    _warn_of_thin_shell(vertices, triangles, findings)
    order = np.argsort(skin.source < 0, kind="stable")
    faces = skin.source >= 0
    given = np.full(len(vertices), -1)
    given[triangles[faces]] = skin.given[faces]
    return Envelope(
        vertices,
        triangles[order],
        int((~faces).sum()),
        skin.source[order],
        given,
        twins,
        tuple(loop.points for loop in openings),
        tuple(loop.given for loop in openings),
        len(np.unique(skin.part)),
        tuple(findings),
    )


def _weld(mesh: Mesh, findings: list[Finding]) -> tuple[Skin, Ints]:
    """Triangles over welded vertices, without collapsed and double ones; and the vertices (k, 2)
    merged into others."""
    used = np.flatnonzero(np.bincount(mesh.triangles.ravel()))
    merged = np.arange(len(mesh.vertices))
    merged[used] = used[first_alike(mesh.vertices[used], mesh.touch)]
    double = used[merged[used] != used]
    if double.size:
        findings.append(
            Finding(
                "note",
                "double-vertices",
                Sentence(
                    "{vertices} taken as one",
                    vertices=counted(
                        double.size, "{count} double vertex", "{count} double vertices"
                    ),
                ),
                "vertex",
                double,
                mesh.vertices[double],
            )
        )
    triangles = merged[mesh.triangles]
    a, b, c = triangles.T
    collapsed = (a == b) | (b == c) | (c == a)
    flat = collapsed | is_sliver(mesh.vertices, triangles, mesh.touch)
    _tell_faces(
        mesh,
        findings,
        "degenerate-faces",
        np.flatnonzero(np.bincount(mesh.faces, ~flat)[mesh.faces] == 0),
        "{faces} without area; dissolve or delete",
        severity="note",
    )
    kept = np.flatnonzero(~collapsed)
    if flat.all():
        raise BadInputError(
            Sentence("{mesh}: no face of the mesh has any area", mesh=Subject("object", mesh.name))
        )
    first = _distinct(np.sort(triangles[kept], axis=1))
    repeated = np.ones(len(kept), bool)
    repeated[first] = False
    _tell_faces(
        mesh,
        findings,
        "double-faces",
        kept[repeated],
        "{faces} on top of another, counted once",
        severity="note",
    )
    kept = kept[~repeated]
    given, none = mesh.triangles[kept], np.zeros(len(kept), np.int64)
    twins = np.stack([double, merged[double]], axis=1)
    return Skin(*in_use(mesh.vertices, triangles[kept]), given, kept, none), twins


def _distinct(rows: Ints) -> Ints:
    """First index of each distinct row of (n, 3) whole numbers >= 0."""
    if rows.max() < 1 << 21:
        packed = (rows[:, 0] << 42) | (rows[:, 1] << 21) | rows[:, 2]
        return np.unique(packed, return_index=True)[1]
    return np.unique(rows, axis=0, return_index=True)[1]


def _tell_loose_edges(skin: Skin, halves: Ints, findings: list[Finding]) -> None:
    """Adds a finding for free edges in no loop."""
    if halves.size:
        findings.append(
            Finding(
                "warning",
                "loose-edges",
                Sentence(
                    "{edges} of faces that stick out of the surface or hang in it; they displace "
                    "nothing",
                    edges=counted(len(halves), "{count} free edge", "{count} free edges"),
                ),
                "edge",
                ends_of(skin.given, halves),
                skin.vertices[ends_of(skin.triangles, halves)].mean(axis=1),
            )
        )


def _tell_openings(
    skin: Skin, loops: list[Loop], touch: float, findings: list[Finding]
) -> list[Loop]:
    """The edges round each opening of each part; cracks only give a finding."""
    loops = [loop for loop in loops if loop.part in skin.part]
    cracks = [loop for loop in loops if loop.is_crack(touch)]
    if cracks:
        given = np.concatenate([loop.given for loop in cracks])
        findings.append(
            Finding(
                "note",
                "cracks",
                Sentence(
                    "{edges} along cracks without width, taken as closed",
                    edges=counted(len(given), "{count} edge", "{count} edges"),
                ),
                "edge",
                given,
                np.concatenate([loop.points for loop in cracks]).mean(axis=1),
            )
        )
    openings = [loop for loop in loops if not loop.is_crack(touch)]
    for loop in openings:
        middles = loop.points.mean(axis=1)
        if _is_all_along(loop, openings, np.ptp(skin.vertices[skin.triangles, 0]) / 2, touch):
            findings.append(
                Finding(
                    "warning",
                    "half-hull",
                    Sentence(
                        "open all along one side, at y = {y}: if this is half a hull, mirror it "
                        "there",
                        y=metres(middles[0, 1], ".4g"),
                    ),
                    "edge",
                    loop.given,
                    middles,
                )
            )
        findings.append(
            Finding(
                "note",
                "open-edge",
                Sentence(
                    "open: {edges} round an opening of {area}; she fills when its lowest point "
                    "goes under",
                    edges=counted(len(loop.ends), "{count} edge", "{count} edges"),
                    area=square_metres(loop.area, ".3g"),
                ),
                "edge",
                loop.given,
                middles,
            )
        )
    return openings


def _is_all_along(loop: Loop, openings: list[Loop], least: float, touch: float) -> bool:
    """Whether an opening lies in a plane of constant y, and those in it are `least` (m) long."""
    plane = loop.points[0, 0, 1]
    flat = [each for each in openings if np.abs(each.points[..., 1] - plane).max() <= touch]
    lengths = [float(np.ptp(each.points[..., 0])) for each in flat]
    return any(each is loop for each in flat) and sum(lengths) >= least


def _tell_basins(mesh: Mesh, skin: Skin, spaces: Spaces, findings: list[Finding]) -> None:
    """Adds a finding for an open boat with a thick shell; doubtful if the shell has more volume
    than the inside."""
    lining = spaces.basin[spaces.front] != spaces.basin[spaces.back]
    if not lining.any():
        return
    within = np.zeros(len(spaces.volume), bool)
    within[np.where(spaces.basin[spaces.front], spaces.back, spaces.front)[lining]] = True
    walls, space = spaces.volume[within].sum(), spaces.volume[spaces.basin].sum()
    around = within[spaces.front] != within[spaces.back]
    thickness = 2 * walls / areas(skin.vertices, skin.triangles[around]).sum()
    doubtful = bool(walls > space)
    _tell_faces(
        mesh,
        findings,
        "open-shell",
        skin.source[lining],
        "{space} open above, with walls about {thickness} thick, is taken as the inside of an open "
        "boat, dry until its rim goes under; if water is to stand in it, model a drain through its "
        "floor"
        if doubtful
        else "{space} open above, with walls about {thickness} thick, is taken as the inside of an "
        "open boat, dry until its rim goes under",
        severity="warning" if doubtful else "note",
        space=cubic_metres(space, ".3g"),
        thickness=metres(thickness, ".2g"),
    )


def _outside(mesh: Mesh, skin: Skin, spaces: Spaces, findings: list[Finding]) -> Skin:
    """The faces with the outside on exactly one side, turned so that their normals point to it."""
    if not spaces.outer.any():
        raise BadInputError(
            Sentence(
                "{mesh}: the surface encloses nothing; close it, or leave one open rim above the "
                "water",
                mesh=Subject("object", mesh.name),
            )
        )
    front, back, source = spaces.front, spaces.back, skin.source
    wet_front, wet_back = spaces.outer[front], spaces.outer[back]
    kept = wet_front != wet_back
    partly = np.bincount(mesh.faces[source[kept]], minlength=int(mesh.faces.max()) + 1) > 0
    left = ~kept & ~partly[mesh.faces[source]]
    lining = spaces.basin[front] != spaces.basin[back]
    wall = left & ~lining & ~wet_front & (spaces.room[front] | spaces.room[back])
    _tell_faces(
        mesh,
        findings,
        "inner-walls",
        source[wall],
        "{faces} inside the hull left out of its outer surface",
        severity="note",
    )
    _tell_faces(
        mesh,
        findings,
        "loose-faces",
        source[left & ~wall & ~lining],
        "{faces} left out: loose sheets, the same space on both sides, displace nothing",
    )
    turned = kept & wet_back
    backward = source[turned]
    everything = len(backward) == int(kept.sum())
    _tell_faces(
        mesh,
        findings,
        "inward-normals",
        backward,
        "all {faces} with inward normals, turned for the computation"
        if everything
        else "{faces} with inward normals, turned for the computation",
    )
    skin = replace(
        skin,
        triangles=np.where(turned[:, None], skin.triangles[:, ::-1], skin.triangles),
        given=np.where(turned[:, None], skin.given[:, ::-1], skin.given),
        part=np.where(wet_front, front, back),
    )
    return skin.take(kept)


def _displacing(mesh: Mesh, skin: Skin, findings: list[Finding]) -> NDArray[np.bool_]:
    """Which triangles belong to a part that is not wholly inside another."""
    vertices, triangles, source = skin.vertices, skin.triangles, skin.source
    names, part_of = np.unique(skin.part, return_inverse=True)
    if len(names) == 1:
        return np.ones(len(triangles), bool)
    low, high = np.full((len(names), 3), np.inf), np.full((len(names), 3), -np.inf)
    for corner in range(3):
        np.minimum.at(low, part_of, vertices[triangles[:, corner]])
        np.maximum.at(high, part_of, vertices[triangles[:, corner]])
    meet = (low[:, None] < high[None]).all(axis=2) & (high[:, None] > low[None]).all(axis=2)
    nested: set[int] = set()
    shared: list[Ints] = []
    for part, other in np.argwhere(meet & ~np.eye(len(names), dtype=bool)):
        if part in nested or other in nested:
            continue
        mine, theirs = np.flatnonzero(part_of == part), triangles[part_of == other]
        most = max(PROBES, PROBED_PAIRS // len(theirs))
        probed = mine[:: -(-len(mine) // most)]
        probes = _just_inside(vertices, triangles[probed], 2 * mesh.touch)
        inside = is_inside(probes, vertices[theirs])
        if inside.all():
            nested.add(int(part))
        else:
            shared.append(probed[inside])
    kept = ~np.isin(part_of, list(nested))
    if nested:
        _tell_faces(
            mesh,
            findings,
            "nested-parts",
            source[~kept & (source >= 0)],
            "{parts} ({faces}) inside another left out: a space inside the hull displaces no water "
            "of its own",
            parts=counted(len(nested), "{count} closed part", "{count} closed parts"),
        )
    if shared:
        within = np.unique(np.concatenate(shared))
        _tell_faces(
            mesh,
            findings,
            "overlapping-parts",
            source[within[kept[within] & (source[within] >= 0)]],
            "parts of the hull run into each other and what they share counts twice; "
            "join them with a Boolean union",
        )
    return kept


def _just_inside(vertices: Array, triangles: Ints, depth: float) -> Array:
    """Points (m, 3) at a depth (m) behind the middle of each triangle."""
    corners = by_axis(vertices, triangles)
    normals = area_vectors(corners)
    inward = normals / np.maximum(lengths(normals), np.finfo(float).tiny)
    return (corners.mean(axis=1) - depth * inward).T


def _seek_crossings(
    mesh: Mesh, vertices: Array, triangles: Ints, source: Ints, findings: list[Finding]
) -> None:
    """Adds a finding for faces of the outer surface that intersect."""
    given = source >= 0
    pairs = crossing_faces(vertices, triangles[given])
    _tell_faces(
        mesh,
        findings,
        "crossing-faces",
        source[given][np.unique(pairs)],
        "{faces} pass through others; space that they enclose twice counts twice",
    )


def _warn_of_thin_shell(vertices: Array, triangles: Ints, findings: list[Finding]) -> None:
    """Adds a finding for a thickened hull whose inside holds no water: it displaces its shell
    only."""
    thickness = 2 * volumes(vertices, triangles).sum() / areas(vertices, triangles).sum()
    if thickness < THIN * np.ptp(vertices, axis=0).min() / 2:
        findings.append(
            Finding(
                "warning",
                "thin-shell",
                Sentence(
                    "this surface encloses a shell about {thickness} thick, whose inside would "
                    "hold no water; close the holes through it, or model the outside as a single "
                    "skin",
                    thickness=metres(thickness, ".3g"),
                ),
            )
        )


def _tell_faces(
    mesh: Mesh,
    findings: list[Finding],
    code: str,
    chosen: Ints,
    template: str,
    severity: str = "warning",
    **values: Sentence | Quantity,
) -> None:
    """Adds a finding about the faces that the chosen triangles came from, if there are any."""
    if not len(chosen):
        return
    faces, first = np.unique(mesh.faces[chosen], return_index=True)
    findings.append(
        Finding(
            "note" if severity == "note" else "warning",
            code,
            Sentence(
                template, faces=counted(len(faces), "{count} face", "{count} faces"), **values
            ),
            "face",
            faces,
            mesh.vertices[mesh.triangles[np.asarray(chosen)[first]]].mean(axis=1),
        )
    )

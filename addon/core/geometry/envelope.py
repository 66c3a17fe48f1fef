"""Envelope: the closed outer surface of a mesh as modeled.

Coincident vertices are welded, slivers dissolved into their neighbors, openings closed with caps,
including the rims of open boats with thick shells, and the faces with the outside on exactly one
side are kept, turned outward. Inner bulkheads, loose sheets and bodies wholly inside others
displace nothing and are left out. Every change is reported as a finding.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..arrays import Bools, Floats, Ints
from ..messages.findings import BadInputError, Finding
from ..messages.sentence import Quantity, Sentence, counted, cubic_meters, meters, square_meters
from ..messages.subjects import Subject
from .caps import Loop, Spaces, find_loops, find_spaces, half_edge_ends, with_caps
from .mesh import Mesh, check_mesh, compacted
from .self_intersections import crossing_faces
from .surface import Surface, first_coincident, is_sliver, without_slivers
from .triangles import area_vectors, areas, corners_by_axis, lengths, volumes
from .watershed import cap_basins
from .winding_number import is_inside

THIN_SHELL_SHARE = 0.1
"""Thickness over half the least extent below which a closed surface is a shell."""
MIN_PROBES = 24
"""Triangles of a part that are probed at least for lying inside another."""
MAX_PROBED_PAIRS = 1 << 20
"""Pairs of a probe and a triangle up to which more of a part are probed, to bound time."""


@dataclass(frozen=True)
class Envelope:
    """Closed outward surface. The last `caps` triangles close the open edges.

    `rims` holds the edges (k, 2, 3) round each opening, and `rim_ends` (k, 2) their vertices in the
    mesh; `source` (m,) is the triangle of the mesh that each one came from (-1 for a cap), `given`
    (n,) the vertex of the mesh that each vertex is (-1 for the middle of a cap), and
    `merged_vertices` (k, 2) vertices of the mesh that were merged with the second of each pair.
    """

    vertices: Floats
    triangles: Ints
    caps: int
    source: Ints
    given: Ints
    merged_vertices: Ints
    rims: tuple[Floats, ...]
    rim_ends: tuple[Ints, ...]
    parts: int
    findings: tuple[Finding, ...]


def find_envelope(mesh: Mesh) -> Envelope:
    """The closed surface of a mesh. Raises BadInputError when there is none."""
    check_mesh(mesh)
    findings: list[Finding] = []
    surface, merged_vertices = _weld(mesh, findings)
    surface = without_slivers(surface, mesh.tolerance)
    spaces, loose = find_spaces(surface, mesh.tolerance)
    spaces = cap_basins(surface.vertices, surface.triangles, spaces, mesh.tolerance)
    _report_open_shell(mesh, surface, spaces, findings)
    _report_loose_edges(surface, loose, findings)
    surface = _outer_surface(mesh, surface, spaces, findings)
    loops = find_loops(surface)
    surface = with_caps(surface, loops, mesh.tolerance)
    surface = surface.take(_displacing(mesh, surface, findings))
    openings = _report_openings(surface, loops, mesh.tolerance, findings)
    vertices, triangles = compacted(surface.vertices, surface.triangles)
    _report_crossings(mesh, vertices, triangles, surface.source, findings)
    _report_thin_shell(vertices, triangles, findings)
    order = np.argsort(surface.source < 0, kind="stable")
    faces = surface.source >= 0
    given = np.full(len(vertices), -1)
    given[triangles[faces]] = surface.given[faces]
    return Envelope(
        vertices,
        triangles[order],
        int((~faces).sum()),
        surface.source[order],
        given,
        merged_vertices,
        tuple(loop.points for loop in openings),
        tuple(loop.given for loop in openings),
        len(np.unique(surface.part)),
        tuple(findings),
    )


def _weld(mesh: Mesh, findings: list[Finding]) -> tuple[Surface, Ints]:
    """Triangles over welded vertices, without collapsed and double ones; and the vertices (k, 2)
    merged into others."""
    used = np.flatnonzero(np.bincount(mesh.triangles.ravel()))
    merged = np.arange(len(mesh.vertices))
    merged[used] = used[first_coincident(mesh.vertices[used], mesh.tolerance)]
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
    flat = collapsed | is_sliver(mesh.vertices, triangles, mesh.tolerance)
    _report_faces(
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
    first = _first_of_distinct_rows(np.sort(triangles[kept], axis=1))
    repeated = np.ones(len(kept), bool)
    repeated[first] = False
    _report_faces(
        mesh,
        findings,
        "double-faces",
        kept[repeated],
        "{faces} on top of another, counted once",
        severity="note",
    )
    kept = kept[~repeated]
    given, none = mesh.triangles[kept], np.zeros(len(kept), np.int64)
    merged_vertices = np.stack([double, merged[double]], axis=1)
    return Surface(*compacted(mesh.vertices, triangles[kept]), given, kept, none), merged_vertices


def _first_of_distinct_rows(rows: Ints) -> Ints:
    """First index of each distinct row of (n, 3) whole numbers >= 0."""
    if rows.max() < 1 << 21:
        packed = (rows[:, 0] << 42) | (rows[:, 1] << 21) | rows[:, 2]
        return np.unique(packed, return_index=True)[1]
    return np.unique(rows, axis=0, return_index=True)[1]


def _report_loose_edges(surface: Surface, halves: Ints, findings: list[Finding]) -> None:
    """Adds a finding for free edges in no loop."""
    if halves.size:
        findings.append(
            Finding(
                "warning",
                "loose-edges",
                Sentence(
                    "{edges} of faces that project from the surface outward or inward; they "
                    "displace nothing",
                    edges=counted(len(halves), "{count} free edge", "{count} free edges"),
                ),
                "edge",
                half_edge_ends(surface.given, halves),
                surface.vertices[half_edge_ends(surface.triangles, halves)].mean(axis=1),
            )
        )


def _report_openings(
    surface: Surface, loops: list[Loop], tolerance: float, findings: list[Finding]
) -> list[Loop]:
    """The edges round each opening of each part; cracks only give a finding."""
    loops = [loop for loop in loops if loop.part in surface.part]
    cracks = [loop for loop in loops if loop.is_crack(tolerance)]
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
    openings = [loop for loop in loops if not loop.is_crack(tolerance)]
    for loop in openings:
        middles = loop.points.mean(axis=1)
        if _is_half_hull_opening(
            loop, openings, np.ptp(surface.vertices[surface.triangles, 0]) / 2, tolerance
        ):
            findings.append(
                Finding(
                    "warning",
                    "half-hull",
                    Sentence(
                        "open all along one side, at y = {y}: if this is half a "
                        "hull, mirror it there",
                        y=meters(middles[0, 1], ".4g"),
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
                    "open: {edges} round an opening of {area}; the hull fills when its lowest "
                    "point goes under",
                    edges=counted(len(loop.ends), "{count} edge", "{count} edges"),
                    area=square_meters(loop.area, ".3g"),
                ),
                "edge",
                loop.given,
                middles,
            )
        )
    return openings


def _is_half_hull_opening(loop: Loop, openings: list[Loop], least: float, tolerance: float) -> bool:
    """Whether an opening lies in a plane of constant y, and those in it are `least` (m) long."""
    plane = loop.points[0, 0, 1]
    flat = [each for each in openings if np.abs(each.points[..., 1] - plane).max() <= tolerance]
    lengths = [float(np.ptp(each.points[..., 0])) for each in flat]
    return any(each is loop for each in flat) and sum(lengths) >= least


def _report_open_shell(
    mesh: Mesh, surface: Surface, spaces: Spaces, findings: list[Finding]
) -> None:
    """Adds a finding for an open boat with a thick shell; doubtful if the shell has more volume
    than the inside."""
    lining = spaces.basin[spaces.front] != spaces.basin[spaces.back]
    if not lining.any():
        return
    within = np.zeros(len(spaces.volume), bool)
    within[np.where(spaces.basin[spaces.front], spaces.back, spaces.front)[lining]] = True
    walls, space = spaces.volume[within].sum(), spaces.volume[spaces.basin].sum()
    around = within[spaces.front] != within[spaces.back]
    thickness = 2 * walls / areas(surface.vertices, surface.triangles[around]).sum()
    doubtful = bool(walls > space)
    _report_faces(
        mesh,
        findings,
        "open-shell",
        surface.source[lining],
        "{space} open above, with boundaries about {thickness} thick, is taken as the inside "
        "of an open boat, dry until its rim goes under; if water is to stand in it, model a "
        "drain through its floor"
        if doubtful
        else "{space} open above, with boundaries about {thickness} thick, is taken as the inside "
        "of an open boat, dry until its rim goes under",
        severity="warning" if doubtful else "note",
        space=cubic_meters(space, ".3g"),
        thickness=meters(thickness, ".2g"),
    )


def _outer_surface(
    mesh: Mesh, surface: Surface, spaces: Spaces, findings: list[Finding]
) -> Surface:
    """The faces with the outside on exactly one side, turned so that their normals point to it."""
    if not spaces.outer.any():
        raise BadInputError(
            Sentence(
                "{mesh}: the surface encloses nothing; close it, or leave one open "
                "rim above the water",
                mesh=Subject("object", mesh.name),
            )
        )
    front, back, source = spaces.front, spaces.back, surface.source
    wet_front, wet_back = spaces.outer[front], spaces.outer[back]
    kept = wet_front != wet_back
    partly = np.bincount(mesh.faces[source[kept]], minlength=int(mesh.faces.max()) + 1) > 0
    left = ~kept & ~partly[mesh.faces[source]]
    lining = spaces.basin[front] != spaces.basin[back]
    wall = left & ~lining & ~wet_front & (spaces.enclosed[front] | spaces.enclosed[back])
    _report_faces(
        mesh,
        findings,
        "inner-boundaries",
        source[wall],
        "{faces} inside the hull left out of its outer surface",
        severity="note",
    )
    _report_faces(
        mesh,
        findings,
        "loose-faces",
        source[left & ~wall & ~lining],
        "{faces} left out: loose sheets, the same space on both sides, displace nothing",
    )
    turned = kept & wet_back
    backward = source[turned]
    everything = len(backward) == int(kept.sum())
    _report_faces(
        mesh,
        findings,
        "inward-normals",
        backward,
        "all {faces} with inward normals, turned for the computation"
        if everything
        else "{faces} with inward normals, turned for the computation",
    )
    surface = replace(
        surface,
        triangles=np.where(turned[:, None], surface.triangles[:, ::-1], surface.triangles),
        given=np.where(turned[:, None], surface.given[:, ::-1], surface.given),
        part=np.where(wet_front, front, back),
    )
    return surface.take(kept)


def _displacing(mesh: Mesh, surface: Surface, findings: list[Finding]) -> Bools:
    """Which triangles belong to a part that is not wholly inside another."""
    vertices, triangles, source = surface.vertices, surface.triangles, surface.source
    names, part_of = np.unique(surface.part, return_inverse=True)
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
        most = max(MIN_PROBES, MAX_PROBED_PAIRS // len(theirs))
        probed = mine[:: -(-len(mine) // most)]
        probes = _just_inside(vertices, triangles[probed], 2 * mesh.tolerance)
        inside = is_inside(probes, vertices[theirs])
        if inside.all():
            nested.add(int(part))
        else:
            shared.append(probed[inside])
    kept = ~np.isin(part_of, list(nested))
    if nested:
        _report_faces(
            mesh,
            findings,
            "nested-parts",
            source[~kept & (source >= 0)],
            "{parts} ({faces}) inside another left out: a space inside the hull displaces "
            "no water of its own",
            parts=counted(len(nested), "{count} closed part", "{count} closed parts"),
        )
    if shared:
        within = np.unique(np.concatenate(shared))
        _report_faces(
            mesh,
            findings,
            "overlapping-parts",
            source[within[kept[within] & (source[within] >= 0)]],
            "parts of the hull run into each other and what they share counts twice; "
            "join them with a Boolean union",
        )
    return kept


def _just_inside(vertices: Floats, triangles: Ints, depth: float) -> Floats:
    """Points (m, 3) at a depth (m) behind the middle of each triangle."""
    corners = corners_by_axis(vertices, triangles)
    normals = area_vectors(corners)
    inward = normals / np.maximum(lengths(normals), np.finfo(float).tiny)
    return (corners.mean(axis=1) - depth * inward).T


def _report_crossings(
    mesh: Mesh, vertices: Floats, triangles: Ints, source: Ints, findings: list[Finding]
) -> None:
    """Adds a finding for faces of the outer surface that intersect."""
    given = source >= 0
    pairs = crossing_faces(vertices, triangles[given])
    _report_faces(
        mesh,
        findings,
        "crossing-faces",
        source[given][np.unique(pairs)],
        "{faces} pass through others; space that they enclose twice counts twice",
    )


def _report_thin_shell(vertices: Floats, triangles: Ints, findings: list[Finding]) -> None:
    """Adds a finding for a thickened hull whose inside holds no water: it displaces its shell
    only."""
    thickness = 2 * volumes(vertices, triangles).sum() / areas(vertices, triangles).sum()
    if thickness < THIN_SHELL_SHARE * np.ptp(vertices, axis=0).min() / 2:
        findings.append(
            Finding(
                "warning",
                "thin-shell",
                Sentence(
                    "this surface encloses a shell about {thickness} thick, whose inside "
                    "would hold no water; close the holes through it, or model the outside "
                    "as a single surface",
                    thickness=meters(thickness, ".3g"),
                ),
            )
        )


def _report_faces(
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

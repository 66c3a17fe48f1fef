"""The hull: a closed surface in ship axes, with its reference marks and its deck edge."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..arrays import Floats, Ints
from ..buoyancy.body import Body
from ..buoyancy.moment_tree import MomentTree, build_tree
from ..geometry.envelope import Envelope, find_envelope
from ..geometry.mesh import Mesh
from ..geometry.surface import is_sliver
from ..messages.findings import BadInputError, Finding
from ..messages.sentence import Sentence, meters
from ..messages.subjects import Subject
from .deck_edge import deck_edge_ends, gunwale_ends

MAX_RESHAPED_SHARE = 0.25
"""Share of the vertices that moved beyond which building the tree anew is faster."""
MARGIN_LINE_DEPTH = 0.076
"""Depth of the margin line below the deck edge (m): 3 inches, 46 CFR 171.015 for decks with a mean
sheer of 30.5 cm or more, and the SOLAS conventions up to 1974 (from memory)."""


@dataclass(frozen=True)
class ReferencePlanes:
    """Where the ship axes lie in the mesh as turned (m); None takes the bounding box.

    The perpendiculars default to the ends along x, the baseline to the lowest point and the
    centerline to the middle of the breadth.
    """

    aft_perpendicular_x: float | None = None
    forward_perpendicular_x: float | None = None
    baseline_z: float | None = None
    centerline_y: float | None = None


@dataclass(frozen=True)
class Hull:
    """A hull ready to float.

    In ship axes the aft perpendicular is x = 0 and the forward one x = `length_pp`; `origin` (3,)
    is the origin of the ship axes in the mesh as turned. `deck_edge` (k, 2, 3) holds the edges at
    which the top of the side meets the deck, or ends; `rims` those round openings, each along its
    faces. The last `caps` triangles close those, and `inner` (n, 3, 3) are the faces of the mesh
    that are no part of the surface, such as inner bulkheads.
    """

    name: str
    vertices: Floats
    triangles: Ints
    tree: Body
    origin: Floats
    length_pp: float
    deck_edge: Floats
    rims: tuple[Floats, ...]
    caps: int
    inner: Floats
    parts: int
    findings: tuple[Finding, ...]

    @property
    def margin_line(self) -> Floats:
        """The points (n, 3) of the deck edge, `MARGIN_LINE_DEPTH` below it."""
        line: Floats = self.deck_edge.reshape(-1, 3) - [0.0, 0.0, MARGIN_LINE_DEPTH]
        return line

    @property
    def edge_points(self) -> Floats:
        """The points (n, 3) of the deck edge and of the rims of openings."""
        return np.concatenate([self.deck_edge, *self.rims]).reshape(-1, 3)

    @property
    def volume(self) -> float:
        """Whole volume up to the caps (m3)."""
        return self.tree.volume

    @property
    def length_overall(self) -> float:
        """Extent along the ship (m)."""
        return float(self.tree.high[0] - self.tree.low[0])

    @property
    def breadth(self) -> float:
        """Extent across the ship (m)."""
        return float(self.tree.high[1] - self.tree.low[1])

    @property
    def depth(self) -> float:
        """Extent up the ship (m)."""
        return float(self.tree.high[2] - self.tree.low[2])

    @property
    def midship_x(self) -> float:
        """Midway between the perpendiculars (m)."""
        return self.length_pp / 2


@dataclass(frozen=True)
class ReshapableHull:
    """A hull with the mesh it was built from, to be rebuilt while vertices move.

    `tree` is that of the hull in mesh coordinates, `deck_ends` (k, 2) are the vertices of the hull
    at both ends of its deck edges, and `whole` whether each triangle of its surface is one of the
    mesh, and none of those is flat.
    """

    mesh: Mesh
    planes: ReferencePlanes
    envelope: Envelope
    tree: MomentTree
    deck_ends: Ints
    whole: bool
    hull: Hull

    def reshaped(self, mesh: Mesh) -> ReshapableHull | None:
        """The mould of the same mesh with vertices moved, at the cost of what moved.

        The surface is not checked again: its findings, and which of its edges are the deck edge,
        are those of the mesh first built. None where faces changed, a welded vertex separated from
        its partner, or a flat face gained area: then the hull must be built anew.
        """
        envelope = self.envelope
        if not (self._has_same_faces(mesh) and self._is_still_welded(mesh)):
            return None
        vertices = mesh.vertices[envelope.given]
        _set_cap_centers(vertices, envelope)
        changed = np.logical_or.reduce((vertices != envelope.vertices).T)
        if changed.mean() > MAX_RESHAPED_SHARE:
            tree = build_tree(vertices, envelope.triangles, envelope.caps)
        else:
            tree = self.tree.reshaped(vertices, envelope.triangles, changed)
        rims = tuple(mesh.vertices[ends] for ends in envelope.rim_ends)
        there = replace(envelope, vertices=vertices, rims=rims)
        kept = replace(mesh, triangles=self.mesh.triangles)
        return _in_ship_axes(kept, self.planes, there, tree, self.deck_ends, self.whole)

    def _has_same_faces(self, mesh: Mesh) -> bool:
        return len(mesh.vertices) == len(self.mesh.vertices) and (
            mesh.triangles is self.mesh.triangles
            or np.array_equal(mesh.triangles, self.mesh.triangles)
        )

    def _is_still_welded(self, mesh: Mesh) -> bool:
        """Whether welded vertices still coincide, and no face was cut or left out as flat."""
        merged_vertices = self.envelope.merged_vertices
        if not (self.whole and len(merged_vertices)):
            return self.whole
        apart = np.subtract(*mesh.vertices[merged_vertices.T])
        return bool((np.linalg.norm(apart, axis=1) <= mesh.tolerance).all())


def build_hull(mesh: Mesh, planes: ReferencePlanes | None = None) -> Hull:
    """Hull from a mesh in meters whose x runs forward and z up.

    Raises BadInputError for a mesh that encloses nothing and for invalid marks.
    """
    return build_reshapable_hull(mesh, planes).hull


def build_reshapable_hull(mesh: Mesh, planes: ReferencePlanes | None = None) -> ReshapableHull:
    """Hull from a mesh in meters, ready to follow its vertices. Raises as `build_hull`."""
    envelope = find_envelope(mesh)
    tree = build_tree(envelope.vertices, envelope.triangles, envelope.caps)
    deck_ends = np.concatenate([deck_edge_ends(envelope, tree), gunwale_ends(envelope)])
    whole = _has_all_faces_of_mesh(mesh, envelope)
    return _in_ship_axes(mesh, planes or ReferencePlanes(), envelope, tree, deck_ends, whole)


def _in_ship_axes(
    mesh: Mesh,
    planes: ReferencePlanes,
    envelope: Envelope,
    tree: MomentTree,
    deck_ends: Ints,
    whole: bool,
) -> ReshapableHull:
    """A hull in ship axes, from a tree (m) in mesh coordinates."""
    low, high = tree.low, tree.high
    aft = low[0] if planes.aft_perpendicular_x is None else planes.aft_perpendicular_x
    forward = high[0] if planes.forward_perpendicular_x is None else planes.forward_perpendicular_x
    if not forward > aft:
        raise BadInputError(
            Sentence(
                "{mesh}: the forward perpendicular (x = {forward}) must lie ahead of the "
                "aft one (x = {aft})",
                mesh=Subject("object", mesh.name),
                forward=meters(forward, "g"),
                aft=meters(aft, "g"),
            )
        )
    middle = (low[1] + high[1]) / 2 if planes.centerline_y is None else planes.centerline_y
    base = low[2] if planes.baseline_z is None else planes.baseline_z
    origin = np.array([aft, middle, base])
    vertices = envelope.vertices - origin
    rims = tuple(rim - origin for rim in envelope.rims)
    hull = Hull(
        mesh.name,
        vertices,
        envelope.triangles,
        tree.translated(-origin),
        origin,
        float(forward - aft),
        vertices[deck_ends],
        rims,
        envelope.caps,
        _inner(mesh, envelope) - origin,
        envelope.parts,
        envelope.findings,
    )
    return ReshapableHull(mesh, planes, envelope, tree, deck_ends, whole, hull)


def _inner(mesh: Mesh, envelope: Envelope) -> Floats:
    """Corners (n, 3, 3) of the faces of a mesh that are no part of its envelope."""
    outer = np.zeros(len(mesh.triangles), bool)
    outer[envelope.source[envelope.source >= 0]] = True
    return mesh.vertices[mesh.triangles[~outer]]


def _has_all_faces_of_mesh(mesh: Mesh, envelope: Envelope) -> bool:
    """Whether each triangle of the surface is one of the mesh, and none of it is flat."""
    one = np.arange(len(mesh.vertices))
    one[envelope.merged_vertices[:, 0]] = envelope.merged_vertices[:, 1]
    faces = envelope.source >= 0
    here = one[envelope.given[envelope.triangles[faces]]]
    there = one[mesh.triangles[envelope.source[faces]]]
    flat = is_sliver(mesh.vertices, mesh.triangles, mesh.tolerance)
    return bool(not flat.any() and (np.sort(here) == np.sort(there)).all())


def _set_cap_centers(vertices: Floats, envelope: Envelope) -> None:
    """Puts the middle of each cap at the length-weighted mean of the edges round it."""
    middles = np.flatnonzero(envelope.given < 0)
    caps = envelope.triangles[len(envelope.triangles) - envelope.caps :]
    for middle in middles:
        fan = caps[(caps == middle).any(axis=1)]
        edges = vertices[fan[fan != middle].reshape(-1, 2)]
        spans = np.linalg.norm(edges[:, 1] - edges[:, 0], axis=1)
        vertices[middle] = spans @ edges.mean(axis=1) / spans.sum()

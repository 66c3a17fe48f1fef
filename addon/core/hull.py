"""The hull: a closed surface in ship axes, with her marks and her deck edge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .envelope import Envelope, Mesh, find_envelope
from .findings import BadInputError, Finding
from .sides import connected, find_edges
from .tree import MomentTree, build_tree

Array = NDArray[np.float64]

DECK_SLOPE = float(np.cos(np.radians(45.01)))  # 45 degrees and room for rounding
LEDGE = 0.02
ALONG = np.array([[0.95, 0.05], [0.5, 0.5], [0.05, 0.95]])
CLEARANCE = 1e-3


@dataclass(frozen=True)
class Marks:
    """Where the ship's own axes lie in the mesh as turned (m); None takes the bounding box.

    The perpendiculars default to the ends along x, the baseline to the lowest point and the
    centreline to the middle of the breadth.
    """

    aft_perpendicular_x: float | None = None
    forward_perpendicular_x: float | None = None
    baseline_z: float | None = None
    centreline_y: float | None = None


@dataclass(frozen=True)
class Hull:
    """A hull ready to be floated.

    In ship axes the aft perpendicular is x = 0 and the forward one x = `length_pp`; `origin`
    (3,) is where the ship axes start in the mesh as turned. `deck_edge` (k, 2, 3) holds the
    edges at which the top of the side, or an open rim, meets the deck; `rims` those of openings.
    """

    name: str
    vertices: Array
    triangles: NDArray[np.int64]
    tree: MomentTree
    origin: Array
    length_pp: float
    deck_edge: Array
    rims: tuple[Array, ...]
    parts: int
    findings: tuple[Finding, ...]

    @property
    def volume(self) -> float:
        """Whole volume up to the lids (m3)."""
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
        """Half way between the perpendiculars (m)."""
        return self.length_pp / 2


def build_hull(mesh: Mesh, marks: Marks | None = None) -> Hull:
    """Hull from a mesh in metres whose x runs forward and z up.

    Raises BadInputError for a mesh that encloses nothing and for marks that make no ship.
    """
    marks = marks or Marks()
    envelope = find_envelope(mesh)
    low, high = envelope.vertices.min(axis=0), envelope.vertices.max(axis=0)
    aft = low[0] if marks.aft_perpendicular_x is None else marks.aft_perpendicular_x
    forward = high[0] if marks.forward_perpendicular_x is None else marks.forward_perpendicular_x
    if not forward > aft:
        raise BadInputError(
            f"{mesh.name}: the forward perpendicular (x = {forward:g} m) must lie ahead of the "
            f"aft one (x = {aft:g} m)"
        )
    middle = (low[1] + high[1]) / 2 if marks.centreline_y is None else marks.centreline_y
    base = low[2] if marks.baseline_z is None else marks.baseline_z
    origin = np.array([aft, middle, base])
    vertices = envelope.vertices - origin
    tree = build_tree(vertices, envelope.triangles, envelope.lids)
    rims = tuple(rim - origin for rim in envelope.rims)
    return Hull(
        mesh.name,
        vertices,
        envelope.triangles,
        tree,
        origin,
        float(forward - aft),
        np.concatenate([_deck_edge(envelope, vertices, tree), *rims]),
        rims,
        envelope.parts,
        envelope.findings,
    )


def _deck_edge(envelope: Envelope, vertices: Array, tree: MomentTree) -> Array:
    """Edges (k, 2, 3) where a deck, a face that looks up, meets a lower, steeper one, under open
    sky. A ledge below a deck many times as large, as on a bulb or a skeg, is no deck."""
    triangles = envelope.triangles[: len(envelope.triangles) - envelope.lids]
    corners = vertices[triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    slope = normals[:, 2] / np.maximum(np.linalg.norm(normals, axis=1), np.finfo(float).tiny)
    is_deck = slope > DECK_SLOPE
    edges = find_edges(triangles)
    paired = edges.count == 2
    first = edges.order[edges.first[paired]] // 3
    second = edges.order[edges.first[paired] + 1] // 3
    ends = vertices[edges.ends[paired]]
    inside = is_deck[first] & is_deck[second]
    deck_of = connected(len(triangles), first[inside], second[inside])
    deck, side = np.where(is_deck[first], [first, second], [second, first])
    lower = corners[side, :, 2].mean(axis=1) < ends[:, :, 2].mean(axis=1)
    border = (is_deck[first] != is_deck[second]) & lower
    clearance = CLEARANCE * float(tree.high[2] - tree.low[2])
    along = np.einsum("sc,kca->ska", ALONG, ends[border])
    covered = tree.covered(along.reshape(-1, 3), clearance).reshape(len(ALONG), -1)
    border[border] = ~covered.all(axis=0)
    found, owner = ends[border], deck_of[deck[border]]
    if not len(found):
        return found
    extent = np.bincount(deck_of, np.where(is_deck, normals[:, 2] / 2, 0.0))
    main = owner[extent[owner].argmax()]
    level = found[owner == main, :, 2].min()
    top = np.full(len(extent), -np.inf)
    np.maximum.at(top, owner, found[:, :, 2].max(axis=1))
    is_ledge = (extent < LEDGE * extent[main]) & (top < level)
    return found[~is_ledge[owner]]

"""Parts on both sides: each with its mirror image about the centerplane.

The two of a pair are named by their sides, 'fuel (port)' and 'fuel (starboard)'; in a condition
'fuel' means both, and a flooding path into it leads to the one on its own side.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable
from dataclasses import replace
from typing import Any, TypeVar

import numpy as np

from ..arrays import Floats
from ..buoyancy.moment_tree import build_tree
from ..geometry.mesh import Mesh, with_mirror_image
from ..geometry.symmetry import mirror_image
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, called, meters
from ..messages.subjects import Subject, SubjectKind
from .compartment import CompartmentMark
from .conditions import Condition
from .hull import Hull
from .openings import Door, Opening
from .tanks import Tank
from .weights import Weight

AnyPart = Weight | Tank | Opening | Door | CompartmentMark
MirroredPart = TypeVar("MirroredPart", Weight, Tank, Opening, Door, CompartmentMark)
DoorOrOpening = TypeVar("DoorOrOpening", Opening, Door)

CENTERLINE_SHARE = 1e-5
"""Share of the breadth within which a part lies on the centerline."""
SIDES = ("port", "starboard")
"""The two sides, as names tell them, port first."""
SIDE_NAME = re.compile(rf"(.+) \(({'|'.join(SIDES)})\)", re.DOTALL)
"""A name that tells a side."""
MIRROR_Y = np.array([1.0, -1.0, 1.0])
"""Factors (3,) that mirror a vector about the centerplane."""
KINDS: dict[type, SubjectKind] = {
    Weight: "weight",
    Tank: "tank",
    Opening: "opening",
    Door: "door",
    CompartmentMark: "compartment",
}
"""What a part is called in messages."""


def names_by_side(name: str) -> tuple[str, str]:
    """The names of the two of a pair, the port one first."""
    port, starboard = (f"{name} ({side})" for side in SIDES)
    return port, starboard


def base_name(name: str) -> str:
    """The name that a pair has in common; any other name as it is."""
    found = SIDE_NAME.fullmatch(name)
    return found[1] if found else name


def opposite_names(pairs: Iterable[str]) -> dict[str, str]:
    """For each of the two names of these pairs the other."""
    both = [names_by_side(pair) for pair in pairs]
    return dict(both) | {starboard: port for port, starboard in both}


def mirrored_pair(
    part: MirroredPart, hull: Hull, compartments: Iterable[str] = ()
) -> tuple[MirroredPart, MirroredPart]:
    """A part and its mirror image about the centerplane of a hull, the port one first.

    `compartments` are the plain names of those that are pairs: the mirror image of a flooding path
    into one of the two leads into the other. Raises BadInputError for a part that is on the
    centerline or reaches over it.
    """
    across = _extent_to_port(part)
    check_off_center(Subject(KINDS[type(part)], part.name), across, hull)
    names, sides = names_by_side(part.name), [{}, _mirror_changes(part, compartments)]
    if across.sum() < 0:
        sides.reverse()
    if isinstance(part, Weight):
        sides = [side | {"pair": part.name} for side in sides]
    port, starboard = (replace(part, name=n, **side) for n, side in zip(names, sides, strict=True))
    return port, starboard


def mirrored_boundary(boundary: Mesh, hull: Hull) -> Mesh:
    """A boundary on one side with its mirror image, joined in the centerplane. Raises BadInputError
    for any other."""
    check_off_center(
        Subject("boundary", boundary.name), boundary.vertices[boundary.triangles, 1], hull
    )
    return with_mirror_image(boundary)


def with_mirrored_faces(what: Subject, faces: Floats, hull: Hull) -> Floats:
    """Triangles (n, 3, 3) on one side and their mirror images, as far outward as they are.

    Raises BadInputError, which calls them `what`, for any others.
    """
    check_off_center(what, faces[:, :, 1], hull)
    return np.concatenate([faces, mirrored_faces(faces)])


def mirrored_faces(faces: Floats) -> Floats:
    """Triangles (n, 3, 3) mirrored port to starboard, reversed so that outward stays outward."""
    return mirror_image(faces)[:, ::-1]


def is_off_center(across: Floats, hull: Hull) -> bool:
    """Whether a body with points at these y (m) is on one side of the centerplane of a hull."""
    near = CENTERLINE_SHARE * hull.breadth
    return bool(across.min() >= -near) != bool(across.max() <= near)


def check_off_center(what: Subject, across: Floats, hull: Hull) -> None:
    """Raises BadInputError for what is not on one side, by how far to port its points are (m)."""
    if is_off_center(across, hull):
        return
    low, high = float(across.min()), float(across.max())
    words = "it lies on the centerline, where its mirror image would be in the same place"
    if high - low > CENTERLINE_SHARE * hull.breadth:
        words = (
            "it reaches over the centerline, from y {low} to {high}, and its mirror "
            "image would overlap it"
        )
    raise BadInputError(
        Sentence(
            "{what} is to be on both sides: {fault}; move it aside or leave it single",
            what=called(what),
            fault=Sentence(words, low=meters(low, ".2f"), high=meters(high, ".2f")),
        )
    )


def with_pair_names(
    condition: Condition,
    weights: Container[str],
    tanks: Container[str],
    compartments: Container[str],
) -> Condition:
    """A condition with both names in place of the plain one of a pair.

    The arguments are the plain names of the weights, tanks and compartments that are pairs; a tank
    is a compartment too. An entry for one side by its own name takes precedence over one for both.
    """

    def each(names: Iterable[str], *pairs: Container[str]) -> tuple[str, ...]:
        return tuple(
            side_name
            for name in names
            for side_name in (
                names_by_side(name) if any(name in kind for kind in pairs) else (name,)
            )
        )

    fills = {side: fill for name, fill in condition.fills.items() for side in each([name], tanks)}
    return replace(
        condition,
        fills=fills | {name: condition.fills[name] for name in fills if name in condition.fills},
        without=each(condition.without, weights, tanks),
        flooded=each(condition.flooded, compartments, tanks),
    )


def with_own_side(path: DoorOrOpening, compartments: Container[str], hull: Hull) -> DoorOrOpening:
    """A flooding path that names compartments, with the one on its own side in place of the plain
    name of a pair.

    Raises BadInputError for a path on the centerline that names a pair.
    """
    pairs = [compartment for compartment in path.compartments if compartment in compartments]
    across = float(path.point[1])
    if pairs and abs(across) <= CENTERLINE_SHARE * hull.breadth:
        raise BadInputError(
            Sentence(
                "{path} is on the centerline, and the compartment '{compartment}' on both sides; "
                "name the one meant, such as '{port}'",
                path=called(Subject(KINDS[type(path)], path.name)),
                compartment=Subject("compartment", pairs[0]),
                port=names_by_side(pairs[0])[0],
            )
        )
    own = (
        names_by_side(compartment)[across < 0] if compartment in pairs else compartment
        for compartment in path.compartments
    )
    return replace(path, compartments=tuple(own))


def _extent_to_port(part: AnyPart) -> Floats:
    """Least and greatest y of a part (m)."""
    if isinstance(part, Weight):
        return part.center[1:2]
    if isinstance(part, Tank):
        return np.array([part.body.low[1], part.body.high[1]])
    if isinstance(part, Opening):
        return part.points[:, 1]
    if isinstance(part, CompartmentMark):
        points = part.at if part.body is None else part.body
        return np.ravel(np.asarray(points)[..., 1])
    return part.point[1:2]


def _mirror_changes(part: AnyPart, compartments: Iterable[str]) -> dict[str, Any]:
    """What else differs in the mirror image of a part, which leads into what lies on that side."""
    if isinstance(part, Weight):
        inertia = MIRROR_Y[:, None] * part.inertia * MIRROR_Y
        return {"center": mirror_image(part.center), "inertia": inertia}
    if isinstance(part, Tank):
        corners = mirrored_faces(part.body.faces()).reshape(-1, 3)
        return {"body": build_tree(corners, np.arange(len(corners)).reshape(-1, 3))}
    if isinstance(part, CompartmentMark):
        return {
            "at": None if part.at is None else mirror_image(part.at),
            "body": None if part.body is None else mirrored_faces(part.body),
        }
    opposite = opposite_names(compartments)
    path: dict[str, Any] = {
        "point": mirror_image(part.point),
        "compartments": tuple(opposite.get(name, name) for name in part.compartments),
    }
    if isinstance(part, Opening):
        path["corners"] = mirror_image(part.corners)
    return path

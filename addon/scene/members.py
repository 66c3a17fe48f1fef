"""Which objects of a scene are hulls and weights, and which weight belongs to which hull."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import bpy

from . import session
from .names import Role
from .settings import settings


def is_hull(obj: bpy.types.Object | None) -> bool:
    return obj is not None and obj.type == "MESH" and settings(obj).role == Role.HULL


def is_weight(obj: bpy.types.Object | None) -> bool:
    return obj is not None and settings(obj).role == Role.WEIGHT


@dataclass(frozen=True)
class Muster:
    """The hulls and the weights of a view layer, each by name, at one moment."""

    hulls: tuple[bpy.types.Object, ...]
    weights: tuple[bpy.types.Object, ...]

    def owner(self, weight: bpy.types.Object) -> bpy.types.Object | None:
        """The hull that a weight belongs to: the one it names, or the only one there is.

        A hull that was deleted, or is no hull any more, counts as not named; one in another
        scene or in an excluded collection still owns its weights.
        """
        named = settings(weight).hull
        if named is not None and (named in self.hulls or (is_hull(named) and in_some_scene(named))):
            return named
        return self.hulls[0] if len(self.hulls) == 1 else None

    def weights_of(self, hull: bpy.types.Object | None) -> list[bpy.types.Object]:
        """The weights of a hull; of None, those that belong to no hull."""
        return [weight for weight in self.weights if self.owner(weight) == hull]

    def hull_at_hand(self, active: bpy.types.Object | None) -> bpy.types.Object | None:
        """The active hull, that of the active weight, or the only one."""
        if active in self.hulls:
            return active
        if is_weight(active):
            return self.owner(active)
        return self.hulls[0] if len(self.hulls) == 1 else None


def muster(view_layer: bpy.types.ViewLayer) -> Muster:
    """Who is there. To ask for the active object brings Blender's list up to date."""
    objects = view_layer.objects
    _ = objects.active
    found: dict[str, list[bpy.types.Object]] = {role: [] for role in Role}
    for obj in objects:
        found[settings(obj).role].append(obj)
    hulls, weights = (
        tuple(sorted(found[role], key=lambda obj: obj.name)) for role in (Role.HULL, Role.WEIGHT)
    )
    return Muster(tuple(hull for hull in hulls if hull.type == "MESH"), weights)


def glance(view_layer: bpy.types.ViewLayer) -> Muster:
    """The muster as far as nothing changed since the last one, for what Blender draws often."""
    key = (view_layer.id_data.session_uid, view_layer.name)
    if key in session.names:
        objects: Any = view_layer.objects
        hulls, weights = (tuple(map(objects.get, names)) for names in session.names[key])
        if None not in (*hulls, *weights):
            return Muster(hulls, weights)
    found = muster(view_layer)
    session.names[key] = tuple(
        tuple(obj.name for obj in objs) for objs in (found.hulls, found.weights)
    )
    return found


def hull_at_hand(context: bpy.types.Context) -> bpy.types.Object | None:
    """The hull that the user is at work on, if that is clear."""
    return glance(context.view_layer).hull_at_hand(context.view_layer.objects.active)


def in_some_scene(obj: bpy.types.Object) -> bool:
    """False for an object that was deleted but is still named somewhere."""
    return any(obj.name in scene.objects for scene in bpy.data.scenes)

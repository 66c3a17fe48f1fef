"""Which objects of a scene are hulls and parts of vessels, and which part belongs to which hull."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, cast

import bpy

from ...core.messages.subjects import Subject
from ...core.model.mirrored_parts import base_name, names_by_side
from ..properties.names import PAIRED, PARTS, SUBJECTS, Role
from ..properties.settings import settings

Parts = dict[Role, list[bpy.types.Object]]
"""The parts of a hull by role, each by name."""

_seen: dict[tuple[int, str], tuple[tuple[str, ...], ...]] = {}
"""Names of the hulls and of the parts last seen in each view layer."""


def is_hull(obj: bpy.types.Object | None) -> bool:
    return obj is not None and obj.type == "MESH" and settings(obj).role == Role.HULL


def is_part(obj: bpy.types.Object | None, *roles: Role) -> bool:
    """Whether an object is a part of a ship, in one of the roles if some are given."""
    return obj is not None and settings(obj).role in (roles or PARTS)


def core_names(part: bpy.types.Object) -> tuple[str, ...]:
    """What the core calls a part: by its name, or by two that name their sides."""
    both = settings(part).both_sides and is_part(part, *PAIRED)
    return names_by_side(part.name) if both else (part.name,)


def part_called(
    objects: Any, name: str, hull: bpy.types.Object | None, *roles: Role
) -> bpy.types.Object | None:
    """The part of a hull, in one of the roles if some are given, that the core calls so."""
    for obj in map(objects.get, (name, base_name(name))):
        if is_part(obj, *roles) and settings(obj).hull in (None, hull):
            return cast(bpy.types.Object, obj)
    return None


def subject_object(context: bpy.types.Context, subject: Subject) -> bpy.types.Object | None:
    """The hull or the part that a message is about."""
    here = scene_parts(context.view_layer)
    if subject.kind == "vessel":
        return here.active_hull(context.view_layer.objects.active)
    found = [*here.parts, *here.hulls]
    if subject.kind != "object":
        kinds = {subject.kind, "tank"} if subject.kind == "compartment" else {subject.kind}
        found = [obj for obj in found if SUBJECTS[settings(obj).role] in kinds]
    return next((obj for obj in found if subject.name in (obj.name, *core_names(obj))), None)


@dataclass(frozen=True)
class SceneParts:
    """The hulls of a view layer and the parts of vessels, each by name, at one moment."""

    hulls: tuple[bpy.types.Object, ...]
    parts: tuple[bpy.types.Object, ...]

    def owner(self, part: bpy.types.Object) -> bpy.types.Object | None:
        """The hull that a part belongs to: the one it names, or the only one there is.

        A hull that was deleted, or is no hull any more, counts as not named; one in another
        scene or in an excluded collection still owns its parts.
        """
        named = settings(part).hull
        if named is not None and (named in self.hulls or (is_hull(named) and in_some_scene(named))):
            return named
        return self.hulls[0] if len(self.hulls) == 1 else None

    def parts_of(self, hull: bpy.types.Object | None, *roles: Role) -> list[bpy.types.Object]:
        """The parts of a hull, in these roles if some are given; of None, those of no hull."""
        return [part for part in self.parts if is_part(part, *roles) and self.owner(part) == hull]

    def active_hull(self, active: bpy.types.Object | None) -> bpy.types.Object | None:
        """The active hull, that of the active part, or the only one."""
        if active in self.hulls:
            return active
        if is_part(active):
            return self.owner(active)
        return self.hulls[0] if len(self.hulls) == 1 else None


def collect_parts(view_layer: bpy.types.ViewLayer) -> SceneParts:
    """Who is there. To ask for the active object brings Blender's list up to date."""
    objects = view_layer.objects
    _ = objects.active
    return SceneParts(_sorted(filter(is_hull, objects)), _sorted(filter(is_part, objects)))


def scene_parts(view_layer: bpy.types.ViewLayer) -> SceneParts:
    """The muster as far as nothing changed since the last one, for what Blender draws often."""
    key = (view_layer.id_data.session_uid, view_layer.name)
    if key in _seen:
        objects: Any = view_layer.objects
        hulls, parts = (tuple(map(objects.get, names)) for names in _seen[key])
        if None not in (*hulls, *parts):
            return SceneParts(hulls, parts)
    found = collect_parts(view_layer)
    _seen[key] = tuple(tuple(obj.name for obj in objs) for objs in (found.hulls, found.parts))
    return found


def forget_glances() -> None:
    """Make the next reading start again: objects, roles or names may have changed."""
    _seen.clear()


def active_hull(context: bpy.types.Context) -> bpy.types.Object | None:
    """The hull that the user is at work on, if that is clear."""
    return scene_parts(context.view_layer).active_hull(context.view_layer.objects.active)


def in_some_scene(obj: bpy.types.Object) -> bool:
    """False for an object that was deleted but is still named somewhere."""
    return any(obj.name in scene.objects for scene in bpy.data.scenes)


def is_enabled(view_layer: bpy.types.ViewLayer, obj: bpy.types.Object) -> bool:
    """False for an object that is disabled in viewports, by itself or with its collections.

    Blender's evaluation is no criterion: it evaluates, too, for what a setting points to.
    """
    return not obj.hide_viewport and _has(view_layer.layer_collection, obj)


def counted(depsgraph: bpy.types.Depsgraph, hull: bpy.types.Object) -> Parts:
    """The parts of a hull that count: those hidden with the eye do, disabled ones do not."""
    found = collect_parts(depsgraph.view_layer).parts_of(hull)
    there = [part for part in found if is_enabled(depsgraph.view_layer, part)]
    return {role: [part for part in there if settings(part).role == role] for role in PARTS}


def _has(layer: bpy.types.LayerCollection, obj: bpy.types.Object) -> bool:
    if layer.collection.hide_viewport:
        return False
    own: Any = layer.collection.objects
    return (not layer.exclude and own.get(obj.name) == obj) or any(
        _has(child, obj) for child in layer.children
    )


def _sorted(objects: Iterable[bpy.types.Object]) -> tuple[bpy.types.Object, ...]:
    return tuple(sorted(objects, key=lambda obj: obj.name))

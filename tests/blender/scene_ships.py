"""Hulls and weights put into the scene."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import bpy
import numpy as np

from addon.blender.controller import session
from addon.blender.controller.analysis import float_hull
from addon.blender.properties.names import Role
from addon.blender.properties.settings import settings
from addon.examples.loader import Example
from addon.parts.build_case import box_mesh
from addon.parts.places import Box

BOX = ((0, 0, 0), (6, 0, 0), (6, 2, 0), (0, 2, 0), (0, 0, 1), (6, 0, 1), (6, 2, 1), (0, 2, 1))
FACES = ((0, 3, 2, 1), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7))
"""A box of 6 × 2 × 1 m."""

SHEET = ((0, 1, 2, 3),)
"""The face of four corners."""


def mesh_object(
    name: str, vertices: Iterable[Sequence[float]], faces: Iterable[Sequence[int]]
) -> bpy.types.Object:
    data = bpy.data.meshes.new(name)
    data.from_pydata([tuple(map(float, place)) for place in vertices], [], list(faces))
    obj = bpy.data.objects.new(name, data)
    bpy.context.scene.collection.objects.link(obj)
    return obj


def hull(name: str = "box", vertices=BOX, faces=FACES) -> bpy.types.Object:
    """An object marked as hull."""
    obj = mesh_object(name, vertices, faces)
    settings(obj).role = Role.HULL
    return obj


def empty(name: str, place: Sequence[float], role: Role) -> bpy.types.Object:
    """An empty in a role, at a place in the world."""
    obj = bpy.data.objects.new(name, None)
    bpy.context.scene.collection.objects.link(obj)
    obj.location = place
    settings(obj).role = role
    return obj


def weight(
    name: str, mass: float, place: Sequence[float], parent: bpy.types.Object | None = None
) -> bpy.types.Object:
    """An empty marked as weight, at a place in the world or on its parent."""
    obj = empty(name, place, Role.WEIGHT)
    obj.parent, settings(obj).weight.mass = parent, mass
    return obj


def opening(
    name: str, place: Sequence[float], parent: bpy.types.Object | None = None, tight: bool = False
) -> bpy.types.Object:
    """An empty marked as opening."""
    obj = empty(name, place, Role.OPENING)
    obj.parent = parent
    settings(obj).opening.protection = "WEATHERTIGHT" if tight else "UNPROTECTED"
    return obj


def across(name: str, x: float, low: float = -0.1, high: float = 1.1) -> bpy.types.Object:
    """A bulkhead across the box of 6 × 2 × 1 m."""
    corners = ((x, -0.1, low), (x, 2.1, low), (x, 2.1, high), (x, -0.1, high))
    obj = mesh_object(name, corners, SHEET)
    settings(obj).role = Role.BOUNDARY
    return obj


def block(
    name: str, low: Sequence[float], high: Sequence[float], role: Role = Role.NONE
) -> bpy.types.Object:
    """A box between two corners, marked if a role is given."""
    size = np.subtract(high, low) / BOX[6]
    obj = mesh_object(name, np.add(low, np.array(BOX) * size), FACES)
    settings(obj).role = role
    return obj


def outfitted() -> bpy.types.Object:
    """The box with weights, a tank half full, two openings and a deckhouse."""
    obj = hull()
    settings(obj).form.forward, settings(obj).form.up = "X", "Z"
    weight("ship", 3000, (3, 1, 0.4))
    settings(weight("boxes", 600, (3, 1, 0.8))).group = "cargo"
    tank = block("fuel", (1, 0.2, 0.1), (3, 1.8, 0.5), Role.TANK)
    settings(tank).tank.content, settings(tank).tank.fill, settings(tank).group = (
        "DIESEL",
        50,
        "fuel",
    )
    opening("vent", (3, 1.8, 1.2))
    opening("hatch", (2, 1, 1.1), tight=True)
    block("house", (2, 0.4, 1), (4, 1.6, 2), Role.WINDAGE)
    bpy.context.view_layer.update()
    activate(obj)
    return obj


def example(ship: Example, parented: bool = False) -> bpy.types.Object:
    """An example ship at the origin of the world, its parts beside or under it."""
    obj = hull(ship.key, ship.hull.vertices, ship.hull.polygons)
    settings(obj).form.mirror = ship.half_hull
    settings(obj).form.forward, settings(obj).form.up = "X", "Z"
    for item in ship.weights:
        weight(item.name, item.mass, item.center, obj if parented else None)
    for entry, role in (
        *((tank, Role.TANK) for tank in ship.case_entry.tanks),
        *((shape, Role.WINDAGE) for shape in ship.case_entry.windage),
    ):
        body = box_mesh(entry.place) if isinstance(entry.place, Box) else entry.place
        part = mesh_object(entry.name, body.vertices, body.polygons)
        settings(part).role, part.parent = role, obj if parented else None
        if role == Role.TANK:
            settings(part).tank.density, settings(part).tank.fill = entry.density, 100 * entry.fill
            settings(part).tank.permeability = entry.permeability
    for way in ship.case_entry.openings:
        tight = way.protection == "weathertight"
        opening(way.name, way.place, obj if parented else None, tight)
    return obj


def floated(obj: bpy.types.Object) -> session.Entry:
    return float_hull(bpy.context.evaluated_depsgraph_get(), obj)


def mark(obj: bpy.types.Object, **places: float) -> None:
    """Set perpendiculars, baseline or centerline of a hull, by their names in Blender units."""
    form = settings(obj).form
    for name, place in places.items():
        setattr(form, f"use_{name}", True)
        setattr(form, name, place)


def activate(obj: bpy.types.Object | None) -> None:
    for other in bpy.context.selected_objects:
        other.select_set(False)
    bpy.context.view_layer.objects.active = obj
    if obj:
        obj.select_set(True)

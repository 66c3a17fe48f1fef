"""The settings on objects and scenes, and access to them."""

from __future__ import annotations

import bpy
from bpy.props import PointerProperty

from . import conditions, events, part_groups, suggestions
from .names import PROPERTY
from .object_settings import ObjectSettings
from .scene_settings import SceneSettings


def settings(obj: bpy.types.Object) -> ObjectSettings:
    """The add-on's settings of an object."""
    return getattr(obj, PROPERTY)


def scene_settings(scene: bpy.types.Scene) -> SceneSettings:
    """The add-on's settings of a scene."""
    return getattr(scene, PROPERTY)


_register_classes, _unregister_classes = bpy.utils.register_classes_factory(
    (*part_groups.CLASSES, *conditions.CLASSES, ObjectSettings, SceneSettings)
)


def register() -> None:
    _register_classes()
    setattr(bpy.types.Object, PROPERTY, PointerProperty(type=ObjectSettings))
    setattr(bpy.types.Scene, PROPERTY, PointerProperty(type=SceneSettings))


def unregister() -> None:
    delattr(bpy.types.Scene, PROPERTY)
    delattr(bpy.types.Object, PROPERTY)
    _unregister_classes()
    events.clear()
    suggestions.compartment_names.clear()

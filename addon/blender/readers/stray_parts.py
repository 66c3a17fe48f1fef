"""Parts of the scene that belong to no hull."""

from __future__ import annotations

import bpy

from ...core.messages.findings import Finding
from ...core.messages.sentence import Sentence
from ..properties.settings import settings
from .members import muster


def stray_findings(depsgraph: bpy.types.Depsgraph) -> tuple[Finding, ...]:
    """What to say of the parts that belong to no hull."""
    return tuple(
        Finding(
            "warning",
            f"stray-{role}",
            Sentence(
                "{role} '{part}' belongs to no hull and is not counted; choose its hull",
                role=role,
                part=part.name,
            ),
        )
        for part in muster(depsgraph.view_layer).parts_of(None)
        for role in [settings(part).role.lower()]
    )

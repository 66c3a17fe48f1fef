"""Parts of the scene that belong to no hull."""

from __future__ import annotations

import bpy

from ...core.messages.findings import Finding
from ...core.messages.sentence import Sentence, called
from ...core.messages.subjects import Subject
from ..properties.names import SUBJECTS
from ..properties.settings import settings
from .members import collect_parts


def stray_findings(depsgraph: bpy.types.Depsgraph) -> tuple[Finding, ...]:
    """Findings on parts that belong to no hull."""
    return tuple(
        Finding(
            "warning",
            f"stray-{role.lower()}",
            Sentence(
                "{part} belongs to no hull and is not counted; choose its hull",
                part=called(Subject(SUBJECTS[role], part.name)),
            ),
        )
        for part in collect_parts(depsgraph.view_layer).parts_of(None)
        for role in [settings(part).role]
    )

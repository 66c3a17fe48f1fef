"""Conditions under which operators are available."""

from __future__ import annotations

import bpy


def allowed(operator: type[bpy.types.Operator], condition: object, otherwise: str) -> bool:
    """Whether a condition holds; sets the poll message of the operator where it does not."""
    if not condition:
        operator.poll_message_set(otherwise)
    return bool(condition)

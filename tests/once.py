"""Pure functions of the core that many tests ask the same of."""

from __future__ import annotations

import inspect
import io
import pickle
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from functools import wraps
from typing import Any, TypeVar

Found = TypeVar("Found")


class _Content(pickle.Pickler):
    """Writes the fields of dataclasses, and not what they have cached."""

    def reducer_override(self, thing: Any) -> Any:
        if is_dataclass(thing) and not isinstance(thing, type):
            return type(thing), tuple(getattr(thing, field.name) for field in fields(thing))
        return NotImplemented


def content(thing: object) -> bytes:
    """The same for two things that hold the same, to the last bit."""
    into = io.BytesIO()
    _Content(into).dump(thing)
    return into.getvalue()


def once(function: Callable[..., Found]) -> Callable[..., Found]:
    """The function, which does not compute again for arguments that hold the same as some before
    (but for `on_progress`, which then hears nothing)."""
    found: dict[bytes, Found] = {}
    signature = inspect.signature(function)

    @wraps(function)
    def asked(*given: Any, **named: Any) -> Found:
        bound = signature.bind(*given, **named)
        bound.apply_defaults()
        key = content({**bound.arguments, "on_progress": None})
        if key not in found:
            found[key] = function(*given, **named)
        return found[key]

    return asked

"""Names that tell things apart."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from typing import Protocol

from .findings import BadInputError


class Named(Protocol):
    """A thing with a name."""

    @property
    def name(self) -> str: ...


def check_names(kind: str, things: Iterable[Named]) -> None:
    """Raises BadInputError when two things of a kind share a name."""
    seen: set[str] = set()
    for thing in things:
        if thing.name in seen:
            raise BadInputError(f"{kind} '{thing.name}' is named twice; rename one of them")
        seen.add(thing.name)


def check_known(whose: str, kind: str, name: str, known: Iterable[str]) -> None:
    """Raises BadInputError, with the nearest known name, for one that is not known."""
    known = tuple(known)
    if name in known:
        return
    near = get_close_matches(name, known, 1)
    if near:
        right = f"did you mean '{near[0]}'?"
    elif known:
        right = f"there are {', '.join(repr(known_name) for known_name in known)}"
    else:
        right = "there are none"
    raise BadInputError(f"{whose}: there is no {kind} '{name}'; {right}")

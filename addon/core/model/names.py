"""Unique names."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from typing import Protocol

from ..messages.findings import BadInputError
from ..messages.sentence import Sentence, called
from ..messages.subjects import Subject, SubjectKind


class Named(Protocol):
    """Anything with a name."""

    @property
    def name(self) -> str: ...


def check_names(kind: SubjectKind, things: Iterable[Named]) -> None:
    """Raises BadInputError when two things of a kind share a name."""
    seen: set[str] = set()
    for thing in things:
        if thing.name in seen:
            words = "{thing} is named twice; rename one of them"
            raise BadInputError(Sentence(words, thing=called(Subject(kind, thing.name))))
        seen.add(thing.name)


def check_known(whose: str, kind: str, name: str, known: Iterable[str]) -> None:
    """Raises BadInputError, with the nearest known name, for an unknown one."""
    known = tuple(known)
    if name in known:
        return
    near = get_close_matches(name, known, 1)
    if near:
        right = Sentence("did you mean '{name}'?", name=near[0])
    elif known:
        right = Sentence("there are {names}", names=", ".join(map(repr, known)))
    else:
        right = Sentence("there are none")
    raise BadInputError(
        Sentence(
            "{whose}: there is no {kind} '{name}'; {right}",
            whose=whose,
            kind=kind,
            name=name,
            right=right,
        )
    )

"""One line about bad input: which file, which key or value in it, and what would be right."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from difflib import get_close_matches

from ..core.messages.findings import BadInputError
from ..core.messages.sentence import Sentence


@contextmanager
def within(place: str) -> Iterator[None]:
    """Puts the place, such as a file's name, before what is wrong inside the block."""
    try:
        yield
    except BadInputError as error:
        wrong = Sentence("{place}: {wrong}", place=place, wrong=error.line) if place else error.line
        raise BadInputError(wrong) from None


def check_words(kind: str, words: Iterable[str], known: Iterable[str]) -> None:
    """Raises BadInputError for the first of `words`, keys or columns, that is not known."""
    known = list(known)
    for word in words:
        if word not in known:
            raise BadInputError(f"unknown {kind} '{word}'; {known_words(word, known)}")


def known_words(word: str, known: Sequence[str]) -> str:
    """What to write in place of a word that is not known."""
    near = get_close_matches(word, known, 1)
    return f"did you mean '{near[0]}'?" if near else f"known are {', '.join(known)}"

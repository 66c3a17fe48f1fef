"""The language of the core in a run of the tests: its own, or nonsense (NONSENSE=1).

In nonsense every word of the core's sentences outside their places is unreadable, so whatever
decides by words fails. Tests of behaviour hold in both; those about words are marked `wording`.
"""

from __future__ import annotations

import codecs
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from string import Formatter

import pytest

from addon.core.messages import sentence

NONSENSE = os.environ.get("NONSENSE") == "1"


def garbled(template: str, values: Mapping[str, object]) -> str:
    """A template with its places filled, every word outside them unreadable."""
    parts = []
    for words, name, spec, _ in Formatter().parse(template):
        parts.append(codecs.encode(words, "rot13"))
        if name is not None:
            parts.append(format(values[name], spec or ""))
    return "".join(parts)


def is_own(value: object) -> bool:
    """Whether something is a sentence that the module of sentences keeps itself."""
    return isinstance(value, sentence.Sentence)


if NONSENSE:  # before the rest of the add-on is imported, which keeps sentences
    sentence.filled = garbled
    spoken = {name: value.template for name, value in vars(sentence).items() if is_own(value)}
    vars(sentence).update({name: sentence.Sentence(words) for name, words in spoken.items()})
    sentence.WORDS = {kind: sentence.Sentence(w.template) for kind, w in sentence.WORDS.items()}

from addon.core.messages.findings import BadInputError  # noqa: E402
from addon.core.messages.subjects import Subject  # noqa: E402


@contextmanager
def refused(line: str, *about: Subject) -> Iterator[pytest.ExceptionInfo[BadInputError]]:
    """Bad input inside the block, about these subjects; where the core speaks its own language
    with one line that matches a pattern."""
    with pytest.raises(BadInputError, match=None if NONSENSE else line) as caught:
        yield caught
    assert {*about} <= {*caught.value.subjects}
    assert "\n" not in str(caught.value)


def reads(text: str, *words: str) -> bool:
    """Whether a text has words in it; where the core speaks nonsense nobody can tell. For what a
    test says of words beside ids and values."""
    return NONSENSE or all(word in text for word in words)


def names(text: str) -> list[str]:
    """Names of what a text is about."""
    return [subject.name for subject in sentence.subjects_of(text)]

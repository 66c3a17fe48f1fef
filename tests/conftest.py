"""On CI the property tests try the same examples each time; elsewhere they try new ones.

With NONSENSE=1 in the environment the core speaks a language that nobody reads: whatever decides
by its words then fails. Tests that are about words are marked `wording` and left out.
"""

from __future__ import annotations

import codecs
import os
from collections.abc import Mapping
from string import Formatter

import pytest
from hypothesis import settings

from addon.core.messages import sentence

NONSENSE = os.environ.get("NONSENSE") == "1"

settings.register_profile("ci", derandomize=True)
if os.environ.get("CI"):
    settings.load_profile("ci")


def garbled(template: str, values: Mapping[str, object]) -> str:
    """A template filled, every word outside its places unreadable."""
    parts = []
    for words, name, spec, _ in Formatter().parse(template):
        parts.append(codecs.encode(words, "rot13"))
        if name is not None:
            parts.append(format(values[name], spec or ""))
    return "".join(parts)


if NONSENSE:  # before anything else of the add-on is imported: it keeps sentences
    sentence.filled = garbled


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    if NONSENSE:
        skip = pytest.mark.skip(reason="about words, and the core speaks nonsense")
        for item in items:
            if item.get_closest_marker("wording"):
                item.add_marker(skip)

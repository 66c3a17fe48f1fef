"""On CI the property tests try the same examples each time; elsewhere they try new ones."""

from __future__ import annotations

import os

import pytest
from hypothesis import settings

from tests.language import NONSENSE

settings.register_profile("ci", derandomize=True)
if os.environ.get("CI"):
    settings.load_profile("ci")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    if NONSENSE:
        skip = pytest.mark.skip(reason="about words, and the core speaks nonsense")
        for item in items:
            if item.get_closest_marker("wording"):
                item.add_marker(skip)

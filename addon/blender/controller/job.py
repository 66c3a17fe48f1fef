"""Long work on what was read from the scene, apart from keeping what comes of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

Found = TypeVar("Found")
OnProgress = Callable[[float], None]


@dataclass(frozen=True)
class Job(Generic[Found]):
    """`work` touches nothing of Blender's, so that it may go on in a thread of its own and be left
    at each step; `keep` puts what it found into the session."""

    work: Callable[[OnProgress | None], Found]
    keep: Callable[[Found], None]

    def run(self, on_progress: OnProgress | None = None) -> Found:
        """Do it at once."""
        found = self.work(on_progress)
        self.keep(found)
        return found

"""The mouse cursor as a progress counter."""

from __future__ import annotations

from time import perf_counter
from types import TracebackType

import bpy

PATIENCE = 0.2


class Progress:
    """Context that counts at the mouse cursor once a job has taken `PATIENCE` seconds."""

    def __init__(self, context: bpy.types.Context) -> None:
        self.window_manager = context.window_manager
        self.begun = perf_counter()
        self.shown = False
        self.steps = 0

    def __enter__(self) -> Progress:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self.shown:
            self.window_manager.progress_end()

    def on_progress(self, _: float) -> None:
        """Count a step of the job, or a heel that is done."""
        self.steps += 1
        if perf_counter() - self.begun > PATIENCE:
            self.show()
        if self.shown:
            self.window_manager.progress_update(self.steps)

    def show(self) -> None:
        """Show the counter at once, for a job without steps."""
        if not self.shown:
            self.window_manager.progress_begin(0, 9999)
            self.shown = True

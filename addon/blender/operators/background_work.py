"""Operators whose work goes on in a thread once it takes long, until it is done or Esc ends it."""

from __future__ import annotations

from threading import Thread
from typing import Any

import bpy
from bpy.app.translations import pgettext_iface as iface_
from bpy.app.translations import pgettext_rpt as rpt_

from ...core.messages.findings import BadInputError
from ..controller.job import Job, OnProgress
from ..wording import reported
from .progress import PATIENCE, Progress

TICK = 0.1
VIEWING = ("MIDDLEMOUSE", "WHEEL", "TRACKPAD", "MOUSE", "NDOF", "NUMPAD")
"""How the types of events begin that turn and move the view, or mean no change of the scene."""


class StoppedError(Exception):
    """The user wants no more of it."""


class Worker(Thread):
    """Does the work of a job; what it finds, or an error, is there when it has ended."""

    def __init__(self, job: Job[Any]) -> None:
        super().__init__(daemon=True)
        self.job = job
        self.steps = 0
        self.found: Any = None
        self.error: Exception | None = None
        self.stopped = False

    def run(self) -> None:
        try:
            self.found = self.job.work(self.on_progress)
        except Exception as error:
            self.error = error

    def on_progress(self, _: float) -> None:
        """Count a step. Raises StoppedError once that is wanted."""
        self.steps += 1
        if self.stopped:
            raise StoppedError

    def settle(self) -> None:
        """Keep what was found. Raises what the work has raised."""
        if self.error:
            raise self.error
        self.job.keep(self.found)


class Lengthy:
    """What such an operator does; it is told of the job and of how to report it."""

    worker: Worker | None = None
    timer: bpy.types.Timer | None = None

    def job(self: Any, context: bpy.types.Context, on_progress: OnProgress) -> Job[Any]:
        """Read the scene for it. Raises BadInputError."""
        raise NotImplementedError

    def told(self: Any, context: bpy.types.Context) -> None:
        """Report what was found."""
        raise NotImplementedError

    def execute(self: Any, context: bpy.types.Context) -> set[str]:
        try:
            with Progress(context) as progress:
                self.job(context, progress.on_progress).run(progress.on_progress)
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        self.told(context)
        return {"FINISHED"}

    def invoke(self: Any, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if context.window is None:
            return self.execute(context)
        try:
            with Progress(context) as progress:
                job = self.job(context, progress.on_progress)
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        self.worker = Worker(job)
        self.worker.start()
        self.worker.join(PATIENCE)
        if not self.worker.is_alive():
            return self._settled(context)
        manager = context.window_manager
        self.timer = manager.event_timer_add(TICK, window=context.window)
        manager.modal_handler_add(self)
        manager.progress_begin(0, 9999)
        self._show(context)
        return {"RUNNING_MODAL"}

    def modal(self: Any, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        if event.type == "ESC" and event.value == "PRESS":
            self.cancel(context)
            self.report({"INFO"}, rpt_("{what} was stopped").format(what=iface_(self.bl_label)))
            return {"CANCELLED"}
        if event.type == "TIMER":
            if not self.worker.is_alive():
                self._leave(context)
                return self._settled(context)
            self._show(context)
        passed = event.type.startswith(("TIMER", "WINDOW", *VIEWING))
        return {"PASS_THROUGH" if passed else "RUNNING_MODAL"}

    def cancel(self: Any, context: bpy.types.Context) -> None:
        """Stop the work at its next step; nothing of it is kept."""
        self.worker.stopped = True
        self._leave(context)

    def _settled(self: Any, context: bpy.types.Context) -> set[str]:
        try:
            self.worker.settle()
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        self.told(context)
        return {"FINISHED"}

    def _show(self: Any, context: bpy.types.Context) -> None:
        steps = self.worker.steps
        context.window_manager.progress_update(steps)
        text = iface_("{what}: step {number}    Esc: stop")
        context.workspace.status_text_set(text.format(what=iface_(self.bl_label), number=steps))

    def _leave(self: Any, context: bpy.types.Context) -> None:
        context.window_manager.event_timer_remove(self.timer)
        context.window_manager.progress_end()
        if context.workspace:
            context.workspace.status_text_set(None)

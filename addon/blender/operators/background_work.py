"""Operators whose work runs in a thread once it takes long, until it is done or Esc ends it."""

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
"""Prefixes of event types that turn or move the view, or do not change the scene."""


class StoppedError(Exception):
    """The user stopped the work."""


class Worker(Thread):
    """A thread that does the work of a job and keeps its result or its error."""

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
        """Count a step. Raises StoppedError once the user stopped the work."""
        self.steps += 1
        if self.stopped:
            raise StoppedError

    def finish(self) -> None:
        """Keep the result. Raises the error of the work."""
        if self.error:
            raise self.error
        self.job.keep(self.found)


class BackgroundOperator:
    """Mixin of an operator that runs a job and reports its result."""

    worker: Worker | None = None
    timer: bpy.types.Timer | None = None

    def job(self: Any, context: bpy.types.Context, on_progress: OnProgress) -> Job[Any]:
        """The job, with the scene read for it. Raises BadInputError."""
        raise NotImplementedError

    def report_result(self: Any, context: bpy.types.Context) -> None:
        """Report the result."""
        raise NotImplementedError

    def execute(self: Any, context: bpy.types.Context) -> set[str]:
        try:
            with Progress(context) as progress:
                self.job(context, progress.on_progress).run(progress.on_progress)
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        self.report_result(context)
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
            return self._finished(context)
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
                return self._finished(context)
            self._show(context)
        passed = event.type.startswith(("TIMER", "WINDOW", *VIEWING))
        return {"PASS_THROUGH" if passed else "RUNNING_MODAL"}

    def cancel(self: Any, context: bpy.types.Context) -> None:
        """Stop the work at its next step and discard its result."""
        self.worker.stopped = True
        self._leave(context)

    def _finished(self: Any, context: bpy.types.Context) -> set[str]:
        try:
            self.worker.finish()
        except BadInputError as error:
            self.report({"ERROR"}, reported(context, error.line))
            return {"CANCELLED"}
        self.report_result(context)
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

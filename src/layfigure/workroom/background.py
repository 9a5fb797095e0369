"""Work that takes long: begun by a page, watched by it, cancelled by it."""

from __future__ import annotations

import logging
import secrets
import traceback
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from threading import Event, Lock
from typing import Any, Literal

from layfigure.errors import Cancelled, LayfigureError

State = Literal["waiting", "running", "done", "failed", "cancelled"]

MOST_REMEMBERED = 50
MOST_AT_ONCE = 4
"""Drafting, counting sheets, drawing and studying: what one maker can have going on her pages."""


@dataclass(eq=False)
class Task:
    """One piece of work and how far it is; it is the ``Job`` that the library talks to.

    group : a newer task of the same group cancels this one; empty for none.
    """

    number: str
    what: str
    group: str
    state: State = "waiting"
    share: float = 0.0
    doing: str = ""
    result: Any = None
    error: dict[str, str] | None = None
    finished: Event = field(default_factory=Event)
    _stop: Event = field(default_factory=Event)

    def progress(self, share: float, what: str) -> None:
        """Say how far the work is."""
        self.share, self.doing = share, what

    def cancelled(self) -> bool:
        """Whether the maker has asked to stop."""
        return self._stop.is_set()

    def cancel(self) -> None:
        """Ask it to stop; it does so where nothing is half done."""
        self._stop.set()

    def as_data(self) -> dict[str, Any]:
        """What a page shows."""
        return {
            "number": self.number,
            "what": self.what,
            "state": self.state,
            "share": round(self.share, 3),
            "doing": self.doing,
            "result": self.result if self.state == "done" else None,
            "error": self.error,
        }


class Background:
    """Tasks, run a few at a time beside the pages."""

    def __init__(self) -> None:
        self._threads = ThreadPoolExecutor(MOST_AT_ONCE, thread_name_prefix="workroom")
        self._tasks: OrderedDict[str, Task] = OrderedDict()
        self._lock = Lock()

    def begin(self, what: str, work: Callable[[Task], Any], *, group: str = "") -> Task:
        """Start work that returns plain data for the page.

        group : what of the same group still runs is cancelled.
        """
        task = Task(secrets.token_hex(8), what, group)
        with self._lock:
            for other in self._tasks.values():
                if group and other.group == group and not other.finished.is_set():
                    other.cancel()
            self._tasks[task.number] = task
            finished = [number for number, other in self._tasks.items() if other.finished.is_set()]
            for number in finished[: max(0, len(self._tasks) - MOST_REMEMBERED)]:
                del self._tasks[number]
        self._threads.submit(_run, task, work)
        return task

    def find(self, number: str) -> Task | None:
        """A task by its number; None for one that is not known or long forgotten."""
        with self._lock:
            return self._tasks.get(number)

    def close(self) -> None:
        """Cancel everything and wait for nothing."""
        with self._lock:
            for task in self._tasks.values():
                task.cancel()
        self._threads.shutdown(wait=False, cancel_futures=True)


def error_as_data(error: LayfigureError) -> dict[str, str]:
    """An error for a page to show: what, where, and what to do."""
    return {"what": error.what, "where": error.where, "advice": error.advice}


def log_where(error: Exception) -> None:
    """Log where in the code something failed, never the message itself: it may hold a measure."""
    places = [
        f"{frame.name}, line {frame.lineno}" for frame in traceback.extract_tb(error.__traceback__)[-6:]
    ]
    logging.getLogger("layfigure.workroom").error("%s in %s", type(error).__name__, " > ".join(places))


def _run(task: Task, work: Callable[[Task], Any]) -> None:
    try:
        if task.cancelled():
            task.state = "cancelled"
            return
        task.state = "running"
        task.result = work(task)
        task.share = 1.0
        task.state = "done"
    except Cancelled:
        task.state = "cancelled"
    except LayfigureError as error:
        task.error = error_as_data(error)
        task.state = "failed"
    except Exception as error:
        if task.cancelled():
            # What it leaned on may have been taken away under it, as when the workroom closes.
            task.state = "cancelled"
            return
        log_where(error)
        task.error = {
            "what": "something went wrong inside the workroom.",
            "where": task.what,
            "advice": "Your files are as they were. The terminal shows where it happened.",
        }
        task.state = "failed"
    finally:
        task.finished.set()

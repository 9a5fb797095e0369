"""Searching a strip in a process of its own: progress, cancelling, and the best so far kept."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing import get_context
from types import TracebackType

from layfigure.lay.strip_worker import StripEnd, StripFound, StripRequest, serve
from layfigure.recompute.job import Job

WAIT = 0.1
"""How often the job is asked whether to stop [s]."""

MOST_THREADS = 4

GRACE = 20.0
"""How long a search that has found nothing may outlast its time before it is ended [s]; starting on a
full machine makes it late.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchEnd:
    """How a search ended. why : empty when it ran its time, else what happened. seconds : by the clock."""

    why: str
    seconds: float
    cancelled: bool = False


def search_threads() -> int:
    """Threads worth giving to one search here and now.

    The solver's threads wait for each other at every step: on a machine that is busy, one alone goes further.
    """
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    busy = os.getloadavg()[0] if hasattr(os, "getloadavg") else 0.0
    return max(1, min(MOST_THREADS, round(cores - busy)))


class StripSearch:
    """One search of a strip, under way from the start until this is left."""

    def __init__(self, request: StripRequest) -> None:
        """Start its process; nothing is heard of it before ``listen``."""
        self._request = request
        self._begun = time.monotonic()
        context = get_context("spawn")
        self._here, there = context.Pipe(duplex=False)
        self._process = context.Process(target=serve, args=(request, there), daemon=True)
        self._process.start()
        there.close()

    def __enter__(self) -> StripSearch:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._here.close()
        self._process.kill()
        self._process.join()

    def listen(
        self,
        job: Job,
        found: Callable[[StripFound], None],
        *,
        seconds: float,
        said: Callable[[], None] | None = None,
        meanwhile: Callable[[float], bool] | None = None,
    ) -> SearchEnd:
        """Hear the search until ``seconds`` after its start; every layout goes to ``found`` as it comes.

        said : called again and again. meanwhile : a little work, told the seconds it has and asked for again
        and again; False for none now. The solver compresses by one thread of those it was given.
        A cancelled job, a solver that panics and a process that dies all end the search; what was found
        before stays with the caller. Having found nothing, it may be late.
        """
        heard = False
        while True:
            spent = time.monotonic() - self._begun
            if job.cancelled():
                return SearchEnd(why="stopped as asked", seconds=spent, cancelled=True)
            if spent > seconds and heard:
                return SearchEnd(why="", seconds=spent)
            if spent > 2.0 * seconds + GRACE:
                return SearchEnd(why="the search did not end in time", seconds=spent)
            if said is not None:
                said()
            # What has come is heard first, before the process is found to be dead, too.
            if not self._here.poll(0.0):
                left = seconds - spent
                if meanwhile is not None and spent < seconds and meanwhile(left):
                    continue
                wait = min(WAIT, left) if heard else WAIT
                if not self._here.poll(max(0.0, wait)) and (self._process.is_alive() or self._here.poll(0.0)):
                    continue
            try:
                message = self._here.recv()
            except (EOFError, OSError):
                return SearchEnd(why="the search ended without a word", seconds=spent)
            if isinstance(message, StripEnd):
                return SearchEnd(why=message.why, seconds=time.monotonic() - self._begun)
            heard = heard or message.apart
            found(message)

"""Searching a strip in processes of their own: progress, cancelling, and the best so far kept."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from multiprocessing import get_context
from multiprocessing.connection import Connection, wait
from types import TracebackType

from layfigure.lay.strip_worker import (
    FEW_COPIES,
    StripEnd,
    StripFound,
    StripRequest,
    copies,
    exploring_seconds,
    serve,
)
from layfigure.recompute.job import Job

WAIT = 0.1
"""How often the job is asked whether to stop [s]."""

MOST_THREADS = 4

GRACE = 20.0
"""How long a search that has found nothing may outlast its time before it is ended [s]; starting on a
full machine makes it late.
"""

OTHER_SEED = 1000
"""From one search's seed to the next one's."""


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


def divided(request: StripRequest) -> list[StripRequest]:
    """One search as those that go furthest with as many threads.

    With few copies a search comes early to where each further step is a matter of luck: there two searches
    apart, of one thread each, have twice the luck. With many copies it is still under way at the end of its
    time, and threads together take it further. Measured on the garment instances of the ESICUP sets: 20 to
    30 copies, and 64.
    """
    if copies(request) > FEW_COPIES:
        return [request]
    return [
        replace(request, threads=1, seed=request.seed + OTHER_SEED * number)
        for number in range(request.threads)
    ]


class StripSearch:
    """Searches of one strip, under way from the start until this is left."""

    def __init__(self, requests: Sequence[StripRequest]) -> None:
        """Start a process for each; nothing is heard of them before ``listen``."""
        self._requests = tuple(requests)
        self._begun = time.monotonic()
        self._open: list[Connection] = []
        context = get_context("spawn")
        self._processes = []
        for request in requests:
            here, there = context.Pipe(duplex=False)
            process = context.Process(target=serve, args=(request, there), daemon=True)
            process.start()
            there.close()
            self._open.append(here)
            self._processes.append(process)

    def __enter__(self) -> StripSearch:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        for here in self._open:
            here.close()
        for process in self._processes:
            process.kill()
        for process in self._processes:
            process.join()

    def listen(
        self,
        job: Job,
        found: Callable[[StripFound], None],
        *,
        seconds: float,
        said: Callable[[], None] | None = None,
        meanwhile: Callable[[float], bool] | None = None,
    ) -> SearchEnd:
        """Hear the searches until ``seconds`` after their start; every layout goes to ``found`` as it comes.

        said : called again and again. meanwhile : a little work, told the seconds it has and done again and
        again once the searches need fewer threads than they were given; False for none left.
        A cancelled job, a solver that panics and a process that dies all end a search; what was found before
        stays with the caller. Searches that found nothing may be late.
        """
        exploring = max(exploring_seconds(request) for request in self._requests)
        spare = meanwhile is not None and sum(request.threads for request in self._requests) > 1
        heard, why, ran = False, "the search ended without a word", False
        while self._open:
            spent = time.monotonic() - self._begun
            if job.cancelled():
                return SearchEnd(why="stopped as asked", seconds=spent, cancelled=True)
            if spent > (seconds if heard else 2.0 * seconds + GRACE):
                ran, why = heard, "the search did not end in time"
                break
            if said is not None:
                said()
            # What has come is heard first, the end of a search above all.
            ready = wait(self._open, timeout=0.0)
            if not ready:
                busy = spare and meanwhile is not None and exploring < spent < seconds
                if busy and meanwhile is not None and meanwhile(seconds - spent):
                    continue
                ready = wait(self._open, timeout=WAIT)
            for here in [one for one in self._open if one in ready]:
                message = _heard(here)
                if isinstance(message, StripFound):
                    heard = heard or message.apart
                    found(message)
                    continue
                if isinstance(message, StripEnd):
                    ran, why = ran or not message.why, message.why or why
                here.close()
                self._open.remove(here)
        return SearchEnd(why="" if ran else why, seconds=time.monotonic() - self._begun)


def _heard(here: Connection) -> object:
    """What a search says; None when it has died."""
    try:
        return here.recv()
    except (EOFError, OSError):
        return None

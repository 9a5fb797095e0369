"""Searching a strip in a process of its own: progress, cancelling, and the best so far kept."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing import get_context

from layfigure.lay.strip_worker import StripEnd, StripFound, StripRequest, exploring_seconds, serve
from layfigure.recompute.job import Job

WAIT = 0.1
"""How often the job is asked whether to stop [s]."""

MOST_THREADS = 4

GRACE = 20.0
"""How long a search may outlast its time before it is ended [s]; loading a machine full makes it late."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchEnd:
    """How a search ended. why : empty when it ran its time, else what happened. seconds : by the clock."""

    why: str
    seconds: float
    processor: float
    cancelled: bool = False


def search_threads() -> int:
    """Threads worth giving to one search here and now.

    The solver's threads wait for each other at every step: on a machine that is busy, one alone goes further.
    """
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    busy = os.getloadavg()[0] if hasattr(os, "getloadavg") else 0.0
    return max(1, min(MOST_THREADS, round(cores - busy)))


def search_strip(
    request: StripRequest,
    job: Job,
    found: Callable[[StripFound], None],
    said: Callable[[float], None] | None = None,
    meanwhile: Callable[[float], bool] | None = None,
) -> SearchEnd:
    """Search a strip; every shorter layout goes to ``found`` as it is found, and those that were not parted.

    said : told the share of the time that is over, 0 to 1. meanwhile : a little work, told the seconds it has
    and done again and again while the solver needs one thread less than it was given; False for none left.
    A cancelled job, a solver that panics and a process that dies all end the search; what was found before
    stays with the caller.
    """
    context = get_context("spawn")
    here, there = context.Pipe(duplex=False)
    process = context.Process(target=serve, args=(request, there), daemon=True)
    start = time.monotonic()
    process.start()
    there.close()
    why, processor, cancelled = "the search ended without a word", 0.0, False
    try:
        while True:
            spent = time.monotonic() - start
            if job.cancelled():
                why, cancelled = "stopped as asked", True
                break
            if spent > 2.0 * request.seconds + GRACE:
                why = "the search did not end in time"
                break
            if said is not None:
                said(min(spent / request.seconds, 1.0))
            # What has come is heard first, the end of the search above all.
            spare = request.threads > 1 and exploring_seconds(request) < spent < request.seconds
            if not here.poll(0.0) and not (
                here.poll(0.0 if spare and meanwhile and meanwhile(request.seconds - spent) else WAIT)
            ):
                if not process.is_alive() and not here.poll(0.0):
                    break
                continue
            try:
                message = here.recv()
            except EOFError:
                break
            if isinstance(message, StripFound):
                found(message)
            elif isinstance(message, StripEnd):
                why, processor = message.why, message.processor
                break
    finally:
        here.close()
        process.kill()
        process.join()
    return SearchEnd(why=why, seconds=time.monotonic() - start, processor=processor, cancelled=cancelled)

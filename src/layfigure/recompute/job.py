"""One protocol for long work: progress, cancelling and checkpoints, whoever runs it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from multiprocessing import get_context
from typing import Protocol, TypeVar

from layfigure.errors import Cancelled

T = TypeVar("T")
R = TypeVar("R")

_ONE_THREAD = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")


class Job(Protocol):
    """What long work talks to: the terminal, a web page, a scheduler or nobody."""

    def progress(self, share: float, what: str) -> None:
        """Say how far the work is, 0 to 1, and what it is doing now."""

    def cancelled(self) -> bool:
        """Whether the maker has asked to stop."""


class QuietJob:
    """Nobody is watching, and nobody cancels."""

    def progress(self, share: float, what: str) -> None:
        """Say nothing."""

    def cancelled(self) -> bool:
        """Never."""
        return False


def stop_if_cancelled(job: Job) -> None:
    """Raise Cancelled when the maker has asked to stop; call it where nothing is half done."""
    if job.cancelled():
        raise Cancelled("stopped as asked.", advice="What was finished before is kept.")


def in_turn(items: Sequence[T], job: Job, what: Callable[[T], str]) -> Iterator[T]:
    """The items one by one, telling the job before each and stopping when it is cancelled."""
    for position, item in enumerate(items):
        stop_if_cancelled(job)
        job.progress(position / len(items), what(item))
        yield item
    job.progress(1.0, "")


def over_workers(
    function: Callable[[T], R], items: Iterable[T], job: Job, *, workers: int, what: str = ""
) -> list[R]:
    """``function`` of every item, in order, in spawned processes with one linear-algebra thread each.

    function : at module level; items and results are pickled. With one worker all runs in this process.
    Raises the first error of a worker after cancelling the rest, and Cancelled when the job is.
    """
    work = list(items)
    if workers <= 1 or len(work) <= 1:
        return [function(item) for item in in_turn(work, job, lambda _: what)]
    results: dict[int, R] = {}
    with (
        _environment(_ONE_THREAD),
        ProcessPoolExecutor(min(workers, len(work)), mp_context=get_context("spawn")) as pool,
    ):
        waiting: dict[Future[R], int] = {
            pool.submit(function, item): position for position, item in enumerate(work)
        }
        try:
            while waiting:
                done, _ = wait(waiting, timeout=0.1, return_when=FIRST_COMPLETED)
                for future in done:
                    results[waiting.pop(future)] = future.result()
                job.progress(len(results) / len(work), what)
                stop_if_cancelled(job)
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    return [results[position] for position in range(len(work))]


@contextmanager
def _environment(values: dict[str, str]) -> Iterator[None]:
    """Environment for processes started inside; a spawned worker reads it before it loads numpy."""
    before = {name: os.environ.get(name) for name in values}
    os.environ.update(values)
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value

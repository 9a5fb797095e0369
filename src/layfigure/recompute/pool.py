"""Worker processes that stay warm."""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import BrokenExecutor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from importlib import import_module
from multiprocessing import get_context
from pathlib import Path
from threading import Lock, Thread
from types import TracebackType
from typing import Any, TypeVar

from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph, Node, settle_in
from layfigure.recompute.threads import ONE_THREAD

T = TypeVar("T")

MOST_WORKERS = 3
"""More find nothing to do: the slowest piece of a costume takes a third of all the time."""

ENDING = 0.5
"""How long workers that are let go are waited for at most [s]."""


class WorkerPool:
    """Spawned processes, each with one linear-algebra thread and the modules it will need.

    workers : beside this process. folder : of the disk cache that results are shared through, if any.
    modules : loaded as soon as a worker starts. Use it as a context manager, or close it.
    """

    def __init__(self, workers: int = 1, *, folder: Path | None = None, modules: Sequence[str] = ()) -> None:
        self.workers = workers
        self._begin_with = (folder, tuple(modules))
        self._executor = self._fresh()
        self._changing = Lock()
        self._ending: Thread | None = None

    def start(self) -> None:
        """Start the workers without waiting for them."""
        for _ in range(self.workers):
            self._submitted(os.getpid)

    def submit(self, node: Node[T]) -> Future[T]:
        """Have a worker compute a node. What the node reads, the worker computes for itself."""
        return self._submitted(_value_of, node)

    def prepare(self, node: Node[Any]) -> None:
        """Have the workers work out for themselves what later nodes read, while this process does so too: a
        body sent from one to the other would take longer.
        """
        for _ in range(self.workers):
            self._submitted(_prepared, node)

    def _submitted(self, work: Callable[..., T], *arguments: Any) -> Future[T]:
        """A worker's future; where there is no worker to be had, one that has failed with BrokenExecutor."""
        executor = self._executor
        try:
            with _environment(ONE_THREAD):
                try:
                    return executor.submit(work, *arguments)
                except BrokenExecutor:
                    return self._renewed(executor).submit(work, *arguments)
        except (BrokenExecutor, OSError, RuntimeError) as error:
            # Gone, let go, or never come: a system short of memory or of processes starts no more.
            lost: Future[T] = Future()
            lost.set_exception(error if isinstance(error, BrokenExecutor) else BrokenExecutor(str(error)))
            return lost

    def _fresh(self) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(
            self.workers, mp_context=get_context("spawn"), initializer=_begin, initargs=self._begin_with
        )

    def _renewed(self, broken: ProcessPoolExecutor) -> ProcessPoolExecutor:
        """An executor in place of one whose workers the system took away: it never starts others itself."""
        with self._changing:
            if self._executor is broken and self._ending is None:
                broken.shutdown(wait=False)
                self._executor = self._fresh()
            return self._executor

    def close(self) -> None:
        """Let the workers go; what they have not begun is dropped.

        Idle ones are seen off: an interpreter that ends while they go may print an error of its own (CPython
        3.11 writes to a pipe that its other thread has just closed). Busy ones are not waited for.
        Closed again, it waits for the same ending: an executor that two threads end closes a pipe twice.
        """
        with self._changing:
            if self._ending is None:
                self._ending = Thread(
                    target=self._executor.shutdown, kwargs={"wait": True, "cancel_futures": True}, daemon=True
                )
                self._ending.start()
        self._ending.join(ENDING)

    def __enter__(self) -> WorkerPool:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def spare_workers() -> int:
    """How many workers this machine has room for beside the process that asks."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return max(0, min(MOST_WORKERS, cores - 1))


_ENVIRONMENT = Lock()


@contextmanager
def _environment(values: Mapping[str, str]) -> Iterator[None]:
    """Environment for processes started inside; a spawned worker reads it before it loads numpy."""
    with _ENVIRONMENT:
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


def _begin(folder: Path | None, modules: Sequence[str]) -> None:
    settle_in(Graph(Cache(folder)))
    for name in modules:
        import_module(name)
    # What is loaded by now stays: a search for garbage through all of it takes as long as drafting a dome.
    gc.freeze()


def _value_of(node: Node[Any]) -> Any:
    return node.value()


def _prepared(node: Node[Any]) -> None:
    node.value()

"""Worker processes that stay warm, and the sharing out of nodes between them and this process.

This process works too: it takes the slowest node first, the workers take the next, and what they have not
begun when this one is done it takes back, quickest first.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import BrokenExecutor, CancelledError, Future, ProcessPoolExecutor
from contextlib import contextmanager
from importlib import import_module
from multiprocessing import get_context
from pathlib import Path
from threading import Lock, Thread
from types import TracebackType
from typing import Any, Generic, TypeVar

from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph, Node, settle_in
from layfigure.recompute.job import Job, in_turn, stop_if_cancelled
from layfigure.recompute.threads import ONE_THREAD

T = TypeVar("T")

MOST_WORKERS = 3
"""More find nothing to do: the slowest piece of a costume takes a third of all the time."""

WAIT = 0.05
"""How often the job is asked whether to stop while workers are waited for [s]."""

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


def shared_out(
    nodes: Mapping[str, Node[T]],
    job: Job,
    what: Callable[[str], str],
    *,
    pool: WorkerPool | None = None,
    slow: Sequence[str] = (),
) -> Iterator[tuple[str, Callable[[], T]]]:
    """Names of nodes, each with what gives its value or raises its error, in whatever order they are done.

    slow : names worth beginning with, slowest first. Raises Cancelled when the job is.
    """
    missing = [name for name in nodes if not nodes[name].known()]
    if pool is None or len(missing) < 2:
        for name in in_turn(list(nodes), job, what):
            yield name, nodes[name].value
        return
    for name in nodes:
        if name not in missing:
            yield name, nodes[name].value
    rank = {name: place for place, name in enumerate(slow)}
    own, *given = sorted(missing, key=lambda name: rank.get(name, len(rank)))
    futures = {name: pool.submit(nodes[name]) for name in given}
    try:
        here: str | None = own
        done = 0
        while here is not None:
            stop_if_cancelled(job)
            job.progress(done / len(missing), what(here))
            yield here, nodes[here].value
            done += 1
            here = next(
                (name for name in reversed(given) if name in futures and futures[name].cancel()), None
            )
            if here is not None:
                del futures[here]
        for name, future in futures.items():
            job.progress(done / len(missing), what(name))
            yield name, _Awaited(nodes[name], future, job)
            done += 1
        job.progress(1.0, "")
    finally:
        for future in futures.values():
            future.cancel()


class _Awaited(Generic[T]):
    """The value of a node that a worker has or will have."""

    def __init__(self, node: Node[T], future: Future[T], job: Job) -> None:
        self._node, self._future, self._job = node, future, job

    def __call__(self) -> T:
        while True:
            try:
                value = self._future.result(timeout=WAIT)
            except TimeoutError:
                stop_if_cancelled(self._job)
                continue
            except (BrokenExecutor, CancelledError):
                # The system took the worker away, as it may when memory runs short: the work is done here.
                stop_if_cancelled(self._job)
                return self._node.value()
            self._node.learn(value)
            return value


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


def _value_of(node: Node[Any]) -> Any:
    return node.value()

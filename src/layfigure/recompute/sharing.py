"""Nodes shared out between this process and warm workers.

All take from the same list, slowest first, so that what is begun last is quick and nobody waits long for the
others. The workers have one node more than they work on, since this process cannot hand out the next while it
works itself; what is left when a worker is lost is done here.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import BrokenExecutor, CancelledError, Future
from threading import Lock
from typing import Any, Generic, TypeVar

from layfigure.recompute.graph import Node
from layfigure.recompute.job import Job, in_turn, stop_if_cancelled
from layfigure.recompute.pool import WorkerPool

T = TypeVar("T")

WAIT = 0.05
"""How often the job is asked whether to stop while workers are waited for [s]."""


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
    shared = _Shared(nodes, sorted(missing, key=lambda name: rank.get(name, len(rank))), pool)
    here = shared.take()
    shared.begin()
    done = 0
    try:
        while here is not None:
            stop_if_cancelled(job)
            job.progress(done / len(missing), what(here))
            yield here, nodes[here].value
            done += 1
            here = shared.take()
        for name, future in shared.sent.items():
            job.progress(done / len(missing), what(name))
            yield name, _Awaited(nodes[name], future, job)
            done += 1
        job.progress(1.0, "")
    finally:
        shared.stop()


class _Shared(Generic[T]):
    """What nobody has begun, and what was sent to the workers."""

    def __init__(self, nodes: Mapping[str, Node[T]], names: Sequence[str], pool: WorkerPool) -> None:
        self.sent: dict[str, Future[T]] = {}
        self._nodes, self._pool = nodes, pool
        self._left = deque(names)
        self._taking = Lock()

    def begin(self) -> None:
        """Send the workers one node each, and one to have at hand."""
        for _ in range(self._pool.workers + 1):
            self._send()

    def take(self) -> str | None:
        """A name for this process; None once all are taken, and then all that were sent stand in ``sent``."""
        with self._taking:
            return self._left.popleft() if self._left else None

    def stop(self) -> None:
        """Nothing more is begun."""
        with self._taking:
            self._left.clear()
        for future in self.sent.values():
            future.cancel()

    def _send(self) -> None:
        with self._taking:
            if not self._left:
                return
            name = self._left.popleft()
            future = self.sent[name] = self._pool.submit(self._nodes[name])
        future.add_done_callback(self._done)

    def _done(self, future: Future[Any]) -> None:
        """In the executor's own thread, which holds a lock that sending needs while it ends or has lost a
        worker: then nothing is sent.
        """
        if not future.cancelled() and not isinstance(future.exception(), BrokenExecutor):
            self._send()


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

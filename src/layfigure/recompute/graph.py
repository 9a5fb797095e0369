"""The recompute graph: pure stages, lazily run, each remembered under a key of everything it reads."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from contextvars import ContextVar
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock, RLock
from typing import Any, Generic, ParamSpec, TypeVar, cast

from layfigure.recompute.cache import Cache
from layfigure.recompute.fingerprint import code_fingerprint, fingerprint
from layfigure.recompute.garbage import unsearched
from layfigure.recompute.threads import one_thread

T = TypeVar("T")
P = ParamSpec("P")
_ABSENT = object()


@dataclass(frozen=True, slots=True, eq=False)
class Keyed(Generic[T]):
    """An argument that a stage reads only in part: ``by`` is the part, and alone counts in the key.

    What is left out may word a message or name a line, and must not change a result. by : None for nothing.
    """

    value: T
    by: Any = None


@dataclass(frozen=True, slots=True, eq=False)
class Node(Generic[T]):
    """A value that may not have been computed yet. key : of the stage and of all that it reads."""

    key: str
    _graph: Graph = field(repr=False)
    _function: Callable[..., T] = field(repr=False)
    _arguments: tuple[Any, ...] = field(repr=False)
    _stored: bool

    def value(self) -> T:
        """The value: remembered, or computed now from the values of the nodes it reads."""
        return self._graph.evaluate(self)

    def compute(self) -> T:
        """Run the stage, whatever is remembered."""
        plain = [_plain(item) for item in self._arguments]
        return self._function(*plain)

    def known(self) -> bool:
        """Whether the value is remembered, in memory or on disk."""
        return self._graph.knows(self)

    def learn(self, value: T) -> None:
        """Take the value from another process, which has put it on disk already if it is worth it."""
        self._graph.learn(self, value)

    def __reduce__(self) -> tuple[Any, ...]:
        """Sent to another process, a node belongs to the graph there: what it reads is worked out there, or
        read from disk.
        """
        return _arrived, (self.key, self._function, self._arguments, self._stored)


@dataclass(slots=True, eq=False)
class _Turn:
    """Who computes one key. waiting : threads that have or want the turn."""

    lock: Any = field(default_factory=RLock)
    waiting: int = 0


class Graph:
    """Nodes over one cache.

    ``graph.node(stage, a, b)`` states that a value is ``stage(a, b)``; nothing runs until its value is
    asked for. Stages must be pure functions at module level. ``ran`` lists the stages that did run, in order,
    for tests and for the maker who asks why something took long. Safe to use from several threads: whoever
    asks for a value that another thread is computing waits for it, and other values are computed beside it.
    """

    def __init__(self, cache: Cache | None = None) -> None:
        self._cache = cache if cache is not None else Cache()
        self._lock = Lock()
        self._computing: dict[str, _Turn] = {}
        self.ran: list[str] = []

    @property
    def folder(self) -> Path | None:
        """Of the cache on disk."""
        return self._cache.folder

    def node(self, stage: Callable[..., T], *arguments: Any, stored: bool = True) -> Node[T]:
        """A node for ``stage(*arguments)``; arguments may be nodes. stored : worth keeping on disk."""
        keys = [_key(item) for item in arguments]
        key = fingerprint(code_fingerprint(), stage, keys)
        return Node(key, self, stage, arguments, stored)

    def evaluate(self, node: Node[T]) -> T:
        """The node's value, computed at most once for its key."""
        found = self._cache.get(node.key, _ABSENT)
        if found is not _ABSENT:
            return cast("T", found)
        # Stages read only what lies before them, so threads that wait for each other never form a ring.
        with self._turn(node.key):
            found = self._cache.get(node.key, _ABSENT)
            if found is not _ABSENT:
                return cast("T", found)
            outermost = _RUNNING.get() is None
            before = _RUNNING.set(self)
            try:
                with _undisturbed() if outermost else nullcontext():
                    value = node.compute()
            finally:
                _RUNNING.reset(before)
            self.learn(node, value)
            if node._stored:  # noqa: SLF001 - the graph made the node
                self._cache.put(node.key, value)
            return value

    @contextmanager
    def _turn(self, key: str) -> Iterator[None]:
        """One thread at a time for a key."""
        with self._lock:
            turn = self._computing.setdefault(key, _Turn())
            turn.waiting += 1
        try:
            with turn.lock:
                yield
        finally:
            with self._lock:
                turn.waiting -= 1
                if not turn.waiting:
                    del self._computing[key]

    def knows(self, node: Node[T]) -> bool:
        """Whether a node's value needs no work."""
        return node.key in self._cache

    def learn(self, node: Node[T], value: T) -> None:
        """Remember, for this process, a value that was just computed here or elsewhere."""
        self.ran.append(node._function.__name__)  # noqa: SLF001 - the graph made the node
        self._cache.hold(node.key, value)


_RUNNING: ContextVar[Graph | None] = ContextVar("running", default=None)
_OWN: list[Graph] = []


def remembered(stage: Callable[..., T], *arguments: Any) -> T:
    """``stage(*arguments)`` for a part of a stage that is the same for other inputs, such as other wearers.

    It is looked up where the running stage will be remembered; outside any graph it is simply computed.
    """
    graph = _RUNNING.get()
    return stage(*arguments) if graph is None else graph.node(stage, *arguments).value()


@contextmanager
def _undisturbed() -> Iterator[None]:
    with one_thread(), unsearched():
        yield


def settle_in(graph: Graph) -> None:
    """Make a graph this process's own: nodes that arrive from other processes belong to it."""
    _OWN[:] = [graph]


def own_graph() -> Graph:
    """The graph of this process; one in memory where none was made."""
    if not _OWN:
        settle_in(Graph())
    return _OWN[0]


def _arrived(key: str, stage: Callable[..., T], arguments: tuple[Any, ...], stored: bool) -> Node[T]:
    return Node(key, own_graph(), stage, arguments, stored)


def _plain(argument: Any) -> Any:
    if isinstance(argument, Node):
        return argument.value()
    return argument.value if isinstance(argument, Keyed) else argument


def _key(argument: Any) -> str:
    if isinstance(argument, Node):
        return argument.key
    return fingerprint(argument.by if isinstance(argument, Keyed) else argument)

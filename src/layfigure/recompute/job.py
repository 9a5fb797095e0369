"""One protocol for long work: progress, cancelling and checkpoints, whoever runs it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Protocol, TypeVar

from layfigure.errors import Cancelled

T = TypeVar("T")


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

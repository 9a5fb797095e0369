"""Long work can be watched and stopped, in this process or in workers."""

import os

import pytest

from layfigure.errors import Cancelled, DraftError
from layfigure.recompute.job import QuietJob, in_turn, over_workers


class Watched:
    """Records progress, and cancels once a share is reached."""

    def __init__(self, stop_at: float = 2.0) -> None:
        self.shares: list[float] = []
        self._stop_at = stop_at

    def progress(self, share: float, what: str) -> None:
        self.shares.append(share)

    def cancelled(self) -> bool:
        return bool(self.shares) and self.shares[-1] >= self._stop_at


def squared(value: int) -> int:
    return value * value


def refusing(value: int) -> int:
    raise DraftError("too narrow.", where=f"strip {value}", advice="Make it wider.")


def threads(_: int) -> str:
    return os.environ["OMP_NUM_THREADS"]


def test_work_in_turn_reports_and_stops() -> None:
    job = Watched(stop_at=0.5)
    done: list[int] = []
    with pytest.raises(Cancelled):
        for item in in_turn([1, 2, 3, 4], job, str):
            done += [item]
    assert done == [1, 2, 3]
    assert job.shares == [0.0, 0.25, 0.5]


def test_workers_give_results_in_order_with_one_thread_each() -> None:
    job = Watched()
    assert over_workers(squared, range(6), job, workers=2) == [0, 1, 4, 9, 16, 25]
    assert job.shares[-1] == 1.0
    assert set(over_workers(threads, range(2), QuietJob(), workers=2)) == {"1"}


def test_an_error_of_a_worker_arrives_whole() -> None:
    with pytest.raises(DraftError) as caught:
        over_workers(refusing, [7, 7], QuietJob(), workers=2)
    assert str(caught.value) == "strip 7: too narrow. Make it wider."

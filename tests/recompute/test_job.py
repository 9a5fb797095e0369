"""Long work can be watched and stopped."""

import pytest

from layfigure.errors import Cancelled
from layfigure.recompute.job import in_turn


class Watched:
    """Records progress, and cancels once a share is reached."""

    def __init__(self, stop_at: float = 2.0) -> None:
        self.shares: list[float] = []
        self._stop_at = stop_at

    def progress(self, share: float, what: str) -> None:
        self.shares.append(share)

    def cancelled(self) -> bool:
        return bool(self.shares) and self.shares[-1] >= self._stop_at


def test_work_in_turn_reports_and_stops() -> None:
    job = Watched(stop_at=0.5)
    done: list[int] = []
    with pytest.raises(Cancelled):
        for item in in_turn([1, 2, 3, 4], job, str):
            done += [item]
    assert done == [1, 2, 3]
    assert job.shares == [0.0, 0.25, 0.5]

"""One linear-algebra thread in every process that works, whatever it had before."""

import numpy as np
from threadpoolctl import threadpool_info, threadpool_limits

from layfigure.recompute.graph import Graph
from layfigure.recompute.threads import ONE_THREAD, begin_with_one_thread


def threads_of(size: int) -> list[int]:
    np.linalg.solve(np.eye(size), np.ones(size))
    return [library["num_threads"] for library in threadpool_info() if library["user_api"] == "blas"]


def test_a_stage_runs_with_one_thread_and_leaves_the_process_as_it_was() -> None:
    with threadpool_limits(limits=2, user_api="blas"):
        before = threads_of(3)
        assert set(Graph().node(threads_of, 3).value()) == {1}
        assert threads_of(3) == before
    assert 2 in before


def test_a_program_asks_for_one_thread_unless_its_user_asked_for_more() -> None:
    environment = {"OPENBLAS_NUM_THREADS": "4"}
    begin_with_one_thread(environment)
    assert environment == {**ONE_THREAD, "OPENBLAS_NUM_THREADS": "4"}

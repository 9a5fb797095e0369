"""Work shared out between this process and workers: the same results, errors and order whoever does it."""

import gc
import os
import signal
import time
from collections.abc import Iterator
from concurrent.futures import BrokenExecutor
from contextlib import suppress
from pathlib import Path
from threading import Event

import pytest

from layfigure.errors import Cancelled, DraftError
from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph, remembered
from layfigure.recompute.job import QuietJob
from layfigure.recompute.pool import WorkerPool
from layfigure.recompute.sharing import shared_out


def squared(value: int) -> int:
    return value * value


def added(a: int, b: int) -> tuple[int, int, str]:
    time.sleep(0.01)
    return a + b, os.getpid(), os.environ.get("OMP_NUM_THREADS", "")


def refusing(value: int) -> int:
    raise DraftError("too narrow.", where=f"strip {value}", advice="Make it wider.")


def marking(folder: Path, name: str) -> str:
    (folder / name).touch()
    return name


def waiting_for(marks: tuple[Path, ...]) -> str:
    """Until other processes have made the marks, a minute at most: those still missing."""
    begun = time.monotonic()
    while (missing := [mark.name for mark in marks if not mark.exists()]) and time.monotonic() < begun + 60.0:
        time.sleep(0.005)
    return " ".join(missing)


def staying_only_in(process: int, value: int) -> int:
    """Takes any other process down."""
    if os.getpid() != process:
        os._exit(1)
    return value


def counted(folder: Path) -> int:
    """How often it has run."""
    count = len(list(folder.iterdir())) + 1
    (folder / f"run {count}").touch()
    return count


def read_again(count: int, more: int) -> int:
    return count + more


def kept_from_the_search() -> int:
    return gc.get_freeze_count()


def common(value: int) -> int:
    return value * 10


def with_common(value: int) -> int:
    return remembered(common, 7) + value


class Stopping:
    """Cancels after a few reports."""

    def __init__(self, after: int) -> None:
        self.left = after

    def progress(self, share: float, what: str) -> None:
        self.left -= 1

    def cancelled(self) -> bool:
        return self.left <= 0


@pytest.fixture(scope="module")
def pool() -> Iterator[WorkerPool]:
    with WorkerPool(1) as workers:
        workers.start()
        assert workers.submit(Graph().node(squared, 3)).result() == 9
        yield workers


def test_values_are_those_of_one_process_and_one_thread_each(pool: WorkerPool) -> None:
    graph = Graph()
    nodes = {f"n{k}": graph.node(added, graph.node(squared, k), k) for k in range(12)}
    found = {name: value() for name, value in shared_out(nodes, QuietJob(), str, pool=pool)}
    assert {name: total for name, (total, _, _) in found.items()} == {f"n{k}": k * k + k for k in range(12)}
    workers = {(process, threads) for _, process, threads in found.values() if process != os.getpid()}
    assert len(workers) == 1, "the worker did some of it"
    assert {threads for _, threads in workers} == {"1"}
    assert all(node.known() for node in nodes.values()), "what the worker did is remembered here too"


def test_the_slowest_is_begun_with_here(pool: WorkerPool) -> None:
    graph = Graph()
    nodes = {f"n{k}": graph.node(added, k, 100) for k in range(4)}
    order = [name for name, _ in shared_out(nodes, QuietJob(), str, pool=pool, slow=["n2"])]
    assert order[0] == "n2"
    assert sorted(order) == sorted(nodes)


def test_workers_go_on_while_this_process_is_busy(pool: WorkerPool, tmp_path: Path) -> None:
    """The node worked on here ends only once the worker has done all the others."""
    graph = Graph()
    names = [f"n{k}" for k in range(9)]
    nodes = {name: graph.node(marking, tmp_path, name) for name in names}
    nodes["slow"] = graph.node(waiting_for, tuple(tmp_path / name for name in names))
    found = {name: value() for name, value in shared_out(nodes, QuietJob(), str, pool=pool, slow=["slow"])}
    assert found.pop("slow") == ""
    assert found == {name: name for name in names}


def test_what_a_lost_worker_had_or_would_have_had_is_done_here() -> None:
    graph = Graph()
    with WorkerPool(1) as workers:
        nodes = {f"n{k}": graph.node(staying_only_in, os.getpid(), k) for k in range(6)}
        found = {name: value() for name, value in shared_out(nodes, QuietJob(), str, pool=workers)}
    assert found == {f"n{k}": k for k in range(6)}


def test_what_is_prepared_is_worked_out_once_by_the_worker_and_not_sent(
    pool: WorkerPool, tmp_path: Path
) -> None:
    graph = Graph()
    body = graph.node(counted, tmp_path)
    pool.prepare(body)
    assert pool.submit(graph.node(squared, 5)).result() == 25, "the worker has come so far"
    assert [made.name for made in tmp_path.iterdir()] == ["run 1"]
    values = [pool.submit(graph.node(read_again, body, k)).result() for k in range(3)]
    assert values == [1, 2, 3], "each finds the one value that was prepared"
    assert not body.known()


def test_what_a_worker_has_loaded_is_not_searched_for_garbage() -> None:
    with WorkerPool(1, modules=["layfigure.body.fit"]) as workers:
        assert workers.submit(Graph().node(kept_from_the_search)).result() > 10_000


def test_an_error_arrives_whole_from_either_process_and_spoils_no_other(pool: WorkerPool) -> None:
    graph = Graph()
    nodes = {"a": graph.node(refusing, 1), "b": graph.node(squared, 9), "c": graph.node(refusing, 2)}
    told, values = [], {}
    for name, value in shared_out(nodes, QuietJob(), str, pool=pool):
        try:
            values[name] = value()
        except DraftError as error:
            told.append(str(error))
    assert sorted(told) == [f"strip {k}: too narrow. Make it wider." for k in (1, 2)]
    assert values == {"b": 81}


def test_what_is_remembered_is_not_sent_out(pool: WorkerPool) -> None:
    graph = Graph()
    nodes = {f"n{k}": graph.node(added, k, 200) for k in range(3)}
    first = {name: node.value() for name, node in nodes.items()}
    again = {name: value() for name, value in shared_out(nodes, QuietJob(), str, pool=pool)}
    assert again == first


def test_a_cancelled_job_stops_between_pieces(pool: WorkerPool) -> None:
    graph = Graph()
    nodes = {f"n{k}": graph.node(added, k, 300) for k in range(8)}
    with pytest.raises(Cancelled):
        for _, value in shared_out(nodes, Stopping(1), str, pool=pool):
            value()


@pytest.mark.parametrize("trouble", [BlockingIOError(11, "no process left"), RuntimeError("no thread left")])
def test_what_no_worker_can_be_had_for_is_done_here(
    trouble: Exception, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object) -> None:
        raise trouble

    with WorkerPool(1) as short:
        monkeypatch.setattr(short._executor, "submit", refused)
        short.start()
        nodes = {f"n{k}": Graph().node(squared, k) for k in range(4)}
        found = {name: value() for name, value in shared_out(nodes, QuietJob(), str, pool=short)}
    assert found == {f"n{k}": k * k for k in range(4)}


def test_workers_that_the_system_took_away_are_followed_by_others() -> None:
    with WorkerPool(1) as workers:
        graph = Graph()
        _, worker, _ = workers.submit(graph.node(added, 1, 2)).result()
        os.kill(worker, signal.SIGKILL)
        found = []
        for _ in range(20):
            # What it had begun, and what is sent before that is noticed, is lost.
            with suppress(BrokenExecutor):
                found.append(workers.submit(graph.node(added, 3, 4)).result())
        assert {value for value, *_ in found} == {7}
        assert len({other for _, other, _ in found} - {worker, os.getpid()}) == 1


def test_workers_let_go_meanwhile_leave_the_rest_to_be_done_here() -> None:
    leaving = WorkerPool(1)
    for _ in range(2):  # once while it is let go, once when it is gone
        nodes = {f"n{k}": Graph().node(added, k, 400) for k in range(5)}
        found = {}
        for name, value in shared_out(nodes, QuietJob(), str, pool=leaving):
            leaving.close()
            found[name] = value()[0]
        assert found == {f"n{k}": k + 400 for k in range(5)}


def test_a_pool_closed_while_it_still_ends_is_shut_down_once(monkeypatch: pytest.MonkeyPatch) -> None:
    pool = WorkerPool(1)
    begun, over = [], Event()

    def ending(**_: object) -> None:
        begun.append(1)
        over.wait(30)

    monkeypatch.setattr("layfigure.recompute.pool.ENDING", 0.01)
    monkeypatch.setattr(pool._executor, "shutdown", ending)
    pool.close()
    pool.close()
    over.set()
    assert len(begun) == 1


def test_a_part_shared_by_many_stages_runs_once_and_is_kept_on_disk(tmp_path: Path) -> None:
    graph = Graph(Cache(tmp_path))
    assert [graph.node(with_common, k).value() for k in range(3)] == [70, 71, 72]
    assert graph.ran.count("common") == 1
    later = Graph(Cache(tmp_path))
    assert later.node(with_common, 5).value() == 75
    assert later.ran == ["with_common"]
    assert with_common(1) == 71, "outside a graph it is simply computed"


def test_memory_holds_only_so_many_values(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("layfigure.recompute.cache.MOST_HELD", 3)
    cache = Cache()
    for k in range(3):
        cache.put(f"k{k}", k)
    cache.get("k0")
    cache.put("k3", 3)
    assert [key in cache for key in ("k0", "k1", "k2", "k3")] == [True, False, True, True]

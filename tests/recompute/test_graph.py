"""A changed input recomputes what reads it, and nothing else."""

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from layfigure.recompute.cache import Cache, user_cache_folder
from layfigure.recompute.graph import Graph, Keyed, Node


def doubled(value: float) -> float:
    return 2.0 * value


def added(a: float, b: float) -> float:
    return a + b


def failing(_: float) -> float:
    raise ValueError("no")


def total(graph: Graph, left: float, right: float) -> float:
    return graph.node(added, graph.node(doubled, left), graph.node(doubled, right)).value()


def test_only_what_reads_a_changed_input_runs_again(tmp_path: Path) -> None:
    graph = Graph(Cache(tmp_path))
    assert total(graph, 1.0, 2.0) == 6.0
    assert graph.ran == ["doubled", "doubled", "added"]
    graph.ran.clear()
    assert total(graph, 1.0, 5.0) == 12.0
    assert graph.ran == ["doubled", "added"]


def test_another_run_reads_the_disk(tmp_path: Path) -> None:
    total(Graph(Cache(tmp_path)), 1.0, 2.0)
    again = Graph(Cache(tmp_path))
    assert total(again, 1.0, 2.0) == 6.0
    assert again.ran == []


def test_a_truncated_file_is_computed_again(tmp_path: Path) -> None:
    total(Graph(Cache(tmp_path)), 1.0, 2.0)
    for path in tmp_path.iterdir():
        path.write_bytes(path.read_bytes()[:5])
    again = Graph(Cache(tmp_path))
    assert total(again, 1.0, 2.0) == 6.0
    assert sorted(again.ran) == ["added", "doubled", "doubled"]


def test_a_failed_stage_is_not_remembered(tmp_path: Path) -> None:
    graph = Graph(Cache(tmp_path))
    for _ in range(2):
        with pytest.raises(ValueError, match="no"):
            graph.node(failing, 1.0).value()
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_made_costs_no_result(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    assert total(Graph(Cache(blocked / "cache")), 1.0, 2.0) == 6.0


def test_nothing_runs_before_it_is_asked_for() -> None:
    graph = Graph()
    graph.node(failing, 1.0)
    assert graph.ran == []


def test_the_folder_stays_within_its_limit(tmp_path: Path) -> None:
    cache = Cache(tmp_path, limit=2500)
    for position in range(5):
        cache.put(f"k{position}", b"x" * 1000)
    cache.trim()
    assert sum(path.stat().st_size for path in tmp_path.iterdir()) <= 2500


def test_the_cache_never_lies_in_a_costume(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.delenv("LAYFIGURE_CACHE", raising=False)
    assert user_cache_folder() == tmp_path / "layfigure"


def named(value: float, name: str) -> str:
    return f"{name} {value}"


def test_a_part_that_a_stage_does_not_read_runs_nothing_again() -> None:
    graph = Graph()
    assert graph.node(named, 1.0, Keyed("first")).value() == "first 1.0"
    assert graph.node(named, 1.0, Keyed("second")).value() == "first 1.0"
    assert graph.node(named, 1.0, Keyed("third", by=3)).value() == "third 1.0"
    assert graph.ran == ["named", "named"]


def slow_once(started: str) -> int:
    """Counts its runs, and is slow enough for a second thread to come in between."""
    RUNS.append(started)
    time.sleep(0.2)
    return len(RUNS)


def meets_another(name: str) -> str:
    """Returns only where another thread is inside at the same time."""
    MEETING.wait(timeout=10.0)
    return name


RUNS: list[str] = []
MEETING = threading.Barrier(2)


def in_threads(*nodes: Node[Any]) -> list[Any]:
    with ThreadPoolExecutor(len(nodes)) as threads:
        return [future.result(timeout=20) for future in [threads.submit(node.value) for node in nodes]]


def test_a_value_asked_for_by_several_threads_is_computed_once() -> None:
    graph = Graph()
    RUNS.clear()
    assert in_threads(*(graph.node(slow_once, "x") for _ in range(4))) == [1, 1, 1, 1]
    assert graph.ran == ["slow_once"]


def test_threads_that_want_different_values_do_not_wait_for_each_other() -> None:
    graph = Graph()
    MEETING.reset()
    assert in_threads(graph.node(meets_another, "a"), graph.node(meets_another, "b")) == ["a", "b"]


def test_a_thread_that_fails_leaves_its_turn_to_the_next() -> None:
    graph = Graph()
    node = graph.node(fails_the_first_time, "x")
    FAILED.clear()
    with pytest.raises(ValueError, match="once"):
        node.value()
    assert node.value() == "x"


FAILED: list[str] = []


def fails_the_first_time(name: str) -> str:
    if not FAILED:
        FAILED.append(name)
        raise ValueError("once")
    return name

"""A changed input recomputes what reads it, and nothing else."""

from pathlib import Path

import pytest

from layfigure.recompute.cache import Cache, user_cache_folder
from layfigure.recompute.graph import Graph, Keyed


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

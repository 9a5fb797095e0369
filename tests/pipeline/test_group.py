"""A group of wearers, each made as if alone; the cluster itself is tested where distributed is installed."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from layfigure.errors import DraftError, OutputError
from layfigure.pipeline import group
from layfigure.pipeline.folder import CostumeFolder, open_costume
from layfigure.pipeline.group import make_group
from layfigure.pipeline.make import make
from layfigure.pipeline.new_costume import start_costume
from layfigure.pipeline.work import Work, plan
from layfigure.recompute.graph import Graph
from layfigure.recompute.job import QuietJob


@pytest.fixture
def costume(tmp_path: Path) -> CostumeFolder:
    """The costume that every new folder starts with, for two."""
    folder = tmp_path / "costume"
    start_costume(folder)
    first = folder / "wearers" / "me.toml"
    text = first.read_text(encoding="utf-8")
    (folder / "wearers" / "tall.toml").write_text(
        text.replace('"169 cm"', '"186 cm"').replace('"Me"', '"Tall"'), encoding="utf-8"
    )
    return open_costume(folder)


class AtOnce:
    """A client that works in this process, for what the cluster does not decide."""

    def submit(self, function: Any, *arguments: Any, pure: bool) -> Any:
        result = function(*arguments)

        class Done:
            def result(self) -> Any:
                return result

        return Done()

    def cancel(self, futures: list[Any]) -> None:
        """Nothing is left to cancel."""


@contextmanager
def at_once(scheduler: str | None, tasks: int) -> Iterator[tuple[Any, Any]]:
    yield AtOnce(), iter


def test_each_gets_what_making_for_one_alone_gives(
    costume: CostumeFolder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(group, "_client", at_once)
    names = ["me", "tall"]
    made = list(make_group(costume, names, tmp_path / "out", papers=["a4"], job=QuietJob()))
    assert [one.name for one in made] == ["Me", "Tall"]
    for name in names:
        work = plan(costume, costume.wearer(name), Graph())
        make(work, tmp_path / "alone" / name, papers=["a4"])
        alone = {path.name: path.read_bytes() for path in (tmp_path / "alone" / name).iterdir()}
        assert len(alone) > 8
        assert alone == {path.name: path.read_bytes() for path in (tmp_path / "out" / name).iterdir()}
    assert made[0].files != made[1].files


def test_a_wearer_nothing_can_be_made_for_stops_no_other(
    costume: CostumeFolder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(work: Work, out: Path, **options: Any) -> Any:
        if work.wearer.name == "Tall":
            raise DraftError("no cloth is left.", where="piece forearm_guard", advice="Move an edge.")
        return make(work, out, **options)

    monkeypatch.setattr(group, "_client", at_once)
    monkeypatch.setattr(group, "make", refused)
    made = {one.name: one for one in make_group(costume, ["tall", "me"], tmp_path / "out", job=QuietJob())}
    assert made["Tall"].trouble == "piece forearm_guard: no cloth is left. Move an edge."
    assert not (tmp_path / "out" / "tall").exists()
    assert made["Me"].trouble == ""
    assert (tmp_path / "out" / "me" / "report.html").is_file()


def test_without_the_library_it_is_said_how_to_get_it(
    costume: CostumeFolder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(OutputError, match=r"pip install \"layfigure\[group\]\""):
        list(make_group(costume, ["me"], tmp_path / "out", job=QuietJob()))


def test_on_a_cluster_of_this_machine(costume: CostumeFolder, tmp_path: Path) -> None:
    pytest.importorskip("distributed")
    made = list(make_group(costume, ["me", "tall"], tmp_path / "out", papers=["a4"], job=QuietJob()))
    assert sorted(one.name for one in made) == ["Me", "Tall"]
    assert all((tmp_path / "out" / name / "pattern-a4.pdf").is_file() for name in ("me", "tall"))

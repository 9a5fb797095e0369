"""The whole job run once on every costume at hand, through the command line, and kept for all tests.

Two demonstration wearers, and a costume and wearer that are written by script: whatever is asked of one is
asked of all.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from click.testing import CliRunner
from tests.truth.second_costume import WEARER, write_second_costume

from layfigure.body.fit import FitResult
from layfigure.cli.main import layfigure
from layfigure.draft.registry import DraftResult
from layfigure.pipeline.folder import open_costume
from layfigure.pipeline.work import Work, plan
from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph

EXAMPLE = Path(__file__).parents[2] / "examples" / "brindle"

COSTUMES = {
    "brindle on ostrander": ("brindle", "ostrander"),
    "brindle on quillfeather": ("brindle", "quillfeather"),
    "lamplighter on pell": ("lamplighter", WEARER),
}

_PATIENCE = 600.0
"""How long one test process waits for another that is making the same costume [s]."""


@dataclass(frozen=True, kw_only=True)
class Made:
    """One costume made for one wearer.

    root : the maker's folder. out : the results. printed : what ``make`` said. cache : where stages are kept.
    """

    name: str
    root: Path
    wearer: str
    out: Path
    printed: str
    cache: Path

    @property
    def demonstration(self) -> bool:
        """Whether this is the costume that ships with the project."""
        return self.name.startswith("brindle")

    @cached_property
    def pieces(self) -> list[dict[str, Any]]:
        """Pieces as ``pieces.json`` tells them."""
        pieces: list[dict[str, Any]] = self.document["pieces"]
        return pieces

    @cached_property
    def document(self) -> dict[str, Any]:
        """The whole of ``pieces.json``."""
        document: dict[str, Any] = json.loads((self.out / "pieces.json").read_text(encoding="utf-8"))
        return document

    @cached_property
    def statements(self) -> dict[str, Any]:
        """Results by piece statement, from ``draft.json``."""
        data: dict[str, Any] = json.loads((self.out / "draft.json").read_text(encoding="utf-8"))
        statements: dict[str, Any] = data["statements"]
        return statements

    @cached_property
    def work(self) -> Work:
        """The stages behind the results, remembered: nothing is computed again."""
        folder = open_costume(self.root)
        return plan(folder, folder.wearer(self.wearer), Graph(Cache(self.cache / "layfigure")))

    @cached_property
    def body(self) -> FitResult:
        """The fitted body."""
        return self.work.body.value()

    @cached_property
    def drafts(self) -> dict[str, DraftResult]:
        """Every statement's result as the library has it."""
        return {slug: node.value() for slug, node in self.work.drafts.items()}


def make_once(shared: Path, name: str) -> Made:
    """The costume of that name, made by whichever test process comes first."""
    costume, wearer = COSTUMES[name]
    root, out, cache = shared / costume, shared / f"out-{costume}-{wearer}", shared / "cache"
    said = shared / f"{costume}-{wearer}.txt"
    with _one_at_a_time(shared / f"{costume}.lock"):
        if not root.exists():
            _write(costume, root)
        if not said.exists():
            said.write_text(_make(root, wearer, out, cache), encoding="utf-8")
    return Made(name=name, root=root, wearer=wearer, out=out, printed=said.read_text("utf-8"), cache=cache)


def _write(costume: str, root: Path) -> None:
    # Aside and then renamed: a folder that is there is a whole one.
    aside = Path(tempfile.mkdtemp(dir=root.parent))
    if costume == "brindle":
        shutil.copytree(EXAMPLE, aside, dirs_exist_ok=True, ignore=shutil.ignore_patterns("out"))
    else:
        write_second_costume(aside)
    aside.rename(root)


def _make(root: Path, wearer: str, out: Path, cache: Path) -> str:
    arguments = ["make", str(root), "--wearer", wearer, "--out", str(out)]
    papers = ["--paper", "a4", "--paper", "projector"]
    result = CliRunner().invoke(
        layfigure, arguments + papers, env={"LAYFIGURE_CACHE": str(cache)}, catch_exceptions=False
    )
    assert result.exit_code == 0, result.output
    return result.output


@contextmanager
def _one_at_a_time(lock: Path) -> Iterator[None]:
    """Hold a lock that other test processes see: a folder is made by one of them only."""
    until = time.monotonic() + _PATIENCE
    while True:
        try:
            lock.mkdir()
            break
        except FileExistsError:
            assert time.monotonic() < until, f"{lock.name} is held by a run that did not end"
            time.sleep(0.1)
    try:
        yield
    finally:
        lock.rmdir()


def shared_folder(base: Path) -> Path:
    """One folder for all test processes of a run: each has its own base folder inside a common one."""
    shared = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "whole"
    shared.mkdir(exist_ok=True)
    return shared

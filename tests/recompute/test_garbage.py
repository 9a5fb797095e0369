from __future__ import annotations

import gc
from collections.abc import Iterator

import pytest

from layfigure.recompute.garbage import unsearched
from layfigure.recompute.graph import Graph


@pytest.fixture(autouse=True)
def _as_it_was() -> Iterator[None]:
    before = gc.isenabled()
    gc.enable()
    yield
    (gc.enable if before else gc.disable)()


def searched() -> bool:
    return gc.isenabled()


def broken() -> None:
    raise ValueError("broken")


def test_no_garbage_is_searched_for_while_a_stage_runs() -> None:
    assert not Graph().node(searched).value()
    assert gc.isenabled()


def test_the_search_comes_back_after_a_stage_that_fails() -> None:
    with pytest.raises(ValueError, match="broken"):
        Graph().node(broken).value()
    assert gc.isenabled()


def test_the_last_of_several_stages_brings_it_back() -> None:
    with unsearched():
        with unsearched():
            pass
        assert not gc.isenabled()
    assert gc.isenabled()


def test_a_program_that_does_without_keeps_doing_without() -> None:
    gc.disable()
    with unsearched():
        pass
    assert not gc.isenabled()

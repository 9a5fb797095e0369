"""The maker's files while the workroom is open."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layfigure.errors import FileChanged, FileError
from layfigure.workroom.store import ABSENT, Store, revision_of


def test_a_write_says_what_it_was_made_from(tmp_path: Path) -> None:
    store = Store(tmp_path)
    store.write("begin", {"costume.toml": b"one"}, {"costume.toml": ABSENT})
    first = store.revisions()["costume.toml"]
    store.write("go on", {"costume.toml": b"two"}, {"costume.toml": first})
    with pytest.raises(FileChanged, match="changed somewhere else"):
        store.write("too late", {"costume.toml": b"three"}, {"costume.toml": first})
    assert store.read("costume.toml") == b"two"
    assert store.next_steps() == ("go on", "")


def test_another_program_s_edit_is_seen_and_never_written_over(tmp_path: Path) -> None:
    store = Store(tmp_path)
    store.write("begin", {"costume.toml": b"one"}, {})
    known = store.revisions()
    (tmp_path / "costume.toml").write_bytes(b"by hand")
    with pytest.raises(FileChanged):
        store.write("go on", {"costume.toml": b"two"}, known)
    with pytest.raises(FileChanged):
        store.undo()
    assert (tmp_path / "costume.toml").read_bytes() == b"by hand"
    assert store.revisions()["costume.toml"] == revision_of(b"by hand")


def test_an_edit_of_two_files_is_refused_whole(tmp_path: Path) -> None:
    store = Store(tmp_path)
    store.write("begin", {"costume.toml": b"one", "marks.json": b"1"}, {})
    stale = {**store.revisions(), "marks.json": "0" * 20}
    with pytest.raises(FileChanged):
        store.write("both", {"costume.toml": b"two", "marks.json": b"2"}, stale)
    assert (store.read("costume.toml"), store.read("marks.json")) == (b"one", b"1")


EDITS = st.lists(
    st.one_of(
        st.tuples(
            st.sampled_from(["costume.toml", "marks.json", "wearers/ada.toml"]),
            st.none() | st.binary(max_size=3),
        ),
        st.sampled_from(["undo", "redo"]),
    ),
    max_size=25,
)


@settings(max_examples=60, deadline=None)
@given(EDITS)
def test_undo_and_redo_go_through_every_state_ever_shown(
    tmp_path_factory: pytest.TempPathFactory, edits: list
) -> None:
    store = Store(tmp_path_factory.mktemp("costume"))
    states: list[dict[str, bytes | None]] = [{}]
    at = 0
    for edit in edits:
        if edit == "undo":
            assert (store.undo() is not None) == (at > 0)
            at = max(0, at - 1)
        elif edit == "redo":
            assert (store.redo() is not None) == (at < len(states) - 1)
            at = min(len(states) - 1, at + 1)
        else:
            name, content = edit
            store.write("edit", {name: content}, {})
            if states[at].get(name) != content:
                states = [*states[: at + 1], {**states[at], name: content}]
                at += 1
        for name in ("costume.toml", "marks.json", "wearers/ada.toml"):
            assert store.read(name) == states[at].get(name)


@pytest.mark.parametrize("name", ["../secret", "/etc/hosts", "wearers/../../secret", "C:\\secret"])
def test_nothing_outside_the_folder_is_read_or_written(tmp_path: Path, name: str) -> None:
    store = Store(tmp_path / "costume")
    (tmp_path / "costume").mkdir()
    with pytest.raises(FileError):
        store.read(name)
    with pytest.raises(FileError):
        store.write("out", {name: b"x"}, {})


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "secret").write_text("private")
    (tmp_path / "costume").mkdir()
    (tmp_path / "costume" / "marks.json").symlink_to(tmp_path / "secret")
    with pytest.raises(FileError, match="outside"):
        Store(tmp_path / "costume").read("marks.json")


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are forked to be killed")
def test_no_confirmed_edit_is_lost_wherever_the_process_is_killed(tmp_path: Path) -> None:
    script = Path(__file__).with_name("killed_at_every_write.py")
    run = subprocess.run(
        [sys.executable, str(script), str(tmp_path)], capture_output=True, text=True, timeout=300
    )
    assert run.returncode == 0, run.stdout + run.stderr
    # Every edit makes at least four system calls that change the disk, and each was a place to die.
    assert int(run.stdout.split()[0]) > 40

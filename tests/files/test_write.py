"""Results arrive whole or not at all, whatever happens midway."""

import errno
import os
import signal
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from layfigure.errors import OutputError
from layfigure.files import write
from layfigure.files.write import MANIFEST, replaced_folder, write_bytes, write_text


def contents(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): path.read_text()
        for path in folder.rglob("*")
        if path.is_file() and path.name != MANIFEST
    }


def failing(code: int) -> object:
    def fail(*args: object) -> None:
        raise OSError(code, os.strerror(code))

    return fail


def test_a_file_is_replaced_whole(tmp_path: Path) -> None:
    path = tmp_path / "pieces.json"
    write_text(path, "old é")
    write_bytes(path, b"new")
    assert path.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.skipif(os.name == "nt", reason="permission bits of POSIX")
def test_a_file_is_as_readable_as_the_user_makes_files(tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        write_text(tmp_path / "a", "")
        with replaced_folder(tmp_path / "out"):
            pass
    finally:
        os.umask(before)
    assert (tmp_path / "a").stat().st_mode & 0o777 == 0o640
    assert (tmp_path / "out").stat().st_mode & 0o777 == 0o750


@pytest.mark.parametrize(
    ("code", "message"),
    [
        (errno.ENOSPC, "the disk is full. Free some space"),
        (errno.EROFS, "the folder cannot be written. Name another folder"),
        (errno.EIO, "writing failed: "),
    ],
)
def test_a_full_or_read_only_disk_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int, message: str
) -> None:
    path = tmp_path / "pieces.json"
    write_text(path, "old")
    monkeypatch.setattr(write.os, "fsync", failing(code))
    with pytest.raises(OutputError, match=message) as caught:
        write_text(path, "new")
    assert caught.value.where == str(path)
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="the folder does not exist"):
        write_text(tmp_path / "nowhere" / "a.txt", "")


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="root writes anywhere")
def test_a_read_only_folder_is_named(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    try:
        with (
            pytest.raises(OutputError, match="the folder cannot be written"),
            replaced_folder(tmp_path / "out"),
        ):
            pass
    finally:
        tmp_path.chmod(0o700)


def test_a_folder_is_swapped_whole(tmp_path: Path) -> None:
    out = tmp_path / "deep" / "out"
    with replaced_folder(out) as staging:
        (staging / "a.txt").write_text("1")
        (staging / "gone.txt").write_text("1")
        assert not out.exists()
    with replaced_folder(out) as staging:
        (staging / "sheets").mkdir()
        (staging / "sheets" / "b.txt").write_text("2")
        (staging / "a.txt").write_text("2")
        assert contents(out) == {"a.txt": "1", "gone.txt": "1"}
    assert contents(out) == {"a.txt": "2", "sheets/b.txt": "2"}
    assert list(out.parent.iterdir()) == [out]


@pytest.mark.parametrize("error", [ValueError, KeyboardInterrupt])
def test_a_failed_run_leaves_the_last_good_folder(tmp_path: Path, error: type[BaseException]) -> None:
    out = tmp_path / "out"
    with replaced_folder(out) as staging:
        (staging / "a.txt").write_text("good")
    with pytest.raises(error), replaced_folder(out) as staging:
        (staging / "a.txt").write_text("half")
        raise error
    assert contents(out) == {"a.txt": "good"}
    assert list(tmp_path.iterdir()) == [out]


def test_a_disk_that_fills_up_midway_is_explained_and_loses_nothing(tmp_path: Path) -> None:
    out = tmp_path / "out"
    with replaced_folder(out) as staging:
        (staging / "a.txt").write_text("good")
    with pytest.raises(OutputError, match="the disk is full"), replaced_folder(out):
        raise OSError(errno.ENOSPC, "No space left on device")
    assert contents(out) == {"a.txt": "good"}


def test_a_swap_that_fails_puts_the_old_folder_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out"
    with replaced_folder(out) as staging:
        (staging / "a.txt").write_text("good")
    rename = Path.rename

    def refuse_staging(self: Path, target: Path) -> Path:
        if ".new-" in self.name:
            raise OSError(errno.EIO, "Input/output error")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refuse_staging)
    with pytest.raises(OutputError), replaced_folder(out) as staging:
        (staging / "a.txt").write_text("new")
    assert contents(out) == {"a.txt": "good"}


@pytest.mark.skipif(os.name == "nt", reason="kills by POSIX signal")
@pytest.mark.parametrize("moment", ["writing", "between the renames"])
def test_a_killed_run_loses_nothing(tmp_path: Path, moment: str) -> None:
    out = tmp_path / "out"
    with replaced_folder(out) as staging:
        (staging / "a.txt").write_text("good")
    script = f"""
        import os, signal
        from pathlib import Path
        from layfigure.files import write
        rename = Path.rename
        def kill_self(self, target):
            if ".new-" in self.name:
                os.kill(os.getpid(), signal.SIGKILL)
            return rename(self, target)
        if {moment!r} != "writing":
            Path.rename = kill_self
        with write.replaced_folder(Path({str(out)!r})) as staging:
            (staging / "a.txt").write_text("new")
            if {moment!r} == "writing":
                os.kill(os.getpid(), signal.SIGKILL)
    """
    run = subprocess.run([sys.executable, "-c", textwrap.dedent(script)], check=False)
    assert run.returncode == -signal.SIGKILL
    with pytest.raises(RuntimeError), replaced_folder(out):
        raise RuntimeError  # even a failing next run finds the last good folder
    assert contents(out) == {"a.txt": "good"}


def test_files_of_the_maker_are_carried_over_and_foreign_folders_refused(tmp_path: Path) -> None:
    out = tmp_path / "out"
    with replaced_folder(out) as staging:
        (staging / "a.txt").write_text("1")
    (out / "my notes.txt").write_text("mine")
    with replaced_folder(out) as staging:
        (staging / "b.txt").write_text("2")
    assert contents(out) == {"b.txt": "2", "my notes.txt": "mine"}

    home = tmp_path / "home"
    home.mkdir()
    (home / "thesis.txt").write_text("years of work")
    with pytest.raises(OutputError, match="files that layfigure did not write"), replaced_folder(home):
        pass
    assert contents(home) == {"thesis.txt": "years of work"}
    with pytest.raises(OutputError, match="a file where"), replaced_folder(home / "thesis.txt"):
        pass

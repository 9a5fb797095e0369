"""Results written whole or not at all: what was there before stays until the new is complete on disk."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from threading import Lock

from layfigure.errors import OutputError

MANIFEST = "layfigure-files.txt"
"""Lists what layfigure wrote in a results folder, one path a line, so that nothing else is ever deleted."""

_STALE_AFTER = 24 * 3600.0


def write_bytes(path: Path, data: bytes) -> None:
    """Write a file atomically: beside its place, flushed to disk, then renamed over it.

    Raises OutputError where the folder is missing, read-only or full; the old file is then untouched.
    """
    with _explained(path):
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".new", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            # A temporary file is private by default; the result follows the user's own habit.
            Path(name).chmod(0o666 & ~_umask())
            Path(name).replace(path)
        except BaseException:
            with contextlib.suppress(OSError):
                Path(name).unlink()
            raise
        _flush_folder(path.parent)


def write_text(path: Path, text: str) -> None:
    """Write UTF-8 text atomically, see ``write_bytes``."""
    write_bytes(path, text.encode("utf-8"))


@contextlib.contextmanager
def replaced_folder(out: Path) -> Iterator[Path]:
    """Build a results folder aside and swap it in whole when the block succeeds.

    Yields an empty folder to write into. When the block raises, is cancelled or killed, ``out`` keeps its
    last good content. Files in ``out`` that layfigure did not write are carried over; a folder that is
    not empty and holds no manifest of ours is refused. Raises OutputError.
    """
    out = out.absolute()
    previous = out.with_name(f".{out.name}.previous")
    with _explained(out):
        out.parent.mkdir(parents=True, exist_ok=True)
        _restore_after_kill(out, previous)
        _refuse_foreign(out)
        _clear_stale(out)
        staging = Path(tempfile.mkdtemp(prefix=f".{out.name}.new-", dir=out.parent))
    try:
        with _explained(out):
            yield staging
            _complete(staging, out)
            staging.chmod(0o777 & ~_umask())
            _swap(staging, out, previous)
    except BaseException:
        shutil.rmtree(staging, ignore_errors=True)
        raise


def begin_folder(out: Path) -> None:
    """Make a results folder, or see that it is one, so that single files may be written into it.

    Raises OutputError for one that is not empty and that layfigure did not write.
    """
    out = out.absolute()
    with _explained(out):
        out.mkdir(parents=True, exist_ok=True)
        _refuse_foreign(out)
        if not (out / MANIFEST).is_file():
            write_text(out / MANIFEST, f"{MANIFEST}\n")


def _complete(staging: Path, out: Path) -> None:
    """List what was written, carry the maker's own files over, and flush everything to disk."""
    written = sorted(path.relative_to(staging).as_posix() for path in staging.rglob("*") if path.is_file())
    (staging / MANIFEST).write_text("\n".join([MANIFEST, *written]) + "\n", encoding="utf-8")
    for path in _own_files(out):
        target = staging / path
        if not target.exists():
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(out / path, target)
    for path in staging.rglob("*"):
        if path.is_file():
            with path.open("rb") as file:
                os.fsync(file.fileno())


def _own_files(out: Path) -> list[Path]:
    """Files in a results folder that layfigure did not write."""
    if not (out / MANIFEST).is_file():
        return []
    ours = set((out / MANIFEST).read_text(encoding="utf-8").splitlines())
    found = (path.relative_to(out) for path in out.rglob("*") if path.is_file())
    return [path for path in found if path.as_posix() not in ours]


def _swap(staging: Path, out: Path, previous: Path) -> None:
    if not out.exists():
        staging.rename(out)
    else:
        shutil.rmtree(previous, ignore_errors=True)
        out.rename(previous)
        try:
            staging.rename(out)
        except OSError:
            previous.rename(out)
            raise
        shutil.rmtree(previous, ignore_errors=True)
    _flush_folder(out.parent)


def _restore_after_kill(out: Path, previous: Path) -> None:
    """A run killed between the two renames leaves the last good folder under its other name."""
    if previous.is_dir() and not out.exists():
        previous.rename(out)


def _refuse_foreign(out: Path) -> None:
    if out.exists() and not out.is_dir():
        raise OutputError("there is a file where the results folder should be.", where=str(out))
    if out.is_dir() and any(out.iterdir()) and not (out / MANIFEST).is_file():
        raise OutputError(
            "the folder holds files that layfigure did not write.",
            where=str(out),
            advice="Name an empty or new folder with --out.",
        )


def _clear_stale(out: Path) -> None:
    """Remove what killed runs left behind, once no running job can still be writing it."""
    for path in out.parent.glob(f".{out.name}.new-*"):
        with contextlib.suppress(OSError):
            if time.time() - path.stat().st_mtime > _STALE_AFTER:
                shutil.rmtree(path, ignore_errors=True)


@contextlib.contextmanager
def _explained(path: Path) -> Iterator[None]:
    """Turn what the operating system says into an OutputError with something to do."""
    try:
        yield
    except OSError as error:
        what, advice = _explanation(error)
        raise OutputError(what, where=str(path), advice=advice) from error


def _explanation(error: OSError) -> tuple[str, str]:
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return "the disk is full.", "Free some space and run again; earlier results are untouched."
    if error.errno in (errno.EROFS, errno.EACCES, errno.EPERM):
        return "the folder cannot be written.", "Name another folder, or allow writing to this one."
    if error.errno in (errno.ENOENT, errno.ENOTDIR):
        return "the folder does not exist.", "Make it first, or check its name."
    return f"writing failed: {error.strerror or error}.", "Earlier results are untouched."


def _flush_folder(folder: Path) -> None:
    """Make a rename itself last; systems that cannot open a folder do without."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


_MASKING = Lock()


def _umask() -> int:
    """The user's mask; there is no way to read it but to set it and set it back, one thread at a time."""
    with _MASKING:
        mask = os.umask(0o022)
        os.umask(mask)
    return mask

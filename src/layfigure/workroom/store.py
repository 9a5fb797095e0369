"""The maker's files while the workroom is open: read with a revision, written whole, undone and redone.

Every write says which revision of each file it is based on. Where the file on disk is another one by now,
somebody else has edited it, and nothing is written. The history lives as long as the workroom; the files are
the only place where the work is kept.
"""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from threading import RLock

from layfigure.design.costume import COSTUME_FILE, MARKS_FILE, MATERIALS_FILE
from layfigure.errors import FileChanged, FileError, FileSyntaxError
from layfigure.files.inside import refuse_outside
from layfigure.files.write import write_bytes
from layfigure.pipeline.cut_file import SUFFIX as CUT_SUFFIX

ABSENT = "absent"
"""Revision of a file that is not there."""

WEARERS = "wearers"


@dataclass(frozen=True, slots=True)
class Change:
    """One file's content before and after; None where it is not there."""

    name: str
    before: bytes | None
    after: bytes | None


@dataclass(frozen=True, slots=True)
class Step:
    """One edit as the maker sees it. what : in words, as in ``mark the left knee``."""

    what: str
    changes: tuple[Change, ...]


def revision_of(content: bytes | None) -> str:
    """A short name of a content: the same for the same bytes, and for no others."""
    return ABSENT if content is None else hashlib.sha256(content).hexdigest()[:20]


class Store:
    """The files of one costume. Safe to use from several threads."""

    def __init__(self, root: Path) -> None:
        self.root = root.resolve()
        self._lock = RLock()
        self._done: list[Step] = []
        self._undone: list[Step] = []

    def read(self, name: str) -> bytes | None:
        """A file's bytes, or None when it is not there. Raises FileError for a path outside the folder."""
        try:
            return self._path(name).read_bytes()
        except (FileNotFoundError, NotADirectoryError):
            return None
        except OSError as error:
            raise FileError(f"the file cannot be read: {error.strerror}.", where=name) from error

    def text(self, name: str) -> str:
        """A file's text, empty when it is not there. Raises FileSyntaxError for what is not UTF-8."""
        try:
            return (self.read(name) or b"").decode("utf-8-sig")
        except UnicodeDecodeError as error:
            raise FileSyntaxError(
                "the file is not UTF-8 text.", where=name, advice="Save it as UTF-8."
            ) from error

    def revisions(self) -> dict[str, str]:
        """Revision of every file of the maker's that the workroom shows."""
        names = [COSTUME_FILE, MARKS_FILE, MATERIALS_FILE]
        with contextlib.suppress(OSError):
            found = [path.name for path in (self.root / WEARERS).iterdir()]
            names += sorted(f"{WEARERS}/{name}" for name in found if name.endswith((".toml", CUT_SUFFIX)))
        return {name: revision_of(self.read(name)) for name in names}

    def write(self, what: str, contents: Mapping[str, bytes | None], base: Mapping[str, str]) -> None:
        """Write files in the order given, each whole or not at all; None removes one.

        base : the revision each content was made from; a file without one is written whatever it was.
        Raises FileChanged, having written nothing, where a file on disk is another by now; OutputError.
        """
        with self._lock:
            before = {name: self.read(name) for name in contents}
            for name, content in before.items():
                if name in base and base[name] != revision_of(content):
                    raise _changed(name)
            changes = [Change(name, before[name], after) for name, after in contents.items()]
            changes = [change for change in changes if change.before != change.after]
            if not changes:
                return
            self._put(changes)
            self._done.append(Step(what, tuple(changes)))
            self._undone.clear()

    def undo(self) -> Step | None:
        """Take back the last edit; None when there is none. Raises FileChanged where a file moved on."""
        return self._turn(self._done, self._undone, back=True)

    def redo(self) -> Step | None:
        """Do again what was taken back last."""
        return self._turn(self._undone, self._done, back=False)

    def next_steps(self) -> tuple[str, str]:
        """What undo and redo would touch, in words; empty where there is nothing."""
        with self._lock:
            return (
                self._done[-1].what if self._done else "",
                self._undone[-1].what if self._undone else "",
            )

    def _turn(self, source: list[Step], target: list[Step], *, back: bool) -> Step | None:
        with self._lock:
            if not source:
                return None
            step = source[-1]
            changes = [
                Change(change.name, change.after, change.before) if back else change
                for change in (reversed(step.changes) if back else step.changes)
            ]
            for change in changes:
                if self.read(change.name) != change.before:
                    raise _changed(change.name)
            self._put(changes)
            target.append(source.pop())
            return step

    def _put(self, changes: list[Change]) -> None:
        for change in changes:
            path = self._path(change.name)
            if change.after is None:
                path.unlink(missing_ok=True)
            else:
                path.parent.mkdir(parents=True, exist_ok=True)
                write_bytes(path, change.after)

    def _path(self, name: str) -> Path:
        """A file of the costume. Raises FileError for one outside its folder, links followed."""
        refuse_outside(name, where=name)
        path = self.root / name
        if not path.resolve().is_relative_to(self.root):
            raise FileError("a file of the costume lies outside its folder.", where=name)
        return path


def _changed(name: str) -> FileChanged:
    return FileChanged(
        "it was changed somewhere else since it was shown here; nothing was written.",
        where=name,
        advice="Look at what it says now, then make your edit again or write over it.",
    )

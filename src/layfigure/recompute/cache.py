"""Results kept on disk between runs, one file a key, for this user only."""

from __future__ import annotations

import os
import pickle
import tempfile
from collections import OrderedDict
from pathlib import Path
from threading import Lock
from typing import Any

_MISSING = object()

MOST_HELD = 512
"""Values kept in memory: those of some ten wearers of one costume."""


def user_cache_folder() -> Path:
    """The user's own cache folder. Never inside a costume folder: results hold private measures, and a
    costume somebody sends must not be able to bring pickled results along.
    """
    base = os.environ.get("LAYFIGURE_CACHE") or os.environ.get("XDG_CACHE_HOME")
    return Path(base) / "layfigure" if base else Path.home() / ".cache" / "layfigure"


class Cache:
    """Key to value, in memory and, when a folder is given, on disk.

    A file that cannot be read back is treated as absent; a disk that is full or read-only costs speed,
    never a result. The oldest files go when the folder grows beyond ``limit`` bytes. Safe to use from several
    threads.
    """

    def __init__(self, folder: Path | None = None, *, limit: int = 500_000_000) -> None:
        self.folder = folder
        self._limit = limit
        self._memory: OrderedDict[str, Any] = OrderedDict()
        self._lock = Lock()

    def __contains__(self, key: str) -> bool:
        return key in self._memory or (self.folder is not None and self._path(key).is_file())

    def get(self, key: str, default: Any = None) -> Any:
        """The value stored under a key, or the default."""
        with self._lock:
            if key in self._memory:
                self._memory.move_to_end(key)
                return self._memory[key]
        value = self._read(key)
        if value is _MISSING:
            return default
        self.hold(key, value)
        return value

    def hold(self, key: str, value: Any) -> None:
        """Keep a value in memory alone, for as long as not many others are asked for."""
        with self._lock:
            self._memory[key] = value
            if len(self._memory) > MOST_HELD:
                self._memory.popitem(last=False)

    def put(self, key: str, value: Any) -> None:
        """Keep a value in memory and, if possible, on disk."""
        self.hold(key, value)
        if self.folder is None:
            return
        try:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(dir=self.folder, suffix=".part")
            try:
                with os.fdopen(handle, "wb") as file:
                    pickle.dump(value, file, protocol=pickle.HIGHEST_PROTOCOL)
                Path(name).replace(self._path(key))
            except BaseException:
                Path(name).unlink(missing_ok=True)
                raise
        except OSError:
            return

    def trim(self) -> None:
        """Remove the files used longest ago until the folder is within its limit."""
        if self.folder is None or not self.folder.is_dir():
            return
        files: list[tuple[float, int, Path]] = []
        for path in self.folder.iterdir():
            try:
                status = path.stat()
            except OSError:
                continue
            files.append((status.st_mtime, status.st_size, path))
        excess = sum(size for _, size, _ in files) - self._limit
        for _, size, path in sorted(files):
            if excess <= 0:
                break
            path.unlink(missing_ok=True)
            excess -= size

    def _path(self, key: str) -> Path:
        assert self.folder is not None
        return self.folder / f"{key}.pickle"

    def _read(self, key: str) -> Any:
        if self.folder is None:
            return _MISSING
        path = self._path(key)
        try:
            with path.open("rb") as file:
                if not _is_own(file.fileno()):
                    return _MISSING
                value = pickle.load(file)  # noqa: S301 - the user's own folder, never a costume's
            os.utime(path)
        except FileNotFoundError:
            return _MISSING
        except Exception:
            # A truncated or foreign file: whatever pickle raises, the answer is to compute again.
            return _MISSING
        return value


def _is_own(handle: int) -> bool:
    """Whether this user wrote a file: a pickle can run code, and a cache may be set to a shared disk."""
    return not hasattr(os, "geteuid") or os.fstat(handle).st_uid == os.geteuid()

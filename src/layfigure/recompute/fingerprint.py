"""A stable key for any plain value, so that a stage runs again only when something it reads has changed."""

from __future__ import annotations

import dataclasses
import functools
import hashlib
import os
import struct
import weakref
from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from typing import Any, Protocol

import numpy as np
from pydantic import BaseModel


class _Digest(Protocol):
    def update(self, data: bytes, /) -> None: ...


def fingerprint(*values: object) -> str:
    """Hexadecimal key of values: equal for equal values, in any process, on any machine.

    Reads None, bool, int, float, str, bytes, Path (its text), sequences, sets, mappings (in any order),
    numpy arrays, frozen dataclasses, pydantic models and classes or functions (by name). Raises TypeError
    for anything else, since a key that misses part of a value would bring back a stale result.
    A frozen dataclass with a slot for weak references is read once: the class says by both that its instances
    never change.
    """
    digest = hashlib.blake2b(digest_size=16)
    for value in values:
        _feed(digest, value)
    return digest.hexdigest()


@functools.cache
def code_fingerprint() -> str:
    """Key of the whole package's source and data: a new version of any algorithm recomputes everything."""
    return folder_fingerprint(Path(str(resources.files("layfigure"))))


COMPILED = "__pycache__"
"""Where Python keeps what it compiled. It writes there while it imports, under names that last a moment."""


def folder_fingerprint(root: Path) -> str:
    """Key of the names and contents of all files under a folder, but of what Python compiled of them."""
    digest = hashlib.blake2b(digest_size=16)
    for folder, inside, names in os.walk(root):
        inside[:] = sorted(name for name in inside if name != COMPILED)
        for name in sorted(names):
            path = Path(folder) / name
            digest.update(path.relative_to(root).as_posix().encode())
            digest.update(hashlib.blake2b(path.read_bytes()).digest())
    return digest.hexdigest()


_READ: dict[int, tuple[weakref.ref[Any], bytes]] = {}
"""Keys of what is read once, by identity, for as long as it lives."""


@functools.cache
def _fields(kind: type) -> tuple[tuple[str, ...], bool]:
    """Names of a dataclass's fields, and whether its instances are read once."""
    frozen = kind.__dataclass_params__.frozen  # type: ignore[attr-defined]
    says_so = "__weakref__" in vars(kind).get("__slots__", ())
    names = tuple(item.name for item in dataclasses.fields(kind))
    return names, frozen and says_so


def _read_once(value: Any, names: tuple[str, ...]) -> bytes:
    """Key of an instance that never changes."""
    known = _READ.get(id(value))
    if known is not None and known[0]() is value:
        return known[1]
    digest = hashlib.blake2b(digest_size=16)
    _feed_fields(digest, value, names)
    place, key = id(value), digest.digest()
    _READ[place] = weakref.ref(value, lambda gone: _forget(place, gone)), key
    return key


def _forget(place: int, gone: weakref.ref[Any]) -> None:
    """Drop the key of an instance that is gone, unless another lives in its place already."""
    if place in _READ and _READ[place][0] is gone:
        del _READ[place]


def _feed_fields(digest: _Digest, value: Any, names: tuple[str, ...]) -> None:
    for name in names:
        _feed(digest, name)
        _feed(digest, getattr(value, name))


def _feed(digest: _Digest, value: Any) -> None:
    """Add one value with its type, so that 1, 1.0, "1" and True differ and nothing runs together."""
    if value is None or isinstance(value, bool):
        digest.update(b"k" + repr(value).encode() + b";")
    elif isinstance(value, int | np.integer):
        digest.update(b"i" + str(int(value)).encode() + b";")
    elif isinstance(value, float | np.floating):
        digest.update(b"f" + struct.pack("<d", float(value)))
    elif isinstance(value, str | Path):
        _feed_bytes(digest, b"s", str(value).encode())
    elif isinstance(value, bytes):
        _feed_bytes(digest, b"b", value)
    elif isinstance(value, np.ndarray):
        if value.dtype.hasobject:
            raise TypeError("an array of objects has no stable key")
        _feed_bytes(digest, b"a", f"{value.dtype.str}{value.shape}".encode())
        _feed_bytes(digest, b"d", np.ascontiguousarray(value).tobytes())
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        _feed_bytes(digest, b"c", type(value).__qualname__.encode())
        names, once = _fields(type(value))
        if once:
            digest.update(_read_once(value, names))
        else:
            _feed_fields(digest, value, names)
    elif isinstance(value, BaseModel):
        _feed_bytes(digest, b"m", type(value).__qualname__.encode())
        _feed(digest, value.model_dump())
    elif isinstance(value, Mapping):
        items = sorted((fingerprint(key), key, item) for key, item in value.items())
        digest.update(b"{" + str(len(items)).encode() + b";")
        for _, key, item in items:
            _feed(digest, key)
            _feed(digest, item)
    elif isinstance(value, set | frozenset):
        digest.update(b"<" + str(len(value)).encode() + b";")
        for key in sorted(fingerprint(item) for item in value):
            digest.update(key.encode())
    elif isinstance(value, list | tuple):
        digest.update(b"(" + str(len(value)).encode() + b";")
        for item in value:
            _feed(digest, item)
    elif isinstance(value, type) or (callable(value) and hasattr(value, "__qualname__")):
        _feed_bytes(digest, b"n", f"{value.__module__}.{value.__qualname__}".encode())
    else:
        raise TypeError(f"{type(value).__qualname__} has no stable key")


def _feed_bytes(digest: _Digest, kind: bytes, data: bytes) -> None:
    digest.update(kind + str(len(data)).encode() + b":")
    digest.update(data)

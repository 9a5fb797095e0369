"""A stable key for any plain value, so that a stage runs again only when something it reads has changed."""

from __future__ import annotations

import dataclasses
import functools
import hashlib
import os
import struct
import weakref
from collections.abc import Callable, Collection, Mapping
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import BaseModel


def fingerprint(*values: object) -> str:
    """Hexadecimal key of values: equal for equal values, in any process, on any machine.

    Reads None, bool, int, float, str, bytes, Path (its text), sequences, sets, mappings (in any order),
    numpy arrays, frozen dataclasses, pydantic models and classes or functions (by name). Raises TypeError
    for anything else, since a key that misses part of a value would bring back a stale result.
    A frozen dataclass with a slot for weak references is read once: the class says by both that its instances
    never change.
    """
    written = bytearray()
    for value in values:
        _write(written, value)
    return hashlib.blake2b(written, digest_size=16).hexdigest()


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


def _read_once(value: Any, names: tuple[str, ...]) -> bytes:
    """Key of an instance that never changes."""
    known = _READ.get(id(value))
    if known is not None and known[0]() is value:
        return known[1]
    written = bytearray()
    _write_fields(written, value, names)
    place, key = id(value), hashlib.blake2b(written, digest_size=16).digest()
    _READ[place] = weakref.ref(value, lambda gone: _forget(place, gone)), key
    return key


def _forget(place: int, gone: weakref.ref[Any]) -> None:
    """Drop the key of an instance that is gone, unless another lives in its place already."""
    if place in _READ and _READ[place][0] is gone:
        del _READ[place]


def _write(written: bytearray, value: Any) -> None:
    """Add one value with its type, so that 1, 1.0, "1" and True differ and nothing runs together."""
    _writer(value.__class__)(written, value)


_Writer = Callable[[bytearray, Any], None]


@functools.cache
def _writer(kind: type) -> _Writer:
    """How values of a kind are written: worked out once, for thousands of them."""
    for kinds, writer in _PLAIN:
        if issubclass(kind, kinds):
            return writer
    if dataclasses.is_dataclass(kind):
        return _dataclass_writer(kind)
    for kinds, writer in _HOLDING:
        if issubclass(kind, kinds):
            return writer
    return _write_named


def _dataclass_writer(kind: type) -> _Writer:
    """Of the instances of a dataclass: its name, those of its fields, and their values."""
    names = tuple(item.name for item in dataclasses.fields(kind))
    head = _framed(b"c", kind.__qualname__.encode()) + b"".join(_framed(b"f", n.encode()) for n in names)
    if kind.__dataclass_params__.frozen and "__weakref__" in vars(kind).get("__slots__", ()):  # type: ignore[attr-defined]
        return lambda written, value: written.extend(head + _read_once(value, names))

    def write(written: bytearray, value: Any) -> None:
        written += head
        _write_fields(written, value, names)

    return write


def _write_fields(written: bytearray, value: Any, names: tuple[str, ...]) -> None:
    for name in names:
        _write(written, getattr(value, name))


def _write_array(written: bytearray, value: Any) -> None:
    if value.dtype.hasobject:
        raise TypeError("an array of objects has no stable key")
    written += _framed(b"a", f"{value.dtype.str}{value.shape}".encode())
    written += _framed(b"d", np.ascontiguousarray(value).tobytes())


def _write_mapping(written: bytearray, value: Mapping[Any, Any]) -> None:
    written += b"{%d;" % len(value)
    # In the order of the keys as written, which is the same in every process.
    for key, item in sorted(((_alone(key), item) for key, item in value.items()), key=lambda pair: pair[0]):
        written += key
        _write(written, item)


def _write_set(written: bytearray, value: Collection[Any]) -> None:
    written += b"<%d;" % len(value)
    for item in sorted(map(_alone, value)):
        written += item


def _write_sequence(written: bytearray, value: Collection[Any]) -> None:
    written += b"(%d;" % len(value)
    for item in value:
        _write(written, item)


def _write_named(written: bytearray, value: Any) -> None:
    if not isinstance(value, type) and not (callable(value) and hasattr(value, "__qualname__")):
        raise TypeError(f"{type(value).__qualname__} has no stable key")
    written += _framed(b"n", f"{value.__module__}.{value.__qualname__}".encode())


def _write_model(written: bytearray, value: BaseModel) -> None:
    written += _framed(b"m", type(value).__qualname__.encode())
    _write(written, value.model_dump())


def _alone(value: Any) -> bytes:
    written = bytearray()
    _write(written, value)
    return bytes(written)


def _framed(kind: bytes, data: bytes) -> bytes:
    return b"%b%d:%b" % (kind, len(data), data)


_Kinds = tuple[tuple[type | tuple[type, ...], _Writer], ...]
_PLAIN: _Kinds = (
    ((bool, type(None)), lambda written, value: written.extend(b"k%b;" % repr(value).encode())),
    ((int, np.integer), lambda written, value: written.extend(b"i%d;" % int(value))),
    ((float, np.floating), lambda written, value: written.extend(b"f" + struct.pack("<d", float(value)))),
    ((str, Path), lambda written, value: written.extend(_framed(b"s", str(value).encode()))),
    (bytes, lambda written, value: written.extend(_framed(b"b", value))),
    (np.ndarray, _write_array),
)
_HOLDING: _Kinds = (
    (BaseModel, _write_model),
    (Mapping, _write_mapping),
    ((set, frozenset), _write_set),
    ((list, tuple), _write_sequence),
)

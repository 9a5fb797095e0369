"""PLY 1.0, ASCII and binary in both byte orders: elements ``vertex`` and ``face``."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import islice, pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.mesh import TriangleMesh

_TYPES = {
    "char": "i1", "int8": "i1", "uchar": "u1", "uint8": "u1",
    "short": "i2", "int16": "i2", "ushort": "u2", "uint16": "u2",
    "int": "i4", "int32": "i4", "uint": "u4", "uint32": "u4",
    "float": "f4", "float32": "f4", "double": "f8", "float64": "f8",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Property:
    """A value of an element, or a list of values preceded by their count."""

    name: str
    kind: str
    count_kind: str = ""


@dataclass(frozen=True, slots=True)
class _Element:
    name: str
    count: int
    properties: list[_Property]


def read_ply(data: bytes) -> TriangleMesh:
    """Corners and faces; a face of more than three corners is cut into a fan. Raises ValueError."""
    end = data.find(b"end_header")
    if not data.startswith(b"ply") or end < 0:
        raise ValueError("it has no PLY header")
    body = data.index(b"\n", end) + 1
    form, elements = _header(data[:end].decode("ascii", errors="replace"))
    if form == "ascii":
        tables = _ascii(data[body:].decode("ascii", errors="replace"), elements)
    else:
        tables = _binary(data, body, elements, "<" if form == "binary_little_endian" else ">")
    if "vertex" not in tables or "face" not in tables:
        raise ValueError("it has no corners or no faces")
    return TriangleMesh(tables["vertex"], tables["face"])


def _header(text: str) -> tuple[str, list[_Element]]:
    form, elements = "", list[_Element]()
    for line in text.splitlines():
        words = line.split()
        if words[:1] == ["format"]:
            form = words[1]
        elif words[:1] == ["element"]:
            elements.append(_Element(words[1], int(words[2]), []))
        elif words[:2] == ["property", "list"]:
            elements[-1].properties.append(_Property(words[4], _TYPES[words[3]], _TYPES[words[2]]))
        elif words[:1] == ["property"]:
            elements[-1].properties.append(_Property(words[2], _TYPES[words[1]]))
    if form not in ("ascii", "binary_little_endian", "binary_big_endian"):
        raise ValueError("its header names no format")
    return form, elements


def _fan(corners: list[list[int]]) -> NDArray[np.int64]:
    faces = [(c[0], a, b) for c in corners for a, b in pairwise(c[1:])]
    return np.array(faces, dtype=np.int64).reshape(-1, 3)


def _ascii(text: str, elements: list[_Element]) -> dict[str, NDArray[Any]]:
    lines = iter(line for line in text.splitlines() if line.strip())
    tables: dict[str, NDArray[Any]] = {}
    for element in elements:
        rows = [line.split() for line in islice(lines, element.count)]
        if len(rows) < element.count:
            raise ValueError("it ends too early")
        if element.name == "vertex":
            names = [item.name for item in element.properties]
            columns = [names.index(axis) for axis in "xyz"]
            points = [[float(row[c]) for c in columns] for row in rows]
            tables["vertex"] = np.array(points, dtype=np.float64).reshape(-1, 3)
        elif element.name == "face":
            tables["face"] = _fan([[int(v) for v in row[1 : 1 + int(row[0])]] for row in rows])
    return tables


def _binary(data: bytes, start: int, elements: list[_Element], order: str) -> dict[str, NDArray[Any]]:
    tables: dict[str, NDArray[Any]] = {}
    for element in elements:
        if not any(item.count_kind for item in element.properties):
            kinds = np.dtype([(item.name, order + item.kind) for item in element.properties])
            rows = np.frombuffer(data, dtype=kinds, count=element.count, offset=start)
            start += kinds.itemsize * element.count
            if element.name == "vertex":
                tables["vertex"] = np.column_stack([rows[axis].astype(np.float64) for axis in "xyz"])
            continue
        corners: list[list[int]] = []
        for _ in range(element.count):
            for item in element.properties:
                if not item.count_kind:
                    start += np.dtype(item.kind).itemsize
                    continue
                count = int(np.frombuffer(data, order + item.count_kind, 1, start)[0])
                start += np.dtype(item.count_kind).itemsize
                values = np.frombuffer(data, order + item.kind, count, start)
                start += values.nbytes
                if item.name in ("vertex_indices", "vertex_index"):
                    corners.append(values.astype(np.int64).tolist())
        if element.name == "face":
            tables["face"] = _fan(corners)
    return tables

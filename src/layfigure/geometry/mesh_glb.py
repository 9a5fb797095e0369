"""GLB, the binary form of glTF 2.0 (Khronos; ISO/IEC 12113): triangles of every node, as they are placed.

glTF is in metres with y up and its front to +z; here z is up and the front is -y, so (x, y, z) becomes
(x, -z, y).
"""

from __future__ import annotations

import json
from typing import Any

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]

_KINDS = {5120: "<i1", 5121: "<u1", 5122: "<i2", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
_WIDTHS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT4": 16}
TRIANGLES = 4


def read_glb(data: bytes) -> TriangleMesh:
    """All triangles of the scene, in metres, z up. Raises ValueError for what is not such a file."""
    if data[:4] != b"glTF" or int.from_bytes(data[4:8], "little") != 2:
        raise ValueError("it is not a GLB of version 2")
    chunks: dict[bytes, bytes] = {}
    start = 12
    while start + 8 <= len(data):
        size, kind = int.from_bytes(data[start : start + 4], "little"), data[start + 4 : start + 8]
        chunks.setdefault(kind, data[start + 8 : start + 8 + size])
        start += 8 + size
    document = json.loads(chunks[b"JSON"])
    used = document.get("extensionsRequired", [])
    if used:
        raise ValueError(f"it needs {', '.join(used)}: save it without compression")
    buffer = chunks.get(b"BIN\x00", b"")
    vertices: list[Points] = []
    faces: list[NDArray[np.int64]] = []
    count = 0
    for node, placed in _placed_nodes(document):
        for primitive in document["meshes"][node["mesh"]]["primitives"]:
            if primitive.get("mode", TRIANGLES) != TRIANGLES:
                continue
            points = _accessor(document, buffer, primitive["attributes"]["POSITION"])
            if "indices" in primitive:
                corners = _accessor(document, buffer, primitive["indices"]).astype(np.int64)
            else:
                corners = np.arange(len(points), dtype=np.int64)
            moved = points.astype(np.float64) @ placed[:3, :3].T + placed[:3, 3]
            faces.append(corners.reshape(-1, 3) + count)
            vertices.append(moved)
            count += len(points)
    if not vertices:
        raise ValueError("it holds no triangles")
    p = np.concatenate(vertices)
    return TriangleMesh(np.column_stack([p[:, 0], -p[:, 2], p[:, 1]]), np.concatenate(faces))


def _placed_nodes(document: dict[str, Any]) -> list[tuple[dict[str, Any], Points]]:
    """Every node with a mesh, and the matrix (4, 4) that places it."""
    nodes = document.get("nodes", [])
    scenes = document.get("scenes") or [{"nodes": range(len(nodes))}]
    waiting = [(index, np.eye(4), 0) for index in scenes[document.get("scene", 0)].get("nodes", [])]
    found = []
    while waiting:
        index, above, depth = waiting.pop()
        if depth > 100:
            raise ValueError("its nodes hang from one another in a circle")
        node = nodes[index]
        placed = above @ _matrix(node)
        if "mesh" in node:
            found.append((node, placed))
        waiting.extend((child, placed, depth + 1) for child in node.get("children", []))
    return found


def _matrix(node: dict[str, Any]) -> Points:
    if "matrix" in node:
        return np.array(node["matrix"], dtype=np.float64).reshape(4, 4).T
    placed = np.eye(4)
    x, y, z, w = node.get("rotation", (0.0, 0.0, 0.0, 1.0))
    placed[:3, :3] = [
        [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
        [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
        [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
    ]
    placed[:3, :3] *= np.array(node.get("scale", (1.0, 1.0, 1.0)))
    placed[:3, 3] = node.get("translation", (0.0, 0.0, 0.0))
    return placed


def _accessor(document: dict[str, Any], buffer: bytes, index: int) -> NDArray[Any]:
    """Values of an accessor, (n,) or (n, width)."""
    accessor = document["accessors"][index]
    if "sparse" in accessor or "bufferView" not in accessor:
        raise ValueError("it stores corners sparsely: save it plainly")
    view = document["bufferViews"][accessor["bufferView"]]
    if document["buffers"][view["buffer"]].get("uri"):
        raise ValueError("it keeps its data in another file: save it as one GLB")
    kind, width = np.dtype(_KINDS[accessor["componentType"]]), _WIDTHS[accessor["type"]]
    start = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
    stride = view.get("byteStride", kind.itemsize * width)
    count = accessor["count"]
    if start + stride * (count - 1) + kind.itemsize * width > len(buffer):
        raise ValueError("it ends too early")
    values = np.ndarray((count, width), kind, buffer, start, (stride, kind.itemsize))
    return values[:, 0] if width == 1 else values

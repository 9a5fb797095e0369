"""A body, what it wears and the lines on it as GLB, the binary form of glTF 2.0 (Khronos; ISO/IEC 12113).

glTF has y up, metres, and faces +z; the project has z up, millimetres, and the wearer faces -y. So a place
(x, y, z) [mm] becomes (x, z, -y) / 1000, a rotation, and left stays left.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]

FLOAT, UNSIGNED_INT = 5126, 5125
VERTICES, INDICES = 34962, 34963
LINES, TRIANGLES = 1, 4
SKIN_SHADE = (0.78, 0.76, 0.72, 1.0)
LINE_SHADE = (0.05, 0.05, 0.05, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surface:
    """A surface to show beside the body. name : of its node. shade : red, green, blue, opacity, linear,
    0 to 1 each; below 1 in opacity the body shows through.
    """

    name: str
    mesh: TriangleMesh
    shade: tuple[float, float, float, float]


def to_metres_y_up(places: Points) -> Points:
    """Project coordinates to glTF's, (n, 3) [mm] to (n, 3) [m]."""
    moved: Points = np.column_stack([places[:, 0], places[:, 2], -places[:, 1]]) / 1000.0
    return moved


def glb_of(
    mesh: TriangleMesh, lines: Mapping[str, Points], *, name: str = "body", worn: Sequence[Surface] = ()
) -> bytes:
    """A mesh in space, what lies over it and named polylines as one GLB file.

    mesh : (n, 3) vertices [mm]. lines : name to (m, 3) polyline [mm], at least two points each; repeat the
    first point to close one. worn : shown from both sides. Raises ValueError for a flat mesh or a line of
    one point.
    """
    if any(each.vertices.shape[1] != 3 for each in (mesh, *(surface.mesh for surface in worn))):
        raise ValueError("a GLB needs meshes in space")
    for line, places in lines.items():
        if len(places) < 2:
            raise ValueError(f"line {line!r} has fewer than two points")
    buffer = _Buffer()
    shades = list(dict.fromkeys(surface.shade for surface in worn))
    meshes: list[dict[str, Any]] = [{"name": name, "primitives": [buffer.add_mesh(mesh, 0)]}]
    for surface in worn:
        shaded = buffer.add_mesh(surface.mesh, 2 + shades.index(surface.shade))
        meshes.append({"name": surface.name, "primitives": [shaded]})
    for line, places in lines.items():
        # Pairs of points, which every viewer draws; few know line strips.
        pairs = np.repeat(places, 2, axis=0)[1:-1]
        segments = {"attributes": {"POSITION": buffer.add_places(pairs)}, "mode": LINES, "material": 1}
        meshes.append({"name": line, "primitives": [segments]})
    document = {
        "asset": {"version": "2.0", "generator": "layfigure"},
        "scene": 0,
        "scenes": [{"nodes": list(range(len(meshes)))}],
        "nodes": [{"name": entry["name"], "mesh": index} for index, entry in enumerate(meshes)],
        "meshes": meshes,
        "materials": [
            _material("skin", SKIN_SHADE),
            _material("line", LINE_SHADE),
            *(_material(f"cloth {number + 1}", shade, worn=True) for number, shade in enumerate(shades)),
        ],
        "accessors": buffer.accessors,
        "bufferViews": buffer.views,
        "buffers": [{"byteLength": len(buffer.content)}],
    }
    return _file(json.dumps(document, separators=(",", ":")).encode(), bytes(buffer.content))


class _Buffer:
    """The binary part, with the views and accessors that describe it."""

    def __init__(self) -> None:
        self.content = bytearray()
        self.views: list[dict[str, int]] = []
        self.accessors: list[dict[str, Any]] = []

    def add(self, values: NDArray[Any], kind: str, target: int) -> int:
        """Append an array (four bytes a number, so always aligned); returns its accessor."""
        data = values.tobytes()
        self.views.append(
            {"buffer": 0, "byteOffset": len(self.content), "byteLength": len(data), "target": target}
        )
        self.content += data
        component = UNSIGNED_INT if target == INDICES else FLOAT
        self.accessors.append(
            {
                "bufferView": len(self.views) - 1,
                "componentType": component,
                "count": len(values),
                "type": kind,
            }
        )
        return len(self.accessors) - 1

    def add_mesh(self, mesh: TriangleMesh, material: int) -> dict[str, Any]:
        """Append a mesh with its normals; returns the primitive that draws it."""
        normals = to_metres_y_up(vertex_normals(mesh) * 1000.0).astype("<f4")
        shading = self.add(normals, "VEC3", VERTICES)
        return {
            "attributes": {"POSITION": self.add_places(mesh.vertices), "NORMAL": shading},
            "indices": self.add(mesh.faces.astype("<u4").ravel(), "SCALAR", INDICES),
            "mode": TRIANGLES,
            "material": material,
        }

    def add_places(self, places: Points) -> int:
        """Append positions, with the bounds that glTF demands for them."""
        values = to_metres_y_up(places).astype("<f4")
        accessor = self.add(values, "VEC3", VERTICES)
        self.accessors[accessor] |= {"min": values.min(axis=0).tolist(), "max": values.max(axis=0).tolist()}
        return accessor


def vertex_normals(mesh: TriangleMesh) -> Points:
    """Unit normals at vertices, area-weighted; straight up where a vertex has no face, (n, 3)."""
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    weighted = np.repeat(np.cross(b - a, c - a), 3, axis=0)
    normals = np.zeros_like(mesh.vertices)
    np.add.at(normals, mesh.faces.ravel(), weighted)
    length = np.linalg.norm(normals, axis=1, keepdims=True)
    unit: Points = np.where(length > 0.0, normals / np.maximum(length, 1e-30), [0.0, 0.0, 1.0])
    return unit


def _material(name: str, shade: Sequence[float], *, worn: bool = False) -> dict[str, Any]:
    surface = {"baseColorFactor": list(shade), "metallicFactor": 0.0, "roughnessFactor": 0.9}
    material: dict[str, Any] = {"name": name, "pbrMetallicRoughness": surface}
    if worn:
        material["doubleSided"] = True
        if shade[3] < 1.0:
            material["alphaMode"] = "BLEND"
    return material


def _file(document: bytes, content: bytes) -> bytes:
    """Header and two chunks, each padded to four bytes: JSON with spaces, binary with zeros."""
    document += b" " * (-len(document) % 4)
    content += b"\0" * (-len(content) % 4)
    total = 12 + 8 + len(document) + 8 + len(content)
    return b"".join(
        [
            struct.pack("<4sII", b"glTF", 2, total),
            struct.pack("<I4s", len(document), b"JSON"),
            document,
            struct.pack("<I4s", len(content), b"BIN\0"),
            content,
        ]
    )

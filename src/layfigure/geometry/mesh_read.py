"""Reading a mesh from OBJ, STL, PLY or GLB: corners and triangles, in the file's own unit.

Sources: Wavefront OBJ as commonly documented; STL, ASCII and binary (80 bytes of header, a count, 50 bytes a
triangle); PLY 1.0 (G. Turk, 1994), ASCII and both binary byte orders; GLB, the binary form of glTF 2.0
(Khronos; ISO/IEC 12113).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np

from layfigure.errors import FileError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_glb import read_glb
from layfigure.geometry.mesh_obj import read_obj
from layfigure.geometry.mesh_ply import read_ply
from layfigure.geometry.mesh_stl import read_stl

READERS: dict[str, Callable[[bytes], TriangleMesh]] = {
    ".obj": read_obj,
    ".stl": read_stl,
    ".ply": read_ply,
    ".glb": read_glb,
}

LARGEST = 200_000_000
"""Files above this are refused [bytes]: no pattern needs them."""


def read_mesh(path: Path) -> TriangleMesh:
    """The mesh of a file, z up where the format says what is up.

    Raises FileError for a file that is missing, too large, of another kind, empty, or broken.
    """
    reader = READERS.get(path.suffix.lower())
    if reader is None:
        raise FileError(
            "a mesh is an OBJ, STL, PLY or GLB file.", where=path.name, advice="Save it as one of these."
        )
    if not path.is_file():
        raise FileError("there is no such mesh.", where=path.name, advice="Put it into the costume's folder.")
    if path.stat().st_size > LARGEST:
        raise FileError("the mesh is too large.", where=path.name, advice="Reduce its triangles first.")
    try:
        mesh = reader(path.read_bytes())
    except (ValueError, IndexError, KeyError, TypeError, OverflowError) as error:
        raise FileError(
            f"the mesh cannot be read: {error}.", where=path.name, advice="Save it again from where it came."
        ) from error
    if not len(mesh.faces):
        raise FileError("the mesh has no triangles.", where=path.name, advice="Save its surface, not lines.")
    if mesh.faces.min() < 0 or mesh.faces.max() >= len(mesh.vertices):
        raise FileError(
            "the mesh names corners that it does not have.", where=path.name, advice="Save it again."
        )
    if not np.isfinite(mesh.vertices).all():
        raise FileError("the mesh has corners nowhere.", where=path.name, advice="Save it again.")
    return mesh

"""A traced outline, from whichever file the maker has it in."""

from __future__ import annotations

from pathlib import Path

from layfigure.errors import FileError
from layfigure.files.drawn_path import DrawnPath


def read_traced(path: Path) -> tuple[DrawnPath, ...]:
    """Lines of an SVG or DXF drawing, or of a JSON file traced on a picture, in millimetres, y up.

    Raises FileError for a file that is missing, of another kind, or that cannot be used.
    """
    if not path.is_file():
        raise FileError(
            "there is no such tracing.", where=path.name, advice="Put it into the costume's folder."
        )
    suffix = path.suffix.lower()
    if suffix == ".svg":
        from layfigure.files.svg_paths import read_svg

        return read_svg(path)
    if suffix == ".dxf":
        from layfigure.files.dxf_paths import read_dxf

        return read_dxf(path)
    if suffix == ".json":
        from layfigure.files.traced_picture import read_traced_picture

        return read_traced_picture(path)
    raise FileError(
        "a tracing is an SVG, a DXF, or a JSON file traced on a picture.",
        where=path.name,
        advice="Save the drawing as plain SVG.",
    )

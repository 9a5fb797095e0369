"""Marks and truth of a drawn character written as the files a maker owns."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from benchmarks.study.costume import TrueEdge

from layfigure.design.marks import PictureMarks


def marks_text(marks: Sequence[PictureMarks], files: Mapping[str, str]) -> str:
    """``marks.json`` of these pictures. files : picture name to its file, relative to the marks."""
    pictures: list[dict[str, Any]] = []
    for picture in marks:
        edges: dict[str, list[dict[str, Any]]] = {}
        for edge in picture.edges:
            edges.setdefault(edge.slug, []).append(
                {
                    "points": np.round(edge.points, 1).tolist(),
                    "corners": sorted(edge.corners),
                    "closed": edge.closed,
                    "regions": list(edge.regions),
                }
            )
        entry: dict[str, Any] = {
            "name": picture.name,
            "view": picture.view,
            "file": files[picture.name],
            "size": list(picture.size),
        }
        if picture.yaw is not None:
            entry["yaw"] = f"{picture.yaw:g} deg"
        entry["landmarks"] = {name: np.round(place, 1).tolist() for name, place in picture.landmarks.items()}
        entry["outlines"] = [
            {"region": line.region, "points": np.round(line.points, 1).tolist(), "hidden": line.hidden}
            for line in picture.outlines
        ]
        entry["edges"] = edges
        pictures.append(entry)
    return _compact({"format": 1, "pictures": pictures})


def truth_text(costume: Sequence[TrueEdge], note: str) -> str:
    """``truth.json``: every edge as it truly runs on the character, in chart coordinates."""
    edges = {
        edge.slug: {
            "region": edge.region,
            "closed": edge.closed,
            "corners": list(edge.corners),
            "station": np.round(edge.station, 5).tolist(),
            "around": np.round(np.mod(edge.around, 1.0), 5).tolist(),
        }
        for edge in costume
    }
    return _compact({"note": note, "edges": edges})


def write_text(path: Path, text: str) -> None:
    """Write a file of the demonstration."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def _compact(data: dict[str, Any]) -> str:
    """JSON with one line for every short list, so that a change of one mark is one changed line."""
    import re

    text = json.dumps(data, indent=1)
    return re.sub(r"\[\s+(-?[\d.]+),\s+(-?[\d.]+)\s+\]", r"[\1, \2]", text) + "\n"

"""Walking the seams of exported pieces, knowing nothing but the file: an SVG or a DXF.

This is what a stranger would write from docs/exchange.md. Mates must have equal length from notch to notch,
notches of the same names in the same order, and must run in opposite directions. Run it as
``python -m layfigure.drawing.walk FILE``.
"""

from __future__ import annotations

import sys
import xml.etree.ElementTree as ET
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from ezdxf.entities.polyline import Polyline
from ezdxf.filemanagement import readfile
from numpy.typing import NDArray

from layfigure.geometry.polyline import arc_lengths, points_at

Points = NDArray[np.float64]

TOLERANCE = 0.05
"""Largest difference in length between mates, from notch to notch [mm]."""

FOUND = 0.02
"""How near to its edge a notch lies, and to its line an identity [mm]: twice what files round to."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ExportedEdge:
    """An edge as a stranger finds it.

    curve : (n, 2) stitch line [mm], counter-clockwise round the piece with y up.
    notches : name to place on the stitch line, (2,) [mm]. facts : what the file says of the edge.
    """

    piece: str
    edge: str
    curve: Points
    notches: Mapping[str, Points]
    facts: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """Something that will not sew. seam : its identity. what : the fault, in words."""

    seam: str
    what: str

    def __str__(self) -> str:
        return f"seam {self.seam}: {self.what}"


def read_svg(path: Path) -> list[ExportedEdge]:
    """Edges of an exported SVG."""
    found = []
    # The file is the maker's own, just written; it is not fetched from anywhere.
    for group in ET.parse(path).getroot().iter("{http://www.w3.org/2000/svg}g"):  # noqa: S314
        piece = group.get("data-piece")
        if piece is None:
            continue
        paths = [(_facts(p.attrib), _path_points(p.get("d", ""))) for p in group.iter() if p.get("d")]
        notches: dict[str, dict[str, list[Points]]] = {}
        for facts, stroke in paths:
            if "notch" in facts:
                notches.setdefault(facts["edge"], {}).setdefault(facts["notch"], []).append(
                    _foot(facts, stroke)
                )
        for facts, curve in paths:
            if "edge" in facts and "notch" not in facts:
                own = {name: _between(curve, feet) for name, feet in notches.get(facts["edge"], {}).items()}
                found.append(
                    ExportedEdge(piece=piece, edge=facts["edge"], curve=curve, notches=own, facts=facts)
                )
    return found


def read_dxf(path: Path) -> list[ExportedEdge]:
    """Edges of an exported DXF: sew lines and mirror lines, named by the text on their first point."""
    document = readfile(path)
    found = []
    for reference in document.modelspace().query("INSERT"):
        block = document.blocks[reference.dxf.name]
        names = [
            (_identity(text.dxf.text), np.array([text.dxf.insert.x, text.dxf.insert.y]))
            for text in block.query("TEXT")
        ]
        lines = [
            np.array([[v.dxf.location.x, v.dxf.location.y] for v in line.vertices])
            for line in block.query("POLYLINE")
            if isinstance(line, Polyline) and line.dxf.layer in ("14", "6")
        ]
        for facts, place in names:
            if "edge" not in facts or "notch" in facts:
                continue
            curve = next(line for line in lines if np.linalg.norm(line[0] - place) <= FOUND)
            own = {f["notch"]: at for f, at in names if f.get("notch") and f.get("edge") == facts["edge"]}
            found.append(
                ExportedEdge(
                    piece=reference.dxf.name, edge=facts["edge"], curve=curve, notches=own, facts=facts
                )
            )
    return found


def walk(edges: Sequence[ExportedEdge], *, tolerance: float = TOLERANCE) -> list[Fault]:
    """Every fault of every seam; an empty list when all of them sew."""
    faults: list[Fault] = []
    seams: dict[str, list[ExportedEdge]] = {}
    for edge in edges:
        if "seam" in edge.facts:
            seams.setdefault(edge.facts["seam"], []).append(edge)
    for seam, uses in seams.items():
        if len(uses) == 1:
            if uses[0].facts.get("cut") != "mirrored pair":
                faults.append(Fault(seam=seam, what=f"{_name(uses[0])} meets nothing"))
            continue
        if {use.facts.get("runs") for use in uses} != {"along", "against"}:
            faults.append(Fault(seam=seam, what="all its edges run the same way"))
        first = _stations(uses[0])
        for use in uses[1:]:
            faults.extend(
                Fault(seam=seam, what=f"{_name(uses[0])} and {_name(use)}: {what}")
                for what in _compare(first, _stations(use), tolerance)
            )
    faults.extend(
        Fault(seam=edge.facts.get("seam", "none"), what=f"{_name(edge)}: notch {name} is {off:.2f} mm off it")
        for edge in edges
        for name, off in _stray(edge)
    )
    return faults


def _stations(use: ExportedEdge) -> list[tuple[str, float]]:
    """Notches in the seam's own direction with their distance from its start, the whole length last [mm].

    Lengths are as sewn: an edge that is eased has been drawn in evenly.
    """
    along = arc_lengths(use.curve)
    drawn_in = 1.0 - float(use.facts.get("eased", "0")) / float(along[-1])
    placed = [(name, drawn_in * _along(use.curve, along, at)[0]) for name, at in use.notches.items()]
    whole = drawn_in * float(along[-1])
    if use.facts.get("runs") == "against":
        placed = [(name, whole - distance) for name, distance in placed]
    return [*sorted(placed, key=lambda notch: notch[1]), ("end", whole)]


def _compare(one: list[tuple[str, float]], other: list[tuple[str, float]], tolerance: float) -> list[str]:
    if [name for name, _ in one] != [name for name, _ in other]:
        missing = {name for name, _ in one} ^ {name for name, _ in other}
        return [
            f"notches differ: {', '.join(sorted(missing))}" if missing else "notches are in another order"
        ]
    found = []
    before = ("start", 0.0, 0.0)
    for (name, a), (_, b) in zip(one, other, strict=True):
        difference = (a - before[1]) - (b - before[2])
        if abs(difference) > tolerance:
            found.append(f"{before[0]} to {name} differs by {difference:+.2f} mm")
        before = (name, a, b)
    return found


def _stray(edge: ExportedEdge) -> list[tuple[str, float]]:
    along = arc_lengths(edge.curve)
    offs = [(name, _along(edge.curve, along, at)[1]) for name, at in edge.notches.items()]
    return [(name, off) for name, off in offs if off > FOUND]


def _along(curve: Points, along: Points, at: Points) -> tuple[float, float]:
    """Arc length of the nearest place on a curve, and how far off it is [mm]."""
    start, step = curve[:-1], np.diff(curve, axis=0)
    share = np.clip(
        np.einsum("ij,ij->i", at - start, step) / np.maximum(np.einsum("ij,ij->i", step, step), 1e-30), 0, 1
    )
    off = np.linalg.norm(start + share[:, None] * step - at, axis=1)
    nearest = int(off.argmin())
    length = along[nearest] + share[nearest] * (along[nearest + 1] - along[nearest])
    return float(length), float(off[nearest])


def _foot(facts: Mapping[str, str], stroke: Points) -> Points:
    """Where a notch's stroke meets the stitch line: it may stop short of it."""
    along = stroke[1] - stroke[0]
    foot: Points = stroke[0] - along * float(facts.get("short", "0")) / np.linalg.norm(along)
    return foot


def _between(curve: Points, feet: Sequence[Points]) -> Points:
    """The place of a notch from its strokes' feet: midway along the curve, for a double one has two.

    A foot off the curve stays off it, to be found as a fault.
    """
    if len(feet) == 1:
        return feet[0]
    along = arc_lengths(curve)
    found = [_along(curve, along, foot) for foot in feet]
    if max(off for _, off in found) > FOUND:
        middle: Points = np.mean(feet, axis=0)
        return middle
    place: Points = points_at(curve, [float(np.mean([distance for distance, _ in found]))])[0]
    return place


def _name(edge: ExportedEdge) -> str:
    return f"{edge.edge} of {edge.piece}"


def _facts(attributes: Mapping[str, str]) -> dict[str, str]:
    return {key[5:]: value for key, value in attributes.items() if key.startswith("data-")}


def _path_points(path: str) -> Points:
    numbers = path.replace("M", " ").replace("Z", " ").replace(",", " ").split()
    return np.array(numbers, dtype=np.float64).reshape(-1, 2) * [1.0, -1.0]


def _identity(text: str) -> dict[str, str]:
    """``EDGE side; SEAM leg_side`` as a dictionary; empty for other words."""
    parts = [part.split(" ", 1) for part in text.split("; ")]
    known = {"EDGE", "SEAM", "RUNS", "ROLE", "ALLOWANCE", "CUT", "NOTCH", "EASED"}
    return {part[0].lower(): part[1] for part in parts if len(part) == 2 and part[0] in known}


def main(arguments: Sequence[str] | None = None) -> int:
    """Walk the seams of a file and print every fault. Returns 1 if there is one."""
    (name,) = sys.argv[1:] if arguments is None else arguments
    path = Path(name)
    edges = read_dxf(path) if path.suffix.lower() == ".dxf" else read_svg(path)
    faults = walk(edges)
    for fault in faults:
        print(fault)
    seams = {edge.facts["seam"] for edge in edges if "seam" in edge.facts}
    print(f"{len(edges)} edges, {len(seams)} seams, {len(faults)} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())

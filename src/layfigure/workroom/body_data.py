"""A body and the lines on it as few bytes, for a page to draw.

A length (4 bytes, little-endian), a header in JSON of that length, then 16-bit whole numbers, three a point,
in steps of ``STEP``: the skin, and after it every line's points in the header's order.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

STEP = 0.1
"""Of a place [mm]: 16 bits reach 3.2 m to each side, and no eye sees a tenth of a millimetre."""


@dataclass(frozen=True, slots=True, eq=False)
class DrawnLine:
    """A line to draw. kind : a tape or an edge of the costume. points : (k, 3) [mm]."""

    name: str
    kind: Literal["tape", "edge"]
    points: Points
    closed: bool


def packed(skin: Points, lines: Iterable[DrawnLine], told: Mapping[str, Any]) -> bytes:
    """The bytes of a body (n, 3), its lines, and whatever else the header should tell."""
    lines = list(lines)
    header = {
        **told,
        "step": STEP,
        "points": len(skin),
        "lines": [
            {"name": line.name, "kind": line.kind, "closed": line.closed, "points": len(line.points)}
            for line in lines
        ],
    }
    text = json.dumps(header, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    places = np.concatenate([skin.reshape(-1, 3), *(line.points for line in lines)])
    whole = np.clip(np.rint(places / STEP), -32768, 32767).astype("<i2")
    return len(text).to_bytes(4, "little") + text + whole.tobytes()


def unpacked(data: bytes) -> tuple[dict[str, Any], Points, list[Points]]:
    """Header, skin (n, 3) and the points of every line [mm]: what the page does, for tests and scripts."""
    length = int.from_bytes(data[:4], "little")
    header = json.loads(data[4 : 4 + length])
    places = np.frombuffer(data[4 + length :], dtype="<i2").reshape(-1, 3) * header["step"]
    ends = np.cumsum([header["points"], *(line["points"] for line in header["lines"])])
    parts = np.split(places, ends[:-1])
    return header, parts[0], parts[1:]


def faces_packed(faces: NDArray[np.int64]) -> bytes:
    """Triangles (m, 3) as 32-bit whole numbers."""
    return faces.astype("<u4").tobytes()

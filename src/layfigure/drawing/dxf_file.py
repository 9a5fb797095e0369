r"""DXF as text: the few kinds of entity a pattern needs, in the release every cutter reads (R12, AC1009).

Written from the published DXF reference: a file is lines in pairs, a group code and its value. Places are
rounded to 0.001 mm. Letters beyond ASCII are written ``\U+00FC``, as the reference has it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Place = tuple[float, float]


@dataclass(slots=True)
class DxfBlock:
    """A named drawing and the text of its entities."""

    name: str
    entities: list[str] = field(default_factory=list)

    def polyline(self, points: Points, layer: str, *, closed: bool = False) -> None:
        """A polyline, (n, 2) [mm]."""
        self.entities.append(
            f"0\nPOLYLINE\n8\n{layer}\n66\n1\n70\n{int(closed)}\n10\n0.0\n20\n0.0\n30\n0.0\n"
        )
        self.entities.extend(f"0\nVERTEX\n8\n{layer}\n{place}" for place in _places(points))
        self.entities.append(f"0\nSEQEND\n8\n{layer}\n")

    def points(self, points: Points, layers: Sequence[str]) -> None:
        """Points, each on its own layer, (n, 2) [mm]."""
        self.entities.extend(
            f"0\nPOINT\n8\n{layer}\n{place}" for layer, place in zip(layers, _places(points), strict=True)
        )

    def text(
        self, words: str, at: Place, layer: str, *, height: float, angle: float = 0.0, middle: bool = False
    ) -> None:
        """One line of words: where its baseline starts, or its middle [mm]; angle [deg]."""
        place = f"10\n{_number(at[0])}\n20\n{_number(at[1])}\n"
        self.entities.append(
            f"0\nTEXT\n8\n{layer}\n{place}40\n{_number(height)}\n1\n{_escaped(words)}\n50\n{angle:.4g}\n"
        )
        if middle:
            self.entities.append(f"72\n1\n11\n{_number(at[0])}\n21\n{_number(at[1])}\n")


def dxf_text(
    blocks: Iterable[tuple[DxfBlock, Place]],
    layers: Mapping[str, str],
    dashes: Mapping[str, Sequence[float]],
) -> str:
    """A whole file: each block inserted once, at its place, in millimetres.

    layers : name to the name of its line type. dashes : line type to lengths on and off in turn [mm].
    """
    blocks = list(blocks)
    parts = [
        "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n9\n$INSUNITS\n70\n4\n9\n$MEASUREMENT\n70\n1\n",
        "9\n$LTSCALE\n40\n1.0\n0\nENDSEC\n0\nSECTION\n2\nTABLES\n",
        f"0\nTABLE\n2\nLTYPE\n70\n{len(dashes) + 1}\n",
        "0\nLTYPE\n2\nCONTINUOUS\n70\n0\n3\nsolid\n72\n65\n73\n0\n40\n0.0\n",
        *(_line_type(name, lengths) for name, lengths in dashes.items()),
        f"0\nENDTAB\n0\nTABLE\n2\nLAYER\n70\n{len(layers) + 1}\n",
        *(
            f"0\nLAYER\n2\n{name}\n70\n0\n62\n7\n6\n{line_type}\n"
            for name, line_type in [("0", "CONTINUOUS"), *layers.items()]
        ),
        "0\nENDTAB\n0\nTABLE\n2\nSTYLE\n70\n1\n",
        "0\nSTYLE\n2\nSTANDARD\n70\n0\n40\n0.0\n41\n1.0\n50\n0.0\n71\n0\n42\n2.5\n3\ntxt\n4\n\n",
        "0\nENDTAB\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n",
    ]
    for block, _ in blocks:
        parts.append(
            f"0\nBLOCK\n8\n0\n2\n{block.name}\n70\n0\n10\n0.0\n20\n0.0\n30\n0.0\n3\n{block.name}\n1\n\n"
        )
        parts.extend(block.entities)
        parts.append("0\nENDBLK\n8\n0\n")
    parts.append("0\nENDSEC\n0\nSECTION\n2\nENTITIES\n")
    parts.extend(
        f"0\nINSERT\n8\n0\n2\n{block.name}\n10\n{_number(x)}\n20\n{_number(y)}\n30\n0.0\n"
        for block, (x, y) in blocks
    )
    parts.append("0\nENDSEC\n0\nEOF\n")
    return "".join(parts)


def _line_type(name: str, lengths: Sequence[float]) -> str:
    dashes = "".join(f"49\n{length if k % 2 == 0 else -length:g}\n" for k, length in enumerate(lengths))
    return f"0\nLTYPE\n2\n{name}\n70\n0\n3\n\n72\n65\n73\n{len(lengths)}\n40\n{sum(lengths):g}\n{dashes}"


def _places(points: Points) -> list[str]:
    # Adding zero turns a negative zero into a plain one.
    rounded = (np.round(points, 3) + 0.0).tolist()
    return [f"10\n{x}\n20\n{y}\n" for x, y in rounded]


def _number(value: float) -> str:
    return str(round(value, 3) + 0.0)


def _escaped(words: str) -> str:
    return "".join(letter if ord(letter) < 128 else f"\\U+{ord(letter):04X}" for letter in words)

"""Cloth that hangs on random bodies: what is refused, how level hems are, how seams meet, what works badly.

On each body: a half-circle, a pleated and an elastic skirt, a quarter-circle cape with collar
and hood, a back banner with artwork, a front panel from a slanted line, a sash and a brush roll on the belt.

    python -m benchmarks.hanging --bodies 200
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from functools import partial

import numpy as np
from benchmarks._random_bodies import draft_on, measure
from shapely import Polygon

from layfigure.body.chart import ChartPoint
from layfigure.design.design import DesignEdge, EdgePoint
from layfigure.draft.circular.worn import ROWS
from layfigure.draft.registry import DraftResult, find_kind
from layfigure.materials.cloth import Cloth

WOOL = Cloth(
    slug="wool", kind="woven", name="wool", width=1500.0, areal_mass=300.0, thickness=0.9, tested=True
)


def line(
    region: str, station: float, first: float = 0.0, last: float = 1.0, slant: float = 0.0
) -> DesignEdge:
    closed = last - first >= 1.0
    share = np.arange(16) / 16.0 if closed else np.linspace(0.0, 1.0, 9)
    return DesignEdge(
        slug=f"{region}_{station}_{first}",
        closed=closed,
        points=tuple(
            EdgePoint(
                at=ChartPoint(
                    region=region,
                    station=station + slant * float(s),
                    around=float((first + s * (last - first)) % 1.0),
                )
            )
            for s in share
        ),
    )


BRUSHES = [{"name": "brush", "count": 8, "length": "200 mm", "diameter": "8 mm"}]
ART = {"motif": "swirl", "order": 7}
CASES = {
    "half-circle skirt": ("circular", {"top": line("torso", 3.0)}, {"hem_height": "35 cm"}),
    "pleated skirt": (
        "circular",
        {"top": line("torso", 3.0)},
        {
            "circle": "straight",
            "pleats": "knife",
            "pleat_count": 16,
            "pleat_depth": "20 mm",
            "length": "40 cm",
        },
    ),
    "elastic skirt": ("circular", {"top": line("torso", 3.2)}, {"top_finish": "elastic", "length": "40 cm"}),
    "quarter-circle cape": (
        "circular",
        {"top": line("neck", 1.0)},
        {"use": "cape", "circle": "quarter", "hem_height": "30 cm", "hood": True},
    ),
    "back banner": (
        "hanging",
        {"top": line("torso", 0.5, 0.38, 0.62)},
        {"form": "banner", "width": "32 cm", "hem_height": "60 cm", "hem": "swallowtail", "artwork": ART},
    ),
    "front panel": (
        "hanging",
        {"top": line("torso", 3.5, 0.9, 1.1, 0.2)},
        {"hem_height": "40 cm", "hem": "point", "flare": 1.3},
    ),
    "sash": ("hanging", {"top": line("torso", 3.2)}, {"form": "sash", "hem": "points"}),
    "brush roll": ("pouch", {"line": line("torso", 3.5)}, {"form": "roll", "contents": BRUSHES}),
}


def seam_difference(result: DraftResult) -> float:
    """Greatest difference in length between edges of one seam [mm]."""
    lengths: dict[str, list[float]] = defaultdict(list)
    for piece in result.pieces:
        for edge in piece.edges:
            if edge.seam is not None:
                lengths[edge.seam].append(edge.length)
    return max((max(each) - min(each) for each in lengths.values()), default=0.0)


def numbers(result: DraftResult) -> dict[str, float]:
    """What is summed up of every result."""
    found = {
        "seam mismatch [mm]": seam_difference(result),
        "outlines that cross themselves": float(
            sum(not Polygon(piece.stitch_line).is_valid for piece in result.pieces)
        ),
    }
    if result.pieces[0].kind == "circular" and result.worn:
        # Every column of the worn cloth ends at the hem.
        hem = result.worn[0].mesh.vertices.reshape(-1, ROWS + 1, 3)[:, -1, 2]
        found["hem off its level, as worn [mm]"] = float(np.ptp(hem)) / 2.0
    return found


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--bodies", type=int, default=200)
    parser.add_argument("--seed", type=int, default=20)
    asked = parser.parse_args()
    cases = {
        name: partial(draft_on, kind=find_kind(kind), cloth=WOOL, edges=edges, options=options, side="middle")
        for name, (kind, edges, options) in CASES.items()
    }
    measure("hanging", asked.bodies, asked.seed, cases, numbers)


if __name__ == "__main__":
    main()

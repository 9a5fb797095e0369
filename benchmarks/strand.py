"""Strands on random bodies: chain swags on a cross-body strap, beads round the chest.

python -m benchmarks.strand --bodies 200
"""

from benchmarks._random_bodies import command, draft_on

from layfigure.body.chart import ChartPoint
from layfigure.design.design import DesignEdge, EdgePoint
from layfigure.draft.strand.kind import KIND
from layfigure.materials.cloth import Cloth

CARD = Cloth(slug="card", kind="paper", name="card", width=700.0, areal_mass=200.0, tested=True)
CHEST = DesignEdge(
    slug="chest",
    closed=True,
    points=tuple(EdgePoint(at=ChartPoint(region="torso", station=2.0, around=k / 8)) for k in range(8)),
)
CASES = {
    "chain on a cross-body strap": ({}, {"swags": 4, "slack": "8 %"}),
    "beads round the chest": ({"line": CHEST}, {"made_of": "beads", "lies": "on_body"}),
}


def numbers(result):
    return {
        "hangs_mm": result.checks[0].value,
        "counted": float(result.items[0].count),
        "way_mm": result.pieces[0].totals[0].length,
    }


def main() -> None:
    command(
        "strand",
        __doc__,
        13,
        {
            name: lambda form, e=edges, o=options: draft_on(form, KIND, CARD, e, o, side="middle")
            for name, (edges, options) in CASES.items()
        },
        numbers,
    )


if __name__ == "__main__":
    main()

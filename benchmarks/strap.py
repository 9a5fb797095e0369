"""Cross-body straps and a chest strap on random bodies: refusals, turns, friction, how far edges stand off.

python -m benchmarks.strap --bodies 200
"""

from benchmarks._random_bodies import command, draft_on, values_said

from layfigure.body.chart import ChartPoint
from layfigure.design.design import DesignEdge, EdgePoint
from layfigure.draft.strap.kind import KIND
from layfigure.materials.cloth import Cloth

LEATHER = Cloth(
    slug="leather",
    kind="leather",
    name="leather",
    width=1200.0,
    areal_mass=2400.0,
    thickness=3.0,
    tested=True,
)
CHEST = DesignEdge(
    slug="chest",
    closed=True,
    points=tuple(EdgePoint(at=ChartPoint(region="torso", station=2.0, around=k / 8)) for k in range(8)),
)
CASES = {
    "across the body, left shoulder": ({}, {"over": "left", "carries": "1.2 kg"}),
    "across the body, right shoulder, sewn": ({}, {"over": "right", "fastening": "sewn"}),
    "round the chest": ({"line": CHEST}, {}),
}


def numbers(result):
    values = values_said(result)

    def find(words):
        return next(value for what, value in values.items() if words in what)

    return {
        "edges_off_p95_mm": find("edges stand off"),
        "poke_mm": find("stands out"),
        "turn_degrees": find("turns sideways"),
        "pull_over_friction": find("friction holds"),
    }


def main() -> None:
    command(
        "strap",
        __doc__,
        12,
        {
            name: lambda form, e=edges, o=options: draft_on(form, KIND, LEATHER, e, o, side="middle")
            for name, (edges, options) in CASES.items()
        },
        numbers,
    )


if __name__ == "__main__":
    main()

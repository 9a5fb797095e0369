"""Gloves on random bodies: refusals, mates, room for the fingers, outlines that cross.

python -m benchmarks.glove --bodies 200
"""

from benchmarks._random_bodies import command, draft_on, values_said

from layfigure.body.chart import ChartPoint
from layfigure.design.design import DesignEdge, EdgePoint
from layfigure.draft.glove.kind import KIND
from layfigure.materials.cloth import Cloth

LEATHER = Cloth(
    slug="leather", kind="leather", name="leather", width=900.0, areal_mass=500.0, thickness=0.8, tested=True
)
KNIT = Cloth(
    slug="knit",
    kind="knit",
    name="knit",
    width=1500.0,
    areal_mass=200.0,
    stretch_across=0.6,
    stretch_along=0.5,
    tested=True,
)
WOVEN = Cloth(slug="woven", kind="woven", name="woven", width=1500.0, areal_mass=200.0, tested=True)
CUFF = DesignEdge(
    slug="cuff",
    closed=True,
    points=tuple(
        EdgePoint(at=ChartPoint(region="forearm_left", station=0.4, around=k / 8)) for k in range(8)
    ),
)
CASES = {
    "gauntlet, thin leather": (LEATHER, {"cuff": CUFF}, {"style": "gauntlet"}),
    "full, knit": (KNIT, {}, {"style": "full"}),
    "fingerless, woven": (WOVEN, {}, {"style": "fingerless"}),
}


def numbers(result):
    values = values_said(result)

    def find(words):
        return next(value for what, value in values.items() if words in what)

    return {
        "mates_mm": find("joined differ"),
        "finger_stretch": find("round a finger"),
        "slot_mm": find("between two fingers"),
        "crossed_outlines": find("cross themselves"),
        "hand_over_opening": find("narrowest part passes"),
    }


def main() -> None:
    command(
        "glove",
        __doc__,
        11,
        {
            name: lambda form, c=cloth, e=edges, o=options: draft_on(form, KIND, c, e, o)
            for name, (cloth, edges, options) in CASES.items()
        },
        numbers,
    )


if __name__ == "__main__":
    main()

"""Close knits and stiff wraps on random bodies that sit: refusals, seams, gaps.

python -m benchmarks.seated --bodies 200
"""

from functools import partial

from benchmarks._random_bodies import check_numbers, command, draft_on, placed_line, usual_numbers

from layfigure.draft.knit.kind import KIND as KNIT
from layfigure.draft.registry import DraftResult
from layfigure.draft.wrap.kind import KIND as WRAP
from layfigure.materials.cloth import Cloth

JERSEY = Cloth(
    slug="jersey",
    kind="knit",
    name="jersey",
    width=1500.0,
    areal_mass=220.0,
    stretch_across=0.6,
    stretch_along=0.5,
    tested=True,
)
FOAM = Cloth(
    slug="foam", kind="foam", name="foam", width=1000.0, areal_mass=500.0, thickness=5.0, tested=True
)
CASES = {
    "knit leggings": (KNIT, JERSEY, {}, {"garment": "leggings"}, "both"),
    "knit bodysuit": (KNIT, JERSEY, {}, {"garment": "bodysuit"}, "both"),
    "knit top": (KNIT, JERSEY, {}, {"garment": "top"}, "both"),
    "wrap on the shank": (
        WRAP,
        FOAM,
        {
            "bottom": placed_line("b", "shank_left", 0.9),
            "top": placed_line("t", "shank_left", 0.18, point=0.12),
        },
        {},
        "left",
    ),
    "wrap on the thigh": (
        WRAP,
        FOAM,
        {"bottom": placed_line("b", "thigh_left", 0.8), "top": placed_line("t", "thigh_left", 0.5)},
        {"cover": "50 %"},
        "left",
    ),
}
TOLD = {"gap p95 [mm]": "stands off the body", "poke [mm]": "stands out of the sheet"}


def numbers(result: DraftResult) -> dict[str, float]:
    return usual_numbers(result) | check_numbers(result, TOLD)


def main() -> None:
    cases = {
        name: partial(draft_on, kind=kind, cloth=cloth, edges=edges, options=options, side=side)
        for name, (kind, cloth, edges, options, side) in CASES.items()
    }
    command("seated", __doc__, 27, cases, numbers, seated=True)


if __name__ == "__main__":
    main()

"""Straight and contour belts on random bodies, with a lining and a drop: edges that stand away, girths.

Slung belts are in ``wrap.py``.

    python -m benchmarks.belt --bodies 200
"""

from functools import partial

from benchmarks._random_bodies import check_numbers, command, draft_on, placed_line, usual_numbers

from layfigure.draft.belt.kind import KIND
from layfigure.draft.registry import DraftResult
from layfigure.materials.cloth import Cloth

LEATHER = Cloth(
    slug="leather", kind="leather", name="leather", width=900.0, areal_mass=2000.0, thickness=3.0, tested=True
)
CASES = {
    "straight, waist": (3.0, {"shape": "straight", "width": "40 mm"}),
    "contour, waist": (3.0, {"shape": "contour", "width": "60 mm", "lining": True}),
    "straight, hips": (3.6, {"shape": "straight", "width": "40 mm"}),
    "contour, hips": (3.6, {"shape": "contour", "width": "60 mm", "fastening": "hook_and_loop"}),
}
TOLD = {"one edge stands away [mm]": "one edge stands away", "gap p95 [mm]": "stands off the body"}


def numbers(result: DraftResult) -> dict[str, float]:
    return usual_numbers(result) | check_numbers(result, TOLD)


def main() -> None:
    cases = {
        name: partial(
            draft_on,
            kind=KIND,
            cloth=LEATHER,
            edges={"line": placed_line("line", "torso", station)},
            options=options,
            side="middle",
            stack=1.0,
        )
        for name, (station, options) in CASES.items()
    }
    command("belt", __doc__, 21, cases, numbers)


if __name__ == "__main__":
    main()

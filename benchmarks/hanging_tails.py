"""Tails and panels between two placed lines on random bodies. Other hanging pieces are in ``hanging.py``.

python -m benchmarks.hanging_tails --bodies 200
"""

from functools import partial

from benchmarks._random_bodies import command, draft_on, placed_line, usual_numbers

from layfigure.draft.hanging.kind import KIND
from layfigure.materials.cloth import Cloth

WOOL = Cloth(
    slug="wool", kind="woven", name="wool", width=1500.0, areal_mass=300.0, thickness=0.9, tested=True
)
CASES = {
    "coat tail at the back": (
        placed_line("top", "torso", 3.0, first=0.42, last=0.58),
        placed_line("bottom", "thigh_left", 0.8, first=0.4, last=0.6),
        {"form": "tail", "flare": 1.2},
    ),
    "tail at the front, its tip below the knee": (
        placed_line("top", "torso", 3.3, first=0.94, last=1.06),
        placed_line("bottom", "shank_left", 0.3, first=0.9, last=1.1),
        {"form": "tail", "hem_depth": "12 cm"},
    ),
    "swallowtail at the back": (
        placed_line("top", "torso", 3.0, first=0.4, last=0.6),
        placed_line("bottom", "shank_left", 0.1, first=0.4, last=0.6),
        {"form": "panel", "hem": "swallowtail", "carried": "sewn"},
    ),
}


def main() -> None:
    cases = {
        name: partial(
            draft_on,
            kind=KIND,
            cloth=WOOL,
            edges={"top": top, "bottom": bottom},
            options=options,
            side="middle",
        )
        for name, (top, bottom, options) in CASES.items()
    }
    command("hanging_tails", __doc__, 23, cases, usual_numbers)


if __name__ == "__main__":
    main()

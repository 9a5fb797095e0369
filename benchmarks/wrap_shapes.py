"""Lattices, wraps over a joint, neck collars and waist wraps on random bodies. Others are in ``wrap.py``.

python -m benchmarks.wrap_shapes --bodies 200
"""

from functools import partial

from benchmarks._random_bodies import check_numbers, command, draft_on, placed_line, usual_numbers

from layfigure.draft.registry import DraftResult
from layfigure.draft.wrap.kind import KIND
from layfigure.materials.cloth import Cloth

FOAM = Cloth(
    slug="foam", kind="foam", name="foam", width=1000.0, areal_mass=500.0, thickness=5.0, tested=True
)
LEATHER = Cloth(
    slug="leather", kind="leather", name="leather", width=900.0, areal_mass=800.0, thickness=2.0, tested=True
)
THIGH = {"bottom": placed_line("b", "thigh_left", 0.85), "top": placed_line("t", "thigh_left", 0.35)}
FOREARM = {"bottom": placed_line("b", "forearm_left", 0.95), "top": placed_line("t", "forearm_left", 0.25)}
COLLAR = {"bottom": placed_line("b", "neck", 0.9), "top": placed_line("t", "neck", 0.4)}
CASES = {
    "lattice in one piece, thigh": (LEATHER, THIGH, {"lattice": {"bands": 3, "points": 6}}),
    "lattice cut apart, forearm": (
        LEATHER,
        FOREARM,
        {"lattice": {"bands": 4, "points": 5, "joined": "separate"}},
    ),
    "lattice linked by elastic, thigh": (
        LEATHER,
        THIGH,
        {"lattice": {"bands": 3, "points": 6, "joined": "elastic"}},
    ),
    "over the wrist": (
        FOAM,
        {"bottom": placed_line("b", "hand_left", 0.9), "top": placed_line("t", "forearm_left", 0.3)},
        {},
    ),
    "over the knee": (
        FOAM,
        {"bottom": placed_line("b", "shank_left", 0.8), "top": placed_line("t", "thigh_left", 0.6)},
        {},
    ),
    "over the elbow": (
        FOAM,
        {"bottom": placed_line("b", "forearm_left", 0.7), "top": placed_line("t", "upper_arm_left", 0.4)},
        {},
    ),
    "neck collar": (LEATHER, COLLAR, {}),
    "waist wrap": (
        LEATHER,
        {"bottom": placed_line("b", "torso", 3.4), "top": placed_line("t", "torso", 2.7)},
        {"join": "lacing"},
    ),
}
TOLD = {
    "poke [mm]": "stands out of the sheet",
    "gap p95 [mm]": "stands off the body",
    "mates [mm]": "edges that are joined",
}


def numbers(result: DraftResult) -> dict[str, float]:
    return usual_numbers(result) | check_numbers(result, TOLD)


def main() -> None:
    cases = {
        name: partial(draft_on, kind=KIND, cloth=cloth, edges=edges, options=options, stack=1.0)
        for name, (cloth, edges, options) in CASES.items()
    }
    command("wrap_shapes", __doc__, 24, cases, numbers)


if __name__ == "__main__":
    main()

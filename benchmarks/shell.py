"""Domes, caps, cups, helms and horns on random bodies: refusals, stretch, joins, room, rim.

python -m benchmarks.shell --bodies 200
"""

import argparse

from benchmarks._random_bodies import draft_on, measure, values_said

from layfigure.draft.shell.kind import KIND
from layfigure.materials.cloth import Cloth

FOAM = Cloth(
    slug="foam", kind="foam", name="foam", width=1000.0, areal_mass=500.0, thickness=5.0, tested=True
)
CASES = {
    "knee dome": {"over": "knee"},
    "elbow dome": {"over": "elbow"},
    "shoulder cap": {"over": "shoulder"},
    "cup": {"shape": "cup"},
    "brimmed helm with crest": {"shape": "helm", "brim": "80 mm", "crest": "50 mm"},
    "helm with face opening": {
        "shape": "helm",
        "face_width": "150 mm",
        "rim_sides": "-60 mm",
        "rim_back": "-70 mm",
    },
    "spiral horn": {
        "shape": "horn",
        "length": "30 cm",
        "base": "55 mm",
        "turns": 1.5,
        "coil": "45 mm",
        "curl": "40 deg",
        "root_up": "85 %",
    },
}
NUMBERS = {
    "stretch_p95_percent": "but for # % of its area",
    "stretch_max_percent": "at the worst place",
    "mates_mm": "joined differ",
    "crossed_outlines": "cross themselves",
    "body_out_mm": "stands out of it",
    "rim_off_mm": "its rim stands off",
    "opening": "passes through its opening",
}


def numbers(result):
    values = values_said(result)
    found = {"pieces": float(len(result.pieces))}
    for name, words in NUMBERS.items():
        found.update((name, value) for what, value in values.items() if words in what)
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--bodies", type=int, default=200)
    parser.add_argument("--seed", type=int, default=7)
    arguments = parser.parse_args()
    cases = {
        name: lambda form, options=options: draft_on(form, KIND, FOAM, {}, options)
        for name, options in CASES.items()
    }
    measure("shell", arguments.bodies, arguments.seed, cases, numbers)


if __name__ == "__main__":
    main()

"""Hoods and stand collars of stretch cloth on random bodies, drafted whole. Other knits are in ``knit.py``.

python -m benchmarks.knit_upper --bodies 200
"""

from functools import partial

from benchmarks._random_bodies import command, draft_on, usual_numbers

from layfigure.draft.knit.kind import KIND
from layfigure.materials.cloth import Cloth

KNIT = Cloth(
    slug="knit",
    kind="knit",
    name="knit",
    width=1500.0,
    areal_mass=220.0,
    stretch_across=0.6,
    stretch_along=0.5,
    tested=True,
)
CASES = {
    "hood": {"garment": "hood"},
    "hood with a narrow face": {"garment": "hood", "face_width": "12 cm"},
    "top with stand collar and zip": {"garment": "top", "neckline": "stand", "closure": True},
}


def main() -> None:
    cases = {
        name: partial(draft_on, kind=KIND, cloth=KNIT, edges={}, options=options, side="both")
        for name, options in CASES.items()
    }
    command("knit_upper", __doc__, 25, cases, usual_numbers)


if __name__ == "__main__":
    main()

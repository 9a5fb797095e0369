"""Box and flat pouches on the belt of random bodies: seams that meet, what fits. Rolls are in ``hanging.py``.

python -m benchmarks.pouch --bodies 200
"""

from functools import partial

import numpy as np
from benchmarks._random_bodies import command, draft_on, placed_line, usual_numbers

from layfigure.body.form import Form
from layfigure.draft.pouch.kind import KIND
from layfigure.draft.registry import DraftResult
from layfigure.materials.cloth import Cloth

LEATHER = Cloth(
    slug="leather", kind="leather", name="leather", width=900.0, areal_mass=900.0, thickness=1.5, tested=True
)
CANVAS = Cloth(slug="canvas", kind="woven", name="canvas", width=1500.0, areal_mass=350.0, tested=True)
SEED = 22


def case(form: Form, shape: str, cloth: Cloth, draw: np.random.Generator) -> DraftResult:
    """A pouch for things of random size, one to six of them."""
    contents = [
        {
            "name": f"thing {number}",
            "count": int(draw.integers(1, 4)),
            "length": f"{draw.uniform(40.0, 180.0):.0f} mm",
            **(
                {"diameter": f"{draw.uniform(8.0, 60.0):.0f} mm"}
                if draw.random() < 0.5
                else {
                    "width": f"{draw.uniform(20.0, 90.0):.0f} mm",
                    "thickness": f"{draw.uniform(3.0, 30.0):.0f} mm",
                }
            ),
        }
        for number in range(int(draw.integers(1, 4)))
    ]
    options = {"form": shape, "contents": contents}
    line = placed_line("line", "torso", 3.4)
    return draft_on(form, KIND, cloth, {"line": line}, options, side="middle")


def numbers(result: DraftResult) -> dict[str, float]:
    below = any("hangs below the belt" in line for line in result.pieces[0].note)
    return usual_numbers(result) | {"hang below the belt": float(below)}


def main() -> None:
    draw = np.random.default_rng(SEED)
    cases = {
        "box, leather": partial(case, shape="box", cloth=LEATHER, draw=draw),
        "box, canvas": partial(case, shape="box", cloth=CANVAS, draw=draw),
        "flat, leather": partial(case, shape="flat", cloth=LEATHER, draw=draw),
        "flat, canvas": partial(case, shape="flat", cloth=CANVAS, draw=draw),
    }
    command("pouch", __doc__, SEED, cases, numbers)


if __name__ == "__main__":
    main()

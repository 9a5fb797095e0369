"""Owned patterns and printed parts on random bodies: refusals, what no seam bears, how true an alteration is.

python -m benchmarks.owned --bodies 200

Size tables go by the steps of EN 13402-3 for women (from memory), for bodies of men too. The
wearer's measures are read off the body. Shirt and trousers are plain blocks of size 42, traced.
"""

from collections.abc import Mapping, Sequence
from functools import partial

from benchmarks._random_bodies import check_numbers, command, draft_on, placed_line, usual_numbers
from benchmarks.seated import JERSEY

from layfigure.body.form import Form
from layfigure.design.design import Trace
from layfigure.draft.base.kind import KIND as BASE
from layfigure.draft.found.kind import KIND as FOUND
from layfigure.draft.registry import DraftResult
from layfigure.files.svg_paths import svg_paths
from layfigure.materials.cloth import Cloth

CALICO = Cloth(slug="calico", kind="woven", name="calico", width=1500.0, areal_mass=150.0, tested=True)
GIRTHS = {
    "34": (80, 64, 88),
    "36": (84, 68, 92),
    "38": (88, 72, 96),
    "40": (92, 76, 100),
    "42": (96, 80, 104),
    "44": (100, 84, 108),
    "46": (104, 88, 112),
    "48": (110, 94, 117),
    "50": (116, 100, 122),
    "52": (122, 106, 127),
    "54": (128, 112, 132),
}
"""Bust, waist and hip [cm] of every size."""
ALL = ("bust_girth", "waist_girth", "hip_girth")

UPPER = {"nape_to_waist": 410.0, "arm_length": 590.0, "wrist_girth": 165.0}
LOWER = {"crotch_height": 780.0, "knee_girth": 370.0, "ankle_girth": 240.0}
"""The same for every size [mm]."""

SHIRT = """<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="700mm" viewBox="0 0 900 700">
<path id="front" d="M10 10 L140 10 L250 150 L210 350 L270 550 L270 650 L10 650 Z"/>
<line id="centre front" x1="10" y1="20" x2="10" y2="640"/>
<line id="bust" x1="12" y1="150" x2="240" y2="150"/>
<line id="waist" x1="12" y1="350" x2="200" y2="350"/>
<line id="hip" x1="12" y1="550" x2="260" y2="550"/>
<path id="back" d="M310 10 L440 10 L550 150 L510 350 L570 550 L570 650 L310 650 Z"/>
<line id="centre back" x1="310" y1="20" x2="310" y2="640"/>
<line id="bust" x1="312" y1="150" x2="540" y2="150"/>
<line id="waist" x1="312" y1="350" x2="500" y2="350"/>
<line id="hip" x1="312" y1="550" x2="560" y2="550"/>
<path id="sleeve" d="M720 10 L880 130 L840 380 L810 640 L630 640 L600 380 L560 130 Z"/>
<line id="centre sleeve" x1="720" y1="30" x2="720" y2="630"/>
<line id="shoulder point" x1="710" y1="40" x2="730" y2="40"/>
<line id="elbow" x1="620" y1="350" x2="820" y2="350"/>
<line id="wrist" x1="640" y1="620" x2="800" y2="620"/>
</svg>"""

CLOSE_SHIRT = """<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="700mm" viewBox="0 0 900 700">
<path id="front" d="M10 10 L130 10 L214 150 L180 350 L231 550 L231 650 L10 650 Z"/>
<line id="centre front" x1="10" y1="20" x2="10" y2="640"/>
<line id="bust" x1="12" y1="150" x2="200" y2="150"/>
<line id="waist" x1="12" y1="350" x2="170" y2="350"/>
<line id="hip" x1="12" y1="550" x2="220" y2="550"/>
<path id="back" d="M310 10 L430 10 L514 150 L480 350 L531 550 L531 650 L310 650 Z"/>
<line id="centre back" x1="310" y1="20" x2="310" y2="640"/>
<line id="bust" x1="312" y1="150" x2="500" y2="150"/>
<line id="waist" x1="312" y1="350" x2="470" y2="350"/>
<line id="hip" x1="312" y1="550" x2="520" y2="550"/>
<path id="sleeve" d="M720 10 L860 130 L830 380 L790 640 L650 640 L610 380 L580 130 Z"/>
<line id="centre sleeve" x1="720" y1="30" x2="720" y2="630"/>
<line id="shoulder point" x1="710" y1="40" x2="730" y2="40"/>
<line id="elbow" x1="640" y1="350" x2="810" y2="350"/>
<line id="wrist" x1="660" y1="620" x2="780" y2="620"/>
</svg>"""

TROUSERS = """<svg xmlns="http://www.w3.org/2000/svg" width="700mm" height="1100mm" viewBox="0 0 700 1100">
<path id="front" d="M60 10 L258 10 L320 220 L270 620 L230 1040 L110 1040 L85 620 L10 290 Z"/>
<line id="centre front" x1="60" y1="20" x2="60" y2="280"/>
<line id="centre leg" x1="170" y1="20" x2="170" y2="1030"/>
<line id="waist" x1="70" y1="15" x2="250" y2="15"/>
<line id="hip" x1="40" y1="220" x2="310" y2="220"/>
<line id="crotch" x1="30" y1="290" x2="280" y2="290"/>
<line id="knee" x1="90" y1="620" x2="250" y2="620"/>
<line id="ankle" x1="115" y1="1020" x2="225" y2="1020"/>
<path id="back" d="M410 10 L608 10 L670 220 L620 620 L580 1040 L460 1040 L435 620 L360 290 Z"/>
<line id="centre back" x1="410" y1="20" x2="410" y2="280"/>
<line id="centre leg" x1="520" y1="20" x2="520" y2="1030"/>
<line id="waist" x1="420" y1="15" x2="600" y2="15"/>
<line id="hip" x1="390" y1="220" x2="660" y2="220"/>
<line id="crotch" x1="380" y1="290" x2="630" y2="290"/>
<line id="knee" x1="440" y1="620" x2="600" y2="620"/>
<line id="ankle" x1="465" y1="1020" x2="575" y2="1020"/>
</svg>"""


def pattern(
    form: Form, cloth: Cloth, drawn: str, girths: Sequence[str], more: Mapping[str, float]
) -> DraftResult:
    """The best size of a traced pattern, its alterations, and a line of the costume on it."""
    body = {
        size: {
            **{name: f"{cm} cm" for name, cm in zip(ALL, row, strict=True) if name in girths},
            **{name: f"{length} mm" for name, length in more.items()},
        }
        for size, row in GIRTHS.items()
    }
    said = {"name": "block", "body": body, "pieces_traced": "42"}
    if cloth.kind == "knit":
        said["design_stretch"] = "50 %"
    line = placed_line("line", "torso", 3.5)
    options = {"patterns": [said, {"name": "one size", "body": {"one": body["46"]}}]}
    trace = Trace(file="traced.svg", lines=svg_paths(drawn, name="traced.svg"))
    return draft_on(form, BASE, cloth, {"line_1": line}, options, side="middle", trace=trace)


def printed(form: Form, fits: str, model: str, size: tuple[str, str, str]) -> DraftResult:
    """A printed part scaled to the wearer and split for the bed."""
    part = {"size": size, "fits": fits, "model_fits": model}
    options = {"things": [{"name": "part", "mass": "600 g", "printed": part}]}
    line = placed_line("line", "head", 0.6)
    return draft_on(form, FOUND, CALICO, {"at": line}, options, side="left")


def numbers(result: DraftResult) -> dict[str, float]:
    """How far altered outlines are from what is wanted, and what the printed part is scaled by."""
    return usual_numbers(result) | check_numbers(
        result,
        {
            "altered measure off by [mm]": "after the alteration",
            "a girth that no seam bears off by [mm]": "how far off the",
            "scale of a printed part": "how far the model is scaled",
            "parts it is printed in": "how many parts",
        },
    )


def main() -> None:
    cases = {
        "knit shirt": partial(pattern, cloth=JERSEY, drawn=CLOSE_SHIRT, girths=ALL, more=UPPER),
        "woven shirt": partial(pattern, cloth=CALICO, drawn=SHIRT, girths=ALL, more=UPPER),
        "trousers": partial(pattern, cloth=CALICO, drawn=TROUSERS, girths=ALL[1:], more=LOWER),
        "crown, printed": partial(
            printed, fits="head_girth", model="58 cm", size=("20 cm", "24 cm", "26 cm")
        ),
        "arm guard, printed": partial(
            printed, fits="forearm_length", model="25 cm", size=("12 cm", "12 cm", "24 cm")
        ),
    }
    command("owned", __doc__, 28, cases, numbers, measured=True)


if __name__ == "__main__":
    main()

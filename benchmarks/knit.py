"""Close knits on random bodies: how seams meet, what folds, how smooth, how much the cloth must stretch.

Run ``python benchmarks/knit.py [COUNT]``; writes ``benchmarks/results/knit.json``. Bodies: random whole-body
shapes of the template, 0.8 standard deviations, women, men and between. Times are those of
the processor, on one core; stretch is that of panels flattened without ease, as
95th percentile over the area of each panel; the goals are those of the design.
"""

from __future__ import annotations

import json
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import shapely

from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import PieceStatement
from layfigure.draft.flatten.checks import (
    corner_error,
    curve_pairs,
    least_radius,
    mate_difference,
    stitch_line,
)
from layfigure.draft.flatten.panel import Ease, FlatPanel
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.draft.flatten.worn_stretch import greatest_stretch_p95
from layfigure.draft.knit.kind import KIND
from layfigure.draft.knit.leggings import leggings_on
from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.knit.top import top_on
from layfigure.draft.registry import DraftRequest, validated_options
from layfigure.errors import LayfigureError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.materials.cloth import Cloth
from layfigure.place.placement import Placement

GOALS = {"leggings": 0.12, "shorts": 0.12, "sleeve": 0.20}
"""Greatest stretch on top of the fit by garment, 0.14 for fronts and backs of tops and bodysuits."""
CUTS: dict[str, dict[str, str | bool]] = {
    "leggings": {"garment": "leggings"},
    "bodysuit": {"garment": "bodysuit"},
    "shorts": {"garment": "shorts"},
    "undershirt": {"garment": "undershirt"},
    "top with v neckline and short sleeves": {
        "garment": "top",
        "neckline": "v",
        "sleeve_length": "short",
    },
    "bodysuit with open back, no sleeves": {"garment": "bodysuit", "sleeves": False, "back_depth": "22 cm"},
}
CLOTH = Cloth(
    slug="cloth",
    kind="knit",
    name="knit",
    width=1500.0,
    areal_mass=220.0,
    stretch_across=0.6,
    stretch_along=0.5,
    tested=True,
)


def request(form: Form, cut: str) -> DraftRequest:
    statement = PieceStatement(slug="suit", kind="knit", cloth="cloth", side="both")
    return DraftRequest(
        statement=statement,
        options=validated_options(KIND, CUTS[cut], where="benchmark"),
        form=form,
        placement=Placement(wearer="benchmark", edges={}),
        cloths={"cloth": CLOTH},
    )


def forms(count: int, *, first: int = 0) -> Iterator[Form]:
    """The bodies, from one of them on: shapes of those before it are drawn, and not built."""
    template, rng = load_template(), np.random.default_rng(2026)
    for number in range(count):
        shape = np.zeros(len(template.directions))
        shape[: template.mode_count] = 0.8 * rng.normal(size=template.mode_count)
        if number >= first:
            yield form_of(template, shape)


def main(count: int = 200) -> None:
    template = load_template()
    measured: dict[str, list[float]] = defaultdict(list)
    refused: list[str] = []
    started = time.process_time()
    for cut in CUTS:
        KIND.draft(request(form_of(template, template.presets["woman"]), cut))
        measured[f"{cut}: first draft, with meshing [s]"].append(time.process_time() - started)
        started = time.process_time()
    for number, form in enumerate(forms(count)):
        for cut in CUTS:
            asked = request(form, cut)
            options = asked.options
            assert isinstance(options, KnitOptions)
            lay = leggings_on if cut in ("leggings", "shorts") else top_on
            started = time.process_time()
            try:
                panels = lay(asked, options).panels
                laid = time.process_time()
                flats = flatten_panels(panels, Ease(around=0.0, along=0.0))
            except LayfigureError as error:
                refused.append(f"body {number}, {cut}: {error}")
                continue
            finished = time.process_time()
            measured[f"{cut}: lay on a new wearer [ms]"].append(1e3 * (laid - started))
            measured[f"{cut}: flatten and true [ms]"].append(1e3 * (finished - laid))
            if lay is top_on:
                measured[f"{cut}: princess seams proposed"].append(float("front_side_left" in flats))
            measure_panels(cut, flats, measured)
        # Written after every body: a run that is stopped says for how many bodies it holds.
        write_summary(number + 1, refused, measured)
    for name, values in measured.items():
        quantiles = np.quantile(values, [0.5, 0.95, 1.0])
        print(f"{name}: median {quantiles[0]:.4g}, p95 {quantiles[1]:.4g}, greatest {quantiles[2]:.4g}")
    print(f"refused: {len(refused)}", *refused, sep="\n  ")


def measure_panels(cut: str, flats: dict[str, FlatPanel], measured: dict[str, list[float]]) -> None:
    """How panels meet, lie and stretch."""
    for first, second, opposed in curve_pairs(flats.values()):
        measured["seam mismatch [mm]"].append(mate_difference(first, second, opposed=opposed))
    measured["corner error [degrees]"].append(corner_error(flats, Ease(around=0.0, along=0.0)))
    for slug, flat in flats.items():
        areas = TriangleMesh(flat.vertices, flat.panel.faces).face_areas()
        measured["flipped faces"].append(float((areas <= 0.0).sum()))
        ring = shapely.LinearRing(stitch_line(flat))
        measured["outlines that cross themselves"].append(0.0 if ring.is_simple else 1.0)
        radius = min(least_radius(curve) for curve in flat.curves.values())
        measured["least radius along an edge [mm]"].append(radius)
        part = slug.removesuffix("_left").removesuffix("_right").replace("_", " ")
        goal = GOALS["sleeve"] if part == "sleeve" else GOALS.get(cut, 0.14)
        measured[f"{cut}: stretch p95, {part} (goal {goal:.2f})"].append(greatest_stretch_p95(flat))


def write_summary(bodies: int, refused: list[str], measured: dict[str, list[float]]) -> None:
    result: dict[str, object] = {"bodies": bodies, "refused": refused}
    for name, values in measured.items():
        quantiles = np.quantile(values, [0.0, 0.5, 0.95, 1.0])
        keys = ("least", "median", "p95", "greatest")
        if name.endswith("proposed"):
            result[name] = round(float(np.mean(values)), 4)
            continue
        result[name] = {k: round(float(v), 4) for k, v in zip(keys, quantiles, strict=True)}
    target = Path(__file__).parent / "results" / "knit.json"
    target.parent.mkdir(exist_ok=True)
    target.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:2]))

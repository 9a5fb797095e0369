"""Close knits on random bodies: how seams meet, what folds, how smooth, how much the cloth must stretch.

Run ``python benchmarks/knit.py [COUNT]``; writes ``benchmarks/results/knit.json``. Bodies: random whole-body
shapes of the template, 0.8 standard deviations. Times are those of
the processor, on one core; stretch is that of panels flattened without ease, as
95th percentile over the area of each panel; the goals are those of the design.
"""

from __future__ import annotations

import json
import sys
import time
from collections import defaultdict
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
from layfigure.draft.flatten.panel import Ease
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.draft.flatten.worn_stretch import greatest_stretch_p95
from layfigure.draft.knit import KIND
from layfigure.draft.knit_leggings import leggings_on
from layfigure.draft.knit_options import KnitOptions
from layfigure.draft.knit_top import top_on
from layfigure.draft.registry import DraftRequest, validated_options
from layfigure.errors import LayfigureError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.materials.cloth import Cloth
from layfigure.place.placement import Placement

GOALS = {"front_left": 0.12, "back_left": 0.12, "front": 0.14, "back": 0.14, "sleeve_left": 0.20,
         "sleeve_right": 0.20}  # fmt: skip
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


def request(form: Form, garment: str) -> DraftRequest:
    statement = PieceStatement(slug="suit", kind="knit", cloth="cloth", side="both")
    return DraftRequest(
        statement=statement,
        options=validated_options(KIND, {"garment": garment}, where="benchmark"),
        form=form,
        placement=Placement(wearer="benchmark", edges={}),
        cloths={"cloth": CLOTH},
    )


def main(count: int = 200) -> None:
    template = load_template()
    rng = np.random.default_rng(2026)
    measured: dict[str, list[float]] = defaultdict(list)
    refused: list[str] = []
    started = time.process_time()
    for garment in ("leggings", "bodysuit"):
        KIND.draft(request(form_of(template, template.presets["woman"]), garment))
        measured[f"{garment}: first draft, with meshing [s]"].append(time.process_time() - started)
        started = time.process_time()
    for number in range(count):
        shape = np.zeros(len(template.directions))
        shape[: template.mode_count] = 0.8 * rng.normal(size=template.mode_count)
        form = form_of(template, shape)
        for garment, lay in (("leggings", leggings_on), ("bodysuit", top_on)):
            asked = request(form, garment)
            options = asked.options
            assert isinstance(options, KnitOptions)
            started = time.process_time()
            try:
                panels = lay(asked, options).panels
                laid = time.process_time()
                flats = flatten_panels(panels, Ease(around=0.0, along=0.0))
            except LayfigureError as error:
                refused.append(f"body {number}, {garment}: {error}")
                continue
            finished = time.process_time()
            measured[f"{garment}: lay on a new wearer [ms]"].append(1e3 * (laid - started))
            measured[f"{garment}: flatten and true [ms]"].append(1e3 * (finished - laid))
            for first, second, opposed in curve_pairs(flats.values()):
                measured["seam mismatch [mm]"].append(mate_difference(first, second, opposed=opposed))
            measured["corner error [degrees]"].append(corner_error(flats, Ease(around=0.0, along=0.0)))
            for slug, flat in flats.items():
                areas = TriangleMesh(flat.vertices, flat.panel.faces).face_areas()
                measured["flipped faces"].append(float((areas <= 0.0).sum()))
                ring = shapely.LinearRing(stitch_line(flat))
                measured["outlines that cross themselves"].append(0.0 if ring.is_simple else 1.0)
                measured["least radius along an edge [mm]"].append(
                    min(least_radius(curve) for curve in flat.curves.values())
                )
                measured[f"stretch p95, {slug} (goal {GOALS[slug]:.2f})"].append(greatest_stretch_p95(flat))
        # Written after every body: a run that is stopped says for how many bodies it holds.
        write_summary(number + 1, refused, measured)
    for name, values in measured.items():
        quantiles = np.quantile(values, [0.5, 0.95, 1.0])
        print(f"{name}: median {quantiles[0]:.4g}, p95 {quantiles[1]:.4g}, greatest {quantiles[2]:.4g}")
    print(f"refused: {len(refused)}", *refused, sep="\n  ")


def write_summary(bodies: int, refused: list[str], measured: dict[str, list[float]]) -> None:
    result: dict[str, object] = {"bodies": bodies, "refused": refused}
    for name, values in measured.items():
        quantiles = np.quantile(values, [0.0, 0.5, 0.95, 1.0])
        keys = ("least", "median", "p95", "greatest")
        result[name] = {k: round(float(v), 4) for k, v in zip(keys, quantiles, strict=True)}
    target = Path(__file__).parent / "results" / "knit.json"
    target.parent.mkdir(exist_ok=True)
    target.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:2]))

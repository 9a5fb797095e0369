"""Woven garments on random bodies: who is refused and why, do mates agree, is the cap's ease as stated.

Bodies are the template's own shape modes, drawn at random about both presets. Writes ``results/woven.json``.

    python benchmarks/woven.py --bodies 200
"""

from __future__ import annotations

import argparse
import collections
import json
import tempfile
import time
from pathlib import Path

import numpy as np

from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import PieceStatement
from layfigure.draft.registry import DraftRequest, validated_options
from layfigure.draft.woven.kind import KIND
from layfigure.drawing.svg import svg_of
from layfigure.drawing.walk import read_svg, walk
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.piece.draw import Heading
from layfigure.piece.seam_allowance import cut_line
from layfigure.piece.seam_book import SeamBook
from layfigure.place.placement import Placement

TWILL = Cloth(
    slug="twill", kind="woven", name="twill", width=1500.0, areal_mass=300.0, thickness=0.8, tested=True
)
WALKED = 10
"""Every so many bodies the exported seams are walked as well; drawing takes longer than drafting."""


def run(form, garment):
    statement = PieceStatement(slug="piece", kind="woven", cloth="twill", options={"garment": garment})
    request = DraftRequest(
        statement=statement,
        options=validated_options(KIND, statement.options, where="benchmark"),
        form=form,
        placement=Placement(wearer="", edges={}),
        cloths={"twill": TWILL},
        stack=1.0,
    )
    start = time.process_time()
    result = KIND.draft(request)
    return result, 1000.0 * (time.process_time() - start)


def worst_mates(result):
    """Largest difference in length between edges of one seam, less what is eased [mm]."""
    seams = collections.defaultdict(list)
    for piece in result.pieces:
        for edge in piece.edges:
            if edge.seam is not None:
                seams[edge.seam].append(edge.length - edge.eased)
    return max(max(sizes) - min(sizes) for sizes in seams.values())


def eased(result):
    return sum(
        edge.eased for piece in result.pieces if piece.slug.endswith("sleeve_left") for edge in piece.edges
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--bodies", type=int, default=200)
    parser.add_argument("--seed", type=int, default=7)
    arguments = parser.parse_args()
    template = load_template()
    draw = np.random.default_rng(arguments.seed)
    garments = ("skirt", "bodice", "coat", "trousers")
    rows = {name: collections.defaultdict(list) for name in garments}
    refused = {name: collections.Counter() for name in garments}
    failed = {name: collections.Counter() for name in garments}
    faults = {name: [] for name in garments}
    for number in range(arguments.bodies):
        preset = template.presets["woman" if number % 2 else "man"].copy()
        preset[: template.mode_count] += 0.6 * draw.normal(size=template.mode_count)
        form = form_of(template, preset, wearer="benchmark")
        for name in garments:
            try:
                result, cpu = run(form, name)
                for piece in result.pieces:
                    cut_line(piece.edges)
            except DraftError as error:
                refused[name][str(error)] += 1
                continue
            rows[name]["cpu_ms"].append(cpu)
            rows[name]["mates_mm"].append(worst_mates(result))
            rows[name]["cap_ease_mm"].append(eased(result))
            for check in result.checks:
                what = check.what.split(": ", 1)[1]
                rows[name][what].append(check.value)
                failed[name][what] += not check.passed
            if number % WALKED == 0:
                with tempfile.TemporaryDirectory() as folder:
                    path = Path(folder) / "pieces.svg"
                    heading = Heading(costume="benchmark", seams=SeamBook.of(result.pieces))
                    path.write_text(svg_of(result.pieces, heading), encoding="utf-8")
                    faults[name] += [str(fault) for fault in walk(read_svg(path))]

    def numbers(values):
        median, p95, most = np.percentile(values, [50, 95, 100])
        return {"median": round(median, 4), "p95": round(p95, 4), "max": round(most, 4)}

    report = {
        "bodies": arguments.bodies,
        "seed": arguments.seed,
        "garments": {
            name: {
                "drafted": len(rows[name]["cpu_ms"]),
                "refused": dict(refused[name]),
                "checks_failed": {what: count for what, count in failed[name].items() if count},
                "faults_walked": faults[name],
                **{what: numbers(values) for what, values in rows[name].items() if values},
            }
            for name in garments
        },
    }
    out = Path(__file__).parent / "results" / "woven.json"
    out.write_text(json.dumps(report, indent=2) + "\n", encoding="utf-8")
    print(json.dumps(report, indent=2))


if __name__ == "__main__":
    main()

"""Boot covers on random bodies: refusals, stretch, room beside the toes, girths.

Bodies are the template's own shape modes, drawn at random about both presets. Each gets a separate cover of
vinyl and one of leather sewn to its shoe. Writes ``results/boot.json``.

    python -m benchmarks.boot --bodies 200
"""

from __future__ import annotations

import argparse
import collections
import json
import time
from pathlib import Path

import numpy as np
from benchmarks._random_bodies import random_forms, said_of, values_said
from benchmarks.wrap import ring

from layfigure.design.design import PieceStatement
from layfigure.draft.registry import DraftRequest, validated_options
from layfigure.draft.wrap.kind import KIND
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.piece.seam_allowance import cut_line
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

CLOTHS = {
    "vinyl": Cloth(
        slug="vinyl",
        kind="knit",
        name="vinyl on a knit",
        width=1400.0,
        areal_mass=450.0,
        thickness=0.8,
        stretch_across=0.15,
        stretch_along=0.05,
        tested=True,
    ),
    "leather": Cloth(
        slug="leather",
        kind="leather",
        name="garment leather",
        width=600.0,
        areal_mass=600.0,
        thickness=1.0,
        tested=True,
    ),
}
CASES = {
    "separate": ("vinyl", {"boot": {"bottom": "separate", "opening": "inside"}}),
    "sewn": ("leather", {"boot": {"bottom": "sewn", "shoe_top": "100 mm"}}),
}


def run(form, cloth, options):
    edge = ring("t", "shank_left", 0.25, point=0.1)
    statement = PieceStatement(
        slug="boot", kind="wrap", cloth=cloth, side="left", edges={"top": "t"}, options=options
    )
    request = DraftRequest(
        statement=statement,
        options=validated_options(KIND, options, where="benchmark"),
        form=form,
        placement=Placement(wearer="", edges={"t": place_edge(edge, form)}),
        cloths=CLOTHS,
        stack=0.5,
    )
    start = time.process_time()
    result = KIND.draft(request)
    for piece in result.pieces:
        cut_line(piece.edges)
    return result, 1000.0 * (time.process_time() - start)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--bodies", type=int, default=200)
    parser.add_argument("--seed", type=int, default=7)
    arguments = parser.parse_args()
    rows = collections.defaultdict(list)
    refused = collections.defaultdict(collections.Counter)
    for form in random_forms(arguments.bodies, arguments.seed, local=False):
        for name, (cloth, options) in CASES.items():
            try:
                result, ms = run(form, cloth, options)
            except DraftError as error:
                refused[name][f"{error.what} {error.advice}"] += 1
                continue
            values = values_said(result)
            failed = [said_of(check, result) for check in result.checks if not check.passed]
            rows[name].append({"values": values, "failed": failed, "ms": ms})
    report = {"bodies": arguments.bodies, "seed": arguments.seed}
    for name in CASES:
        whats = rows[name][0]["values"] if rows[name] else {}
        report[name] = {
            "drafted": len(rows[name]),
            "refused": dict(refused[name]),
            "failed": dict(collections.Counter(what for row in rows[name] for what in row["failed"])),
            "cpu_ms": round(float(np.median([row["ms"] for row in rows[name]])), 1),
            **{
                what: {
                    label: round(float(np.percentile([row["values"][what] for row in rows[name]], share)), 4)
                    for label, share in (("least", 0), ("median", 50), ("p95", 95), ("most", 100))
                }
                for what in whats
            },
        }
    path = Path(__file__).parent / "results" / "boot.json"
    path.write_text(json.dumps(report, indent=2) + "\n")
    print(json.dumps(report, indent=2))


if __name__ == "__main__":
    main()

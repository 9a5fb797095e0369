"""How far the mesh a panel is drafted on shows in its outline.

Usage: python benchmarks/convergence.py

Writes benchmarks/results/convergence.json. Half a cone against its exact sector at five mesh sizes, then a
leg in two panels and a sleeveless bodysuit on the template's two presets, drafted as panels are, at
8 mm along outlines, and at 7 mm against 5 mm everywhere.
Distances are of points at equal shares of every edge's length, with the outlines laid on one another.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import numpy as np

from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.draft.panels.panel_mesh import SPACING

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests" / "draft" / "flatten"))
from converging import apart, cone_errors, drafted, outline  # noqa: E402

SIZES = (20.0, 14.0, 10.0, 7.0, 5.0)
FINE = 5.0


def cone() -> dict[str, object]:
    chords, corrected = (cone_errors(SIZES, curvature=curvature) for curvature in (False, True))
    return {
        "mesh_mm": SIZES,
        "greatest_error_with_chords_mm": chords.round(4).tolist(),
        "greatest_error_as_drafted_mm": corrected.round(4).tolist(),
        "order_with_chords": round(float(np.polyfit(np.log(SIZES), np.log(chords), 1)[0]), 2),
    }


def bodies() -> dict[str, object]:
    template = load_template()
    answer: dict[str, object] = {}
    for who in ("woman", "man"):
        form = form_of(template, template.presets[who])
        fine = drafted(form, FINE, even=True)
        for spacing in (SPACING, 7.0):
            for slug, flat in drafted(form, spacing).items():
                distances = apart(outline(flat), outline(fine[slug]))
                answer[f"{who}, {slug}, {spacing:.0f} mm"] = {
                    "median_mm": round(float(np.median(distances)), 2),
                    "p95_mm": round(float(np.percentile(distances, 95)), 2),
                    "greatest_mm": round(float(distances.max()), 2),
                }
    return answer


def main() -> None:
    result = {"half a cone": cone(), f"against {FINE:.0f} mm": bodies()}
    out = ROOT / "benchmarks" / "results" / "convergence.json"
    out.write_text(json.dumps(result, indent=2) + "\n", encoding="utf-8")
    print(json.dumps(result, indent=2))


if __name__ == "__main__":
    main()

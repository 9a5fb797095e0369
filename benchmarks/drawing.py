"""How long drawing takes, and how true what is printed and exported is.

Usage: python benchmarks/drawing.py

Writes benchmarks/results/drawing.json. Leggings, a top and a guard from the tests' sample pieces. Times are
the median of five runs of this process, each drawn anew. Printed sizes are measured in renderings
(pdfium): the test square at 300 dots an inch, diagonals of the sheet joined mark to mark at 200.
"""

from __future__ import annotations

import io
import json
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import shapely

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

from layfigure.drawing import sheet  # noqa: E402
from layfigure.drawing.dxf import dxf_of  # noqa: E402
from layfigure.drawing.paper.pattern_pdf import forget_layouts, laid_out, pattern_pdf, sheet_count  # noqa: E402
from layfigure.drawing.paper.sizes import PAPERS  # noqa: E402
from layfigure.drawing.svg import svg_of  # noqa: E402
from layfigure.drawing.walk import read_dxf, read_svg, walk  # noqa: E402
from layfigure.piece.draw import Heading  # noqa: E402
from layfigure.piece.seam_allowance import cut_line, forget_cut_lines  # noqa: E402
from layfigure.piece.seam_book import SeamBook  # noqa: E402
from printed_pages import joined_diagonals, rendered, square_sides  # noqa: E402
from sample_pieces import all_samples  # noqa: E402

PIECES = all_samples()
HEADING = Heading(costume="Brindle", wearer="Ada", seams=SeamBook.of(PIECES))


def median_time(function: Callable[[], object]) -> float:
    times = []
    for _ in range(5):
        sheet.forget_drawings()
        forget_layouts()
        forget_cut_lines()
        start = time.process_time()
        function()
        times.append(time.process_time() - start)
    return round(statistics.median(times), 3)


def times() -> dict[str, float]:
    found = {
        "cut lines of all pieces": median_time(lambda: [cut_line(piece.edges) for piece in PIECES]),
        "drawing all pieces": median_time(lambda: [sheet.record(piece, HEADING) for piece in PIECES]),
        "svg": median_time(lambda: svg_of(PIECES, HEADING)),
        "dxf": median_time(lambda: dxf_of(PIECES, HEADING)),
    }
    for name, paper in PAPERS.items():
        found[f"pdf {name}"] = median_time(lambda paper=paper: pattern_pdf(PIECES, paper, HEADING))
    return found


def exchange(folder: Path) -> dict[str, Any]:
    svg, dxf = folder / "pieces.svg", folder / "pieces.dxf"
    svg.write_text(svg_of(PIECES, HEADING), encoding="utf-8")
    dxf.write_text(dxf_of(PIECES, HEADING), encoding="utf-8")
    document = ezdxf.read(io.StringIO(dxf.read_text(encoding="utf-8")))
    worst = 0.0
    for piece in PIECES:
        (boundary,) = document.blocks[piece.slug].query("POLYLINE[layer=='1']")
        found = shapely.LinearRing([(v.dxf.location.x, v.dxf.location.y) for v in boundary.vertices])
        drafted = shapely.points(cut_line(piece.edges))
        worst = max(worst, float(shapely.distance(drafted, found).max()))
    lengths = {(piece.slug, edge.slug): edge.length for piece in PIECES for edge in piece.edges}
    by_svg = max(
        abs(float(np.linalg.norm(np.diff(e.curve, axis=0), axis=1).sum()) - lengths[e.piece, e.edge])
        for e in read_svg(svg)
    )
    return {
        "dxf_greatest_error_of_a_place_mm": round(worst, 5),
        "dxf_bytes": dxf.stat().st_size,
        "svg_bytes": svg.stat().st_size,
        "svg_greatest_error_of_an_edge_length_mm": round(by_svg, 5),
        "seams_that_do_not_walk_within_0.01_mm": len(walk(read_svg(svg), tolerance=0.01))
        + len(walk(read_dxf(dxf), tolerance=0.01)),
    }


def printed() -> dict[str, Any]:
    content = pattern_pdf(PIECES, PAPERS["a4"], HEADING)
    sides = square_sides(rendered(content, 1, 300))
    tiling = laid_out(PIECES, PAPERS["a4"], HEADING)
    checks = joined_diagonals(content, tiling, 200)
    return {
        "test_square_sides_pixels_of_1181.1": [round(side, 2) for side in sides],
        "diagonals_mm": [{"stated": round(a, 2), "joined": round(b, 2)} for a, b in checks],
        "greatest_error_mm_per_m": round(max(abs(b - a) / a * 1000.0 for a, b in checks), 3),
    }


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        result = {
            "pieces": len(PIECES),
            "seconds": times(),
            "sheets": {name: sheet_count(PIECES, paper, HEADING) for name, paper in PAPERS.items()},
            "exchange": exchange(folder),
            "printed": printed(),
        }
    out = ROOT / "benchmarks" / "results" / "drawing.json"
    out.parent.mkdir(exist_ok=True)
    out.write_text(json.dumps(result, indent=2) + "\n", encoding="utf-8")
    print(json.dumps(result, indent=2))


if __name__ == "__main__":
    main()

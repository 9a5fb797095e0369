"""Draw the README's pictures from the demonstration's real output.

Run after ``make demo``: python tools/readme_pictures.py out/brindle/ostrander
Needs the development environment (pypdfium2 draws the PDF pages).
"""

from __future__ import annotations

import io
import sys
from pathlib import Path

import numpy as np
import pypdfium2
from PIL import Image, ImageDraw, ImageOps

from layfigure.pipeline.folder import open_costume
from layfigure.pipeline.outputs import worn_surfaces
from layfigure.pipeline.stages import neutral_body
from layfigure.pipeline.together import as_shown
from layfigure.pipeline.work import disk_graph, draft_all, plan
from layfigure.report.body_picture import View, axis_beside, picture_of, visible_runs
from layfigure.report.worn_picture import worn_picture
from layfigure.study.figure_surface import figure_surface

ROOT = Path(__file__).resolve().parents[1]
PICTURES = ROOT / "docs" / "pictures"
INK = (11, 92, 116)
HEIGHT = 900
VIEWS: tuple[View, ...] = ("front", "left", "back", "right")


def side_by_side(costume: Path, wearer: str) -> Image.Image:
    """The drawing, the character as read from it, and the wearer, carrying the same lines."""
    folder = open_costume(costume)
    work = plan(folder, folder.wearer(wearer), disk_graph())
    study, placed = work.study.value(), work.placed.value()
    assert study is not None
    form = work.body.value().form
    drawing = Image.open(costume / "references" / "front.png").convert("RGB")
    tiles = [drawing.resize((round(drawing.width * HEIGHT / drawing.height), HEIGHT))]
    for mesh, charts in (
        (figure_surface(study.charts, neutral_body()), study.charts),
        (form.standing, form.charts),
    ):
        picture = picture_of(mesh, "front", height=HEIGHT)
        shown = Image.open(io.BytesIO(picture.png))
        tile = Image.new("RGB", shown.size, "white")
        tile.paste(shown, (0, 0), shown)
        draw = ImageDraw.Draw(tile)
        for edge in placed.edges.values():
            for curve in edge.curves:
                line = charts[curve.region].points(curve.station, curve.around)
                for seen, run in visible_runs(line, axis_beside(line, charts, curve.region), "front"):
                    if seen:
                        draw.line([tuple(p) for p in picture.pixels(run)], fill=INK, width=3, joint="curve")
        tiles.append(tile)
    return beside(tiles)


def beside(tiles: list[Image.Image]) -> Image.Image:
    """Pictures in one row, their feet level."""
    gap = 40
    sheet = Image.new("RGB", (sum(t.width for t in tiles) + gap * (len(tiles) - 1), HEIGHT), "white")
    left = 0
    for tile in tiles:
        sheet.paste(tile, (left, HEIGHT - tile.height))
        left += tile.width + gap
    return sheet


def dressed(costume: Path) -> Image.Image:
    """The drawing of everything, and the whole costume on every wearer from four sides, a row each."""
    folder, graph = open_costume(costume), disk_graph()
    drawing = Image.open(costume / "references" / "whole_front.png").convert("RGB")
    rows = []
    for wearer in folder.wearers:
        work = plan(folder, folder.wearer(wearer), graph)
        shown = as_shown(work, draft_all(work))
        worn = worn_surfaces(shown, folder.cloths)
        tiles = []
        for view in VIEWS:
            picture = worn_picture(work.body.value().form.standing, worn, view, height=HEIGHT)
            seen = Image.open(io.BytesIO(picture.png))
            tile = Image.new("RGB", seen.size, "white")
            tile.paste(seen, (0, 0), seen)
            tiles.append(trimmed(tile))
        rows.append(beside(tiles))
    drawn = drawing.resize((round(drawing.width * HEIGHT / drawing.height), HEIGHT))
    return with_drawing(drawn, rows)


def with_drawing(drawing: Image.Image, rows: list[Image.Image]) -> Image.Image:
    """Rows of pictures one under the other, the drawing before them in the middle of their height."""
    gap = 40
    height = sum(row.height for row in rows) + gap * (len(rows) - 1)
    wide = drawing.width + gap + max(row.width for row in rows)
    sheet = Image.new("RGB", (wide, height), "white")
    sheet.paste(drawing, (0, (height - drawing.height) // 2))
    top = 0
    for row in rows:
        sheet.paste(row, (drawing.width + gap, top))
        top += row.height + gap
    return sheet


def page(path: Path, number: int, width: int) -> Image.Image:
    """One page of a PDF, so many pixels wide."""
    drawn = pypdfium2.PdfDocument(path)[number]
    return drawn.render(scale=width / drawn.get_width()).to_pil().convert("RGB")


def trimmed(picture: Image.Image, margin: int = 12) -> Image.Image:
    """The picture without its empty border."""
    dark = np.asarray(picture.convert("L")) < 250
    rows, columns = np.flatnonzero(dark.any(axis=1)), np.flatnonzero(dark.any(axis=0))
    box = (columns[0] - margin, rows[0] - margin, columns[-1] + margin, rows[-1] + margin)
    return picture.crop(box)


def main() -> None:
    """Draw every picture from one wearer's results."""
    out = Path(sys.argv[1])
    PICTURES.mkdir(parents=True, exist_ok=True)
    side_by_side(ROOT / "examples" / "brindle", out.name).save(PICTURES / "same-lines.png", optimize=True)
    dressed(ROOT / "examples" / "brindle").save(PICTURES / "whole.png", optimize=True)
    pattern = ImageOps.invert(page(out / "pattern-projector.pdf", 0, 1500))
    pattern.quantize(16).save(PICTURES / "pieces.png", optimize=True)
    trimmed(page(out / "placement-card.pdf", 0, 900)).quantize(32).save(PICTURES / "card.png", optimize=True)
    for path in sorted(PICTURES.glob("*.png")):
        print(path.relative_to(ROOT), path.stat().st_size // 1024, "kB")


if __name__ == "__main__":
    main()

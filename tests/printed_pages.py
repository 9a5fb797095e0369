"""Measuring printed pages as a printer and a pair of hands would: from their rendering alone."""

import io
from dataclasses import dataclass

import numpy as np
import pikepdf
import pypdfium2 as pdfium

from layfigure.drawing.paper.page_marks import Join, diagonals, joins
from layfigure.drawing.paper.tiling import Tile, Tiling


def rendered(content: bytes, page: int, dots: int) -> np.ndarray:
    """One page, counted from 1, in grey, 0 black to 255 white; row 0 at the top."""
    return _bitmap(content, page, dots, grayscale=True)


def rendered_in_colour(content: bytes, page: int, dots: int) -> np.ndarray:
    """The same with three channels."""
    return _bitmap(content, page, dots, grayscale=False)[:, :, :3]


def page_words(content: bytes, page: int) -> list[str]:
    """The words written on one page, counted from 1."""
    with pdfium.PdfDocument(content) as document:
        return document[page - 1].get_textpage().get_text_range().split()


def _bitmap(content: bytes, page: int, dots: int, *, grayscale: bool) -> np.ndarray:
    with pdfium.PdfDocument(content) as document:
        bitmap = document[page - 1].render(scale=dots / 72.0, grayscale=grayscale)
        return np.array(bitmap.to_numpy(), dtype=float).squeeze()


def longest_dark_run(line: np.ndarray) -> int:
    dark = np.concatenate([[False], line < 200, [False]])
    edges = np.flatnonzero(np.diff(dark.astype(int)))
    return int((edges[1::2] - edges[::2]).max(initial=0))


def square_sides(grey: np.ndarray) -> tuple[float, float]:
    """Height and width of the test square on a page rendered at 300 dots an inch [pixels]."""
    runs = np.array([longest_dark_run(row) for row in grey])
    rows = np.flatnonzero((runs > 1170) & (runs < 1195))
    columns = np.flatnonzero([1170 < longest_dark_run(column) < 1195 for column in grey.T])
    # Two lines each, a pixel or two thick: their middles are the sides of the square.
    return tuple(  # type: ignore[return-value]
        float(places[places > places.mean()].mean() - places[places < places.mean()].mean())
        for places in (rows, columns)
    )


@dataclass
class Page:
    """A rendered page and where its frame stands on it."""

    grey: np.ndarray
    tile: Tile
    scale: float  # pixels a millimetre

    def across(self, x: float, y: float, long: float, thin: float) -> tuple[np.ndarray, np.ndarray]:
        """Darkness along a level strip about a place [mm on the page, y up], and where each pixel is."""
        rows = len(self.grey)
        r0, r1 = (round(rows - (y + d) * self.scale) for d in (thin / 2, -thin / 2))
        c0, c1 = (round((x + d) * self.scale) for d in (-long / 2, long / 2))
        return 1.0 - self.grey[r0:r1, c0:c1].mean(axis=0) / 255.0, (np.arange(c0, c1) + 0.5) / self.scale

    def upward(self, x: float, y: float, long: float, thin: float) -> tuple[np.ndarray, np.ndarray]:
        """The same along an upright strip."""
        rows = len(self.grey)
        r0, r1 = (round(rows - (y + d) * self.scale) for d in (long / 2, -long / 2))
        c0, c1 = (round((x + d) * self.scale) for d in (-thin / 2, thin / 2))
        dark = 1.0 - self.grey[r0:r1, c0:c1].mean(axis=1) / 255.0
        return dark, (rows - np.arange(r0, r1) - 0.5) / self.scale

    def expected(self, at: tuple[float, float], margin: float) -> tuple[float, float]:
        return at[0] - self.tile.left + margin, at[1] - self.tile.bottom + margin


def change(strip: tuple[np.ndarray, np.ndarray]) -> float:
    """Where black meets white along a strip [mm]."""
    dark, places = strip
    step = abs(places[1] - places[0])
    low, high = places.min() - step / 2, places.max() + step / 2
    black_low = dark[places.argmin()] > dark[places.argmax()]
    share = float(dark.mean())
    return float(low + (high - low) * (share if black_low else 1.0 - share))


def middle_of_line(strip: tuple[np.ndarray, np.ndarray]) -> float:
    """Where a thin line crosses a strip [mm]."""
    dark, places = strip
    return float((dark @ places) / dark.sum())


def page_places(page: Page, join: Join, margin: float) -> np.ndarray:
    """A diamond's middle as seen on one of its two pages [mm on the page]."""
    x, y = page.expected(join.at, margin)
    on_top = join.pages[0] == page.tile.name
    beside = abs(join.at[0] - page.tile.right) < 1e-6
    # Only half of it shows on the page on top: the solid line that is trimmed gives the other coordinate.
    if on_top and beside:
        return np.array(
            [middle_of_line(page.across(x, y + 8.0, 1.6, 1.0)), change(page.upward(x - 1.5, y, 3.0, 0.3))]
        )
    if on_top:
        return np.array(
            [change(page.across(x, y + 1.5, 3.0, 0.3)), middle_of_line(page.upward(x - 8.0, y, 1.6, 1.0))]
        )
    return np.array([change(page.across(x, y + 1.5, 3.0, 0.3)), change(page.upward(x - 1.5, y, 3.0, 0.3))])


def cross_place(page: Page, at: tuple[float, float], margin: float) -> np.ndarray:
    """The middle of a diagonal's cross on its page."""
    x, y = page.expected(at, margin)
    return np.array(
        [
            np.mean([middle_of_line(page.across(x, y + d, 1.6, 0.8)) for d in (-1.8, 1.8)]),
            np.mean([middle_of_line(page.upward(x + d, y, 1.6, 0.8)) for d in (-1.8, 1.8)]),
        ]
    )


def joined_diagonals(content: bytes, tiling: Tiling, dots: int) -> list[tuple[float, float]]:
    """Diagonals of a pattern joined diamond to diamond, each as stated and as measured [mm]."""
    margin = tiling.paper.margin
    with_plan = _page_count(content) - len(tiling.tiles)
    shown = {
        tile.name: Page(rendered(content, number, dots), tile, dots / 25.4)
        for number, tile in enumerate(tiling.tiles, start=with_plan + 1)
    }
    links: dict[tuple[str, str], list[np.ndarray]] = {}
    for join in joins(tiling):
        first, second = (page_places(shown[name], join, margin) for name in join.pages)
        links.setdefault(join.pages, []).append(first - second)
    placed = {tiling.tiles[0].name: np.zeros(2)}
    while len(placed) < len(tiling.tiles):
        for (one, other), shifts in links.items():
            shift = np.mean(shifts, axis=0)
            if one in placed and other not in placed:
                placed[other] = placed[one] + shift
            elif other in placed and one not in placed:
                placed[one] = placed[other] - shift
    found = []
    for check in diagonals(tiling):
        ends = zip(check.pages, (check.start, check.end), strict=True)
        start, end = (placed[name] + cross_place(shown[name], at, margin) for name, at in ends)
        found.append((check.length, float(np.linalg.norm(end - start))))
    return found


def _page_count(content: bytes) -> int:
    with pikepdf.open(io.BytesIO(content)) as pdf:
        return len(pdf.pages)

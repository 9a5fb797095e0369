"""Cut-outs of a close garment: carried from the body to the flat panel they lie on."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layfigure.draft.flatten.panel import Ease, FlatPanel, Panel
from layfigure.draft.registry import Check
from layfigure.draft.window.rest_windows import LEAST_STRIP, WindowSpread, rest_windows, window_spreads
from layfigure.draft.window.worn_plane import worn_plane
from layfigure.errors import DraftError
from layfigure.geometry.nearest_face import face_tree, nearest_faces
from layfigure.piece.piece import Window

Points = NDArray[np.float64]

STRAY_LIMIT = 4.0
"""A worn edge that may lie further off than this for want of knowing the cloth is pointed out [mm]."""
LOOP_SHARE = 0.08
"""Loops that an outline makes with itself are cut off up to this share of its area."""
OFF_PANEL = 12.0
"""A window's point further from the panel than this lies on another one [mm]."""
KEPT_BELOW = LEAST_STRIP
"""What of the cloth stays between a keyhole and the neckline [mm]."""


def windows_of_panels(
    flats: Mapping[str, FlatPanel],
    windows: Mapping[str, Points],
    eases: Mapping[str, Ease],
    *,
    backing: str | None,
) -> tuple[dict[str, tuple[Window, ...]], tuple[Check, ...]]:
    """Windows of every panel as they must be cut, by panel slug, and how far worn edges may stray.

    windows : slug to (k, 3) closed curve on the wearer in the drafting pose. eases : by panel slug.
    backing : the backing piece's prefix; None where skin shows and nothing holds the edges. Raises DraftError
    for a window that crosses a seam or leaves the garment, and as ``rest_windows`` does.
    """
    wanted: dict[str, list[tuple[str, Points]]] = {slug: [] for slug in flats}
    for slug, curve in windows.items():
        panel, flat_curve = _carried(flats, slug, curve)
        wanted[panel].append((slug, mended(flat_curve) @ worn_plane(flats[panel], eases[panel]).T))
    found: dict[str, tuple[Window, ...]] = {}
    checks: list[Check] = []
    for slug, own in wanted.items():
        if not own:
            continue
        cut = rest_windows(flats[slug], own, eases[slug], backing=backing is not None)
        found[slug] = tuple(
            Window(
                slug=w.slug,
                curve=w.curve,
                worn=w.worn,
                backing=None if backing is None else f"{backing}_{slug}",
            )
            for w in cut
        )
        if backing is None:
            checks += [_stray(spread) for spread in window_spreads(flats[slug], own, eases[slug])]
    return found, tuple(checks)


def mended(outline: Points) -> Points:
    """A closed outline without the small loops that uncertain marks make at a tip; any other as it is."""
    shape = shapely.Polygon(outline)
    if shape.is_valid:
        return outline
    parts = [part for part in shapely.get_parts(shapely.make_valid(shape)) if part.geom_type == "Polygon"]
    if not parts:
        return outline
    largest = max(parts, key=lambda part: float(part.area))
    if largest.area < (1.0 - LOOP_SHARE) * sum(part.area for part in parts):
        return outline
    return np.asarray(shapely.geometry.polygon.orient(largest).exterior.coords)[:-1]


def _stray(spread: WindowSpread) -> Check:
    """What cloths of another stiffness do to the worn edge of a window that nothing holds."""
    return Check.at_most(
        what=f"window {spread.slug.replace('_', ' ')}: a softer or stiffer cloth moves its worn edge by "
        f"{spread.p95:.1f} mm",
        unit="mm",
        value=spread.p95,
        limit=STRAY_LIMIT,
        advice="Give it a backing, or try it on a toile first.",
    )


def _carried(flats: Mapping[str, FlatPanel], slug: str, curve: Points) -> tuple[str, Points]:
    """The panel a window lies on, and its outline there in the flat plane with the panel's ease in it."""
    curve = curve[:-1] if np.allclose(curve[0], curve[-1]) else curve
    best, best_off, best_curve = "", np.inf, curve[:, :2]
    for name, flat in flats.items():
        carried, off = carry(flat, curve)
        if off.max() < best_off:
            best, best_off, best_curve = name, float(off.max()), carried
    if _reaches_neckline(flats[best], best_curve):
        raise DraftError(
            "the window reaches the neckline, and its edge would not close.",
            where=f"window {slug}",
            advice=f"End a keyhole {KEPT_BELOW:.0f} mm below the neckline or lower. For one that is open at "
            'the top leave it out and write neckline = "v" with a neck_depth.',
        )
    if best_off > OFF_PANEL:
        raise DraftError(
            "the window is wider than its panel or crosses a seam.",
            where=f"window {slug}",
            advice="Move it, make it smaller, or write across_seams = true and give it a backing.",
        )
    return best, best_curve


def _reaches_neckline(flat: FlatPanel, outline: Points) -> bool:
    """Whether a window comes nearer to the neckline than a strip of cloth is wide.

    Points above the neckline are carried onto it, so they touch it.
    """
    neck = [curve for slug, curve in flat.curves.items() if slug == "neck"]
    return any(shapely.LineString(curve).distance(shapely.LinearRing(outline)) < KEPT_BELOW for curve in neck)


def carry(flat: FlatPanel, places: Points) -> tuple[Points, Points]:
    """Flat places of points near a panel on the body, (k, 2), and their distances from it, (k,) [mm]."""
    panel = flat.panel
    at = nearest_faces(panel.vertices, panel.faces, places, tree=_panel_tree(panel))
    return at.carried(panel.faces, flat.vertices), at.distance


@lru_cache(maxsize=16)
def _panel_tree(panel: Panel) -> cKDTree:
    """Every window of a garment is looked for on every panel."""
    return face_tree(panel.vertices, panel.faces)

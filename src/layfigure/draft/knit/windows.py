"""Cut-outs of a close garment: carried from the body to the flat panel they lie on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layfigure.draft.flatten.panel import Ease, FlatPanel, Panel
from layfigure.draft.registry import Check
from layfigure.draft.window.outlines import Outline
from layfigure.draft.window.owners import torn
from layfigure.draft.window.rest_windows import LEAST_STRIP, WindowSpread, rest_windows, window_spreads
from layfigure.draft.window.sheet import Sheet, laid_mesh
from layfigure.draft.window.worn_plane import worn_plane
from layfigure.errors import DraftError
from layfigure.geometry.nearest_face import face_tree, nearest_faces
from layfigure.piece.piece import PieceEdge, Window

Points = NDArray[np.float64]

STRAY_LIMIT = 4.0
"""A worn edge that may lie further off than this for want of knowing the cloth is pointed out [mm]."""

AT_AN_EDGE = 0.5
"""Places carried so near to a panel's edge lie beside the panel, not on it [mm]."""

OFF_PANEL = 12.0
"""A window's point further from the panel than this lies on another one [mm]."""

LEFT_BEHIND = 60.0
"""One so far from every panel lies where the garment has no cloth [mm]."""

KEPT_BELOW = LEAST_STRIP
"""What of the cloth stays between a keyhole and the neckline [mm]."""


def windows_of_panels(
    flats: Mapping[str, FlatPanel],
    windows: Mapping[str, Outline],
    eases: Mapping[str, Ease],
    *,
    backing: str | None,
) -> tuple[dict[str, tuple[Window, ...]], tuple[Check, ...]]:
    """Windows of every panel as they must be cut, by panel slug, and how far worn edges may stray.

    windows : by slug, in the drafting pose. eases : by panel slug.
    backing : the backing piece's prefix; None where skin shows and nothing holds the edges. Raises DraftError
    for a window that crosses a seam or leaves the garment, and as ``rest_windows`` does.
    """
    wanted: dict[str, list[tuple[str, Points]]] = {slug: [] for slug in flats}
    carried = {name: _carried_each(flat, windows.values()) for name, flat in flats.items()}
    for number, (slug, outline) in enumerate(windows.items()):
        panel = _panel_of(flats, outline, {name: each[number] for name, each in carried.items()})
        wanted[panel].append((slug, outline.laid(_worn_place(flats[panel], eases[panel]))))
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


def _worn_place(flat: FlatPanel, ease: Ease) -> Callable[[Points], Points]:
    """Places on the body to the worn plane of a panel."""
    to_worn = worn_plane(flat, ease)
    return lambda places: carry(flat, places)[0] @ to_worn.T


def _carried_each(flat: FlatPanel, windows: Iterable[Outline]) -> list[tuple[Points, Points]]:
    """Every window's outline as ``carry`` lays it on a panel."""
    curves = [outline.curve for outline in windows]
    if not curves:
        return []
    places, off = carry(flat, np.concatenate(curves))
    cuts = np.cumsum([len(curve) for curve in curves])[:-1]
    return list(zip(np.split(places, cuts), np.split(off, cuts), strict=True))


def _panel_of(
    flats: Mapping[str, FlatPanel], outline: Outline, carried: Mapping[str, tuple[Points, Points]]
) -> str:
    """The panel a window lies on. Raises DraftError where it lies on several, or reaches the neckline.

    carried : the outline as ``carry`` lays it on every panel.
    """
    # How far away it lies counts too: an arm hangs level with the middle of a front.
    beside = {name: _beside(flats[name], *there) for name, there in carried.items()}
    best = min(flats, key=lambda name: beside[name] + float(np.median(carried[name][1])))
    if _reaches_neckline(flats[best], carried[best][0]):
        raise DraftError(
            "the window reaches the neckline, and its edge would not close.",
            where=f"window {outline.slug}",
            advice=f"End a keyhole {KEPT_BELOW:.0f} mm below the neckline or lower. For one that is open at "
            'the top leave it out and write neckline = "v" with a neck_depth.',
        )
    if np.min([off for _, off in carried.values()], axis=0).max() > LEFT_BEHIND:
        raise DraftError(
            "the window lies past the garment's edge.",
            where=f"window {outline.slug}",
            advice="Move it, or let the garment reach so far.",
        )
    sheets = {best: panel_sheet(flats[best])}
    over_itself = torn(sheets, outline.curve, np.zeros(len(outline.curve), dtype=np.int64)).any()
    if beside[best] > OFF_PANEL or over_itself:
        raise DraftError(
            "the window is wider than its panel or crosses a seam.",
            where=f"window {outline.slug}",
            advice="Move it, make it smaller, or write across_seams = true and give it a backing.",
        )
    return best


def _beside(flat: FlatPanel, carried: Points, off: Points) -> float:
    """How far places on the body, as ``carry`` lays them on a panel, lie beyond its edges, at most [mm].

    Cloth spans hollows, such as the one under the bust: skin deep below the middle of a panel is under it all
    the same.
    """
    at_an_edge = shapely.dwithin(_panel_edges(flat), shapely.points(carried), AT_AN_EDGE)
    return float(np.max(off[at_an_edge], initial=0.0))


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


@lru_cache(maxsize=16)
def _panel_edges(flat: FlatPanel) -> shapely.MultiLineString:
    """A panel's edges, prepared to be asked what lies near them."""
    edges = shapely.MultiLineString(list(flat.curves.values()))
    shapely.prepare(edges)
    return edges


def panel_sheet(flat: FlatPanel) -> Sheet:
    """A panel as windows across seams see it: its seams by their own names."""
    return Sheet(
        slug=flat.panel.slug,
        edges=tuple(
            PieceEdge(
                slug=edge.slug,
                curve=flat.curves[edge.slug],
                role="opening" if edge.seam is None else "seam",
                allowance=0.0,
                seam=edge.seam,
                against=edge.against,
            )
            for edge in flat.panel.outline
        ),
        carry=laid_mesh(flat.panel.vertices, flat.vertices, flat.panel.faces),
    )

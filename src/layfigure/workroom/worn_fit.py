"""How a piece sits, place by place: how hard close cloth presses, how far the rest stands off."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.body.girth_at import girths_at
from layfigure.geometry.mesh import TriangleMesh
from layfigure.workroom.body_data import STEP
from layfigure.workroom.where_words_lie import spoken_region

if TYPE_CHECKING:
    from layfigure.draft.registry import DraftResult
    from layfigure.pipeline.work import Work

Points = NDArray[np.float64]
Felt = Literal["presses", "stands off"]

CLOSE = "knit"
"""The kind of piece that is worn stretched."""

OFF_LIMITS: tuple[tuple[float, str], ...] = (
    (0.0, "the body stands out of it"),
    (10.0, "lies close"),
    (25.0, "stands off"),
    (np.inf, "stands far off"),
)
"""Upper limits of how far a piece stands off beyond its own room [mm], and the words: 10 mm is what a stiff
band may keep at most of its area (``draft.wrap``), 25 mm our judgement, no source."""

ROOM = 5.0
"""The nearest part of a piece tells the room it keeps: its thickness, its air and what lies beneath, which is
no fault of its fit [% of its vertices]."""

POKES = -0.5
"""A surface this deep in the skin is one that the body stands out of [mm]; less is the mesh's roughness."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WornFit:
    """A piece as worn. what : its values are pressures [kPa] or distances [mm]. mesh : all its surfaces.

    values : (n,) of every vertex; distances beyond the room the piece keeps everywhere. band : (n,) which of
    ``words`` it falls under.
    words : from least to greatest. worst : the tightest or farthest place in words, and ``at`` its vertex.
    """

    what: Felt
    mesh: TriangleMesh
    values: Points
    band: NDArray[np.uint8]
    words: tuple[str, ...]
    worst: str
    at: int


def worn_fit(work: Work, slug: str, result: DraftResult) -> WornFit | None:
    """How one statement's pieces sit; None where nothing says how they lie on the body."""
    surfaces = [surface.mesh for surface in result.worn_on(work.body.value().form)]
    if not surfaces:
        return None
    starts = np.cumsum([0, *(len(mesh.vertices) for mesh in surfaces)])
    mesh = TriangleMesh(
        np.concatenate([one.vertices for one in surfaces]),
        np.concatenate([one.faces + start for one, start in zip(surfaces, starts, strict=False)]),
    )
    form = work.body.value().form
    statement = next(one for one in work.chosen if one.slug == slug)
    if statement.kind == CLOSE:
        values, limits = _pressures(work, slug, mesh.vertices, form), _felt()
        worst = int(values.argmax())
        word = "tightest"
    else:
        values, limits = _distances(mesh.vertices, form), OFF_LIMITS
        deepest = int(values.argmin())
        room = max(0.0, float(np.percentile(values, ROOM)))
        values = np.where(values > room, values - room, np.minimum(values, 0.0))
        worst = deepest if values[deepest] < POKES else int(values.argmax())
        word = "deepest in the body" if worst == deepest else "farthest off"
    edges = np.array([limit for limit, _ in limits[:-1]])
    edges = np.where(edges == 0.0, POKES, edges)
    return WornFit(
        what="presses" if statement.kind == CLOSE else "stands off",
        mesh=mesh,
        values=values,
        band=np.searchsorted(edges, values, side="right").astype(np.uint8),
        words=tuple(words for _, words in limits),
        worst=f"{word} on {_place(mesh.vertices[worst], form)}",
        at=worst,
    )


def fit_packed(fit: WornFit, pose: Callable[[Points], Points] | None = None) -> bytes:
    """The bytes of a fit, for a page to draw: length and header as in ``body_data``, then places as 16-bit
    steps, bands as bytes, each padded to 4 bytes, then triangles as 32-bit whole numbers.

    pose : where places go when the wearer sits.
    """
    places = fit.mesh.vertices if pose is None else pose(fit.mesh.vertices)
    shares = np.bincount(fit.band, minlength=len(fit.words)) / len(fit.band)
    header = {
        "what": fit.what,
        "words": list(fit.words),
        "shares": [round(float(share), 3) for share in shares],
        "worst": fit.worst,
        "at": [round(float(value), 1) for value in places[fit.at]],
        "points": len(places),
        "faces": len(fit.mesh.faces),
        "step": STEP,
    }
    parts = [
        json.dumps(header, separators=(",", ":")).encode(),
        np.clip(np.rint(places / STEP), -32768, 32767).astype("<i2").tobytes(),
        fit.band.tobytes(),
    ]
    parts = [part + b" " * (-len(part) % 4) for part in parts]
    return len(parts[0]).to_bytes(4, "little") + b"".join(parts) + fit.mesh.faces.astype("<u4").tobytes()


def _pressures(work: Work, slug: str, places: Points, form: Form) -> Points:
    """What close cloth presses with, (n,) [kPa]: by the girth of the section that each place lies on."""
    from layfigure.draft.registry import find_kind
    from layfigure.materials.pressure import worn_pressure
    from layfigure.materials.stretch import choose_reduction
    from layfigure.pipeline.slips import piece_options
    from layfigure.units import parse_share

    statement = next(one for one in work.chosen if one.slug == slug)
    options = piece_options(statement, find_kind(statement.kind), f"piece {slug}")
    cloth = work.folder.cloths[statement.cloth]
    asked = (getattr(options, "reduction_round", None), getattr(options, "reduction_along", None))
    around, along = (None if text is None else parse_share(text) for text in asked)
    worn, _ = choose_reduction(cloth, around=around, along=along, where=f"piece {slug}").worn_stretch
    likely = worn_pressure(cloth, worn, 1000.0).likely
    # Laplace: the same tension presses in inverse proportion to the girth.
    pressures: Points = likely * 1000.0 / girths_at(places, form.charts)
    return pressures


def _distances(places: Points, form: Form) -> Points:
    """How far places stand off the standing skin, (n,) [mm], negative inside it."""
    from layfigure.geometry.taut_line import Skin

    foot, _, height = Skin.of(form.standing).near(places)
    away = np.linalg.norm(places - foot, axis=1)
    distances: Points = np.where(height < 0.0, -away, away)
    return distances


def _felt() -> Sequence[tuple[float, str]]:
    from layfigure.materials.pressure import FEELS

    return FEELS


def _place(place: Points, form: Form) -> str:
    """The part of the body nearest to a place, in words."""
    off = {
        region: float(np.linalg.norm(chart.sections.reshape(-1, 3) - place, axis=1).min())
        for region, chart in form.charts.items()
    }
    return spoken_region(min(off, key=lambda region: off[region]))

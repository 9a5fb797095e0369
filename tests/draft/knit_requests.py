"""Requests to draft close knits, and a walk along their seams."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import DesignEdge, EdgePoint, PieceStatement
from layfigure.draft.knit.kind import KIND
from layfigure.draft.registry import DraftRequest, DraftResult, validated_options
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

CLOTHS = {
    "lacquer": Cloth(
        slug="lacquer",
        kind="knit",
        name="lacquered knit",
        width=1500.0,
        areal_mass=220.0,
        stretch_across=0.6,
        stretch_along=0.5,
        tension=60.0,
        tested=True,
    ),
    "net": Cloth(
        slug="net",
        kind="mesh",
        name="power net",
        width=1500.0,
        areal_mass=90.0,
        stretch_across=0.8,
        stretch_along=0.6,
        tested=True,
    ),
    "felt": Cloth(slug="felt", kind="knit", name="felt", width=1500.0, areal_mass=300.0, stretch_across=0.1),
}


def lens(slug: str, region: str, station: float, around: float, long: float, wide: float) -> DesignEdge:
    """A window with two sharp tips."""
    angle = np.arange(16) / 16 * 2 * np.pi
    points = tuple(
        EdgePoint(
            at=ChartPoint(
                region=region,
                station=station + long * float(np.cos(a)),
                around=float((around + wide * np.sin(a) * abs(np.sin(a))) % 1.0),
            ),
            corner=k % 8 == 0,
        )
        for k, a in enumerate(angle)
    )
    return DesignEdge(slug=slug, points=points, closed=True)


def request(
    form: Form,
    *,
    edges: Mapping[str, DesignEdge] | None = None,
    roles: Mapping[str, str] | None = None,
    **statement: Any,
) -> DraftRequest:
    """A request for a knit piece called ``suit`` with edges placed on the wearer."""
    options = statement.pop("options", {})
    piece = PieceStatement(
        **({"slug": "suit", "kind": "knit", "cloth": "lacquer", "side": "both"} | statement),
        edges=roles or {},
        options=options,
    )
    placed = {slug: place_edge(edge, form) for slug, edge in (edges or {}).items()}
    return DraftRequest(
        statement=piece,
        options=validated_options(KIND, options, where="suit"),
        form=form,
        placement=Placement(wearer=form.wearer, edges=placed),
        cloths=CLOTHS,
    )


def draft(form: Form, **asked: Any) -> DraftResult:
    """The answer to ``request``."""
    return KIND.draft(request(form, **asked))


def preset(name: str) -> Form:
    """A whole body of the template's own."""
    template = load_template()
    return form_of(template, template.presets[name], wearer="A")


def faults(result: DraftResult) -> list[str]:
    return [check.what for check in result.checks if not check.passed and check.unit != "kPa"]


def walked_faults(pieces: tuple[Piece, ...], *, mirrored: frozenset[str] = frozenset()) -> list[str]:
    """Walk every seam notch to notch, as a stranger with only the pieces would."""
    uses: dict[str, list[tuple[str, list[tuple[str, float]], float]]] = {}
    for piece in pieces:
        for edge in piece.edges:
            if edge.seam is None:
                continue
            whole = length(edge.curve)
            marks = [(n.name, n.distance) for n in edge.notches]
            if edge.against:
                marks = [(name, whole - d) for name, d in reversed(marks)]
            uses.setdefault(edge.seam, []).append((piece.slug, marks, whole))
    found = []
    for seam, pair in uses.items():
        if seam in mirrored and len(pair) == 1:
            continue
        if len(pair) != 2:
            found.append(f"{seam} has {len(pair)} uses")
            continue
        (_, a, whole_a), (_, b, whole_b) = pair
        if [n for n, _ in a] != [n for n, _ in b]:
            found.append(f"{seam}: notches differ")
            continue
        stops_a, stops_b = [d for _, d in a] + [whole_a], [d for _, d in b] + [whole_b]
        if max(abs(x - y) for x, y in zip(stops_a, stops_b, strict=True)) > 0.05:
            found.append(f"{seam}: stretches between notches differ")
    return found

"""Thickness under a piece: the layers below it, where they lie."""

import numpy as np
import pytest
from pydantic import BaseModel

from layfigure.body.chart import ChartPoint
from layfigure.design.design import DesignEdge, EdgePoint, PieceStatement
from layfigure.draft import registry
from layfigure.draft.garment_cover import FOLDS
from layfigure.draft.registry import DraftResult, PieceKind
from layfigure.pipeline.layers import cloth_below, covered_by, stacks_below
from layfigure.place.curve import chart_curves
from layfigure.place.placement import PlacedEdge, Placement


class _Options(BaseModel, extra="forbid"):
    pleats: float = 1.0


@pytest.fixture(autouse=True)
def skirt_kind(monkeypatch: pytest.MonkeyPatch) -> None:
    kind = PieceKind(
        name="test_skirt",
        summary="A skirt.",
        options=_Options,
        draft=lambda request: DraftResult(pieces=()),
        covers=lambda options, side: {"torso": options.pleats},
    )
    monkeypatch.setitem(registry._KINDS, kind.name, kind)


THICK = {"twill": 1.0, "satin": 0.2, "foam": 5.0}


def edge(slug: str, region: str) -> PlacedEdge:
    points = tuple(EdgePoint(at=ChartPoint(region=region, station=0.5, around=k / 8.0)) for k in range(8))
    design = DesignEdge(slug=slug, points=points, closed=True, goes_round=True)
    return PlacedEdge(
        edge=design,
        at=tuple(point.at for point in points),
        points=np.zeros((8, 3)),
        curves=tuple(chart_curves(points, closed=True, goes_round=True)),
        line=np.zeros((8, 3)),
        spread=np.zeros(8),
        checks=(),
    )


PLACEMENT = Placement(wearer="A", edges={"belt": edge("belt", "torso"), "cuff": edge("cuff", "forearm_left")})


def piece(slug: str, layer: int, cloth: str = "twill", kind: str = "belt", **said: object) -> PieceStatement:
    return PieceStatement(slug=slug, kind=kind, cloth=cloth, layer=layer, **said)  # type: ignore[arg-type]


def test_a_garment_without_edges_lies_under_what_its_kind_says() -> None:
    skirt = piece("skirt", 2, kind="test_skirt", options={"pleats": 3.0}, cloths={"lining": "satin"})
    belt = piece("belt", 3, edges={"line": "belt"})
    cuff = piece("cuff", 3, edges={"line": "cuff"})
    pieces = [skirt, belt, cuff]
    assert stacks_below(pieces, PLACEMENT, THICK)["belt"] == pytest.approx(3.0 * 1.2)
    assert stacks_below(pieces, PLACEMENT, THICK)["cuff"] == 0.0
    assert stacks_below(pieces, PLACEMENT, THICK)["skirt"] == 0.0


def test_layers_add_up_and_neighbours_in_one_layer_do_not() -> None:
    under = piece("under", 0, edges={"line": "belt"})
    beside = piece("beside", 0, "foam", edges={"line": "belt"})
    over = piece("over", 1, edges={"line": "belt"})
    top = piece("top", 2, edges={"line": "belt"})
    pieces = [under, beside, over, top]
    assert stacks_below(pieces, PLACEMENT, THICK)["over"] == 5.0
    assert stacks_below(pieces, PLACEMENT, THICK)["top"] == 6.0


def test_a_statement_its_kind_refuses_still_covers_what_its_edges_say() -> None:
    wrong = piece("skirt", 1, kind="test_skirt", options={"plaits": 3}, edges={"line": "belt"})
    assert covered_by(wrong, PLACEMENT) == {"torso": 1.0}
    assert covered_by(piece("x", 1, kind="nothing"), PLACEMENT) == {}


def test_a_garment_beneath_spans_hollows_and_pleats_stand_off_in_folds() -> None:
    plain = piece("plain", 1, kind="test_skirt")
    pleated = piece("pleated", 2, kind="test_skirt", options={"pleats": 3.0})
    belt = piece("belt", 3, edges={"line": "belt"})
    cuff = piece("cuff", 3, edges={"line": "cuff"})
    below = cloth_below([plain, pleated, belt, cuff], PLACEMENT, THICK)
    assert (below["plain"].spans, below["plain"].folds) == (False, 0.0)
    assert (below["pleated"].spans, below["pleated"].folds) == (True, 0.0)
    assert (below["belt"].spans, below["belt"].folds) == (True, FOLDS)
    assert below["belt"].thickness == pytest.approx(4.0)
    assert (below["cuff"].spans, below["cuff"].folds) == (False, 0.0)


def test_a_belt_beneath_spans_nothing() -> None:
    belt, over = (piece(slug, layer, edges={"line": "belt"}) for slug, layer in (("belt", 1), ("over", 2)))
    below = cloth_below([belt, over], PLACEMENT, THICK)["over"]
    assert (below.thickness, below.spans) == (1.0, False)


@pytest.mark.parametrize(
    ("kind", "options", "layers"),
    [
        ("knit", {"garment": "top", "neckline": "stand"}, 2.0),
        ("woven", {"garment": "bodice", "collar": "stand"}, 2.0),
        ("woven", {"garment": "coat", "collar": "stand_and_fall"}, 4.0),
        ("circular", {"use": "cape", "top_finish": "collar"}, 2.0),
    ],
)
def test_what_lies_round_the_neck_lies_over_the_collar_of_a_garment(
    kind: str, options: dict[str, object], layers: float
) -> None:
    placement = Placement(wearer="A", edges={"knot": edge("knot", "neck")})
    under, scarf = piece("under", 1, kind=kind, options=options), piece("scarf", 2, edges={"line": "knot"})
    assert stacks_below([under, scarf], placement, THICK)["scarf"] == layers * THICK["twill"]
    plain = {"garment": options.get("garment", "bodice")} if kind != "circular" else {"use": "skirt"}
    without = piece("under", 1, kind=kind, options=plain)
    assert stacks_below([without, scarf], placement, THICK)["scarf"] == 0.0

"""A piece that cannot be cut is refused as that piece, before anything is written."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from pydantic import BaseModel

from layfigure.design.design import PieceStatement
from layfigure.draft import registry
from layfigure.draft.registry import DraftResult, PieceKind
from layfigure.errors import DraftError
from layfigure.pipeline.layers import Beneath
from layfigure.pipeline.stages import run_draft
from layfigure.place.placement import Placement
from sample_pieces import leg_panel


class NoOptions(BaseModel, extra="forbid"):
    """A kind that asks nothing."""


@pytest.mark.parametrize("whole", [True, False])
def test_an_outline_that_crosses_itself_is_refused_by_name(
    whole: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    panel = leg_panel("leg")
    crossing = replace(panel, edges=panel.edges[::-1])
    drafted = DraftResult(pieces=(panel if whole else crossing,))
    kind = PieceKind(name="crossing", summary="", options=NoOptions, draft=lambda _: drafted)
    monkeypatch.setitem(registry._KINDS, "crossing", kind)
    fit: Any = SimpleNamespace(form=SimpleNamespace(posture="standing"))
    statement = PieceStatement(slug="leg", kind="crossing", cloth="")

    def run() -> DraftResult:
        return run_draft(statement, fit, Placement(wearer="", edges={}), {}, Beneath(), 1)

    if whole:
        assert run().pieces
    else:
        with pytest.raises(DraftError, match="piece leg: the stitch line crosses itself"):
            run()

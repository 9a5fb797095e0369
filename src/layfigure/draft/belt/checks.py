"""What a belt is held against: that it lies on the body, lies flat true, and does not cross itself."""

from __future__ import annotations

import math

import numpy as np
from shapely import Polygon

from layfigure.draft.belt.line import BeltLine
from layfigure.draft.belt.strap import strap_edges
from layfigure.draft.registry import Check
from layfigure.draft.wrap.surface import GAP_LIMIT

FAIRED_LIMIT = 4.0


def belt_checks(line: BeltLine, width: float) -> list[Check]:
    """Of a belt of a width [mm]; more is asked of a slung one, which lies on a band."""
    gape = line.edge_difference / (2.0 * math.pi)
    checks = [
        Check.at_most(
            what="how far one edge stands away from the body",
            unit="mm",
            value=gape,
            limit=GAP_LIMIT,
            advice="The body slopes here: take shape = 'contour'.",
        )
    ]
    if line.surface is not None:
        checks = [
            Check(
                what="how far the body stands out of the belt, room and layers beneath counted",
                unit="mm",
                value=max(0.0, line.surface.poke),
                limit=0.0,
                passed=line.surface.poke <= 1e-6,
                advice="" if line.surface.poke <= 1e-6 else "Give it more air.",
            ),
            Check.at_most(
                what="how far it stands off the body, but for 5 % of its area",
                unit="mm",
                value=line.surface.gap_p95,
                limit=GAP_LIMIT,
                advice="Make the belt narrower.",
            ),
            Check.at_most(
                what="how much laying flat changes a length",
                unit="mm",
                value=line.stretch,
                limit=0.01,
            ),
            Check.at_most(
                what="how far the line was smoothed from where it was marked",
                unit="mm",
                value=line.faired_by,
                limit=FAIRED_LIMIT,
                advice="Mark the line smoother.",
            ),
        ]
    edges = strap_edges(line.curve, width, fold_back=0.0, long_allowance=0.0)
    simple = bool(Polygon(np.concatenate([edge.curve[:-1] for edge in edges])).is_valid)
    checks.append(
        Check(
            what="how many outlines cross themselves",
            value=float(not simple),
            limit=0.0,
            passed=simple,
            advice="" if simple else "Make the belt narrower or its line smoother.",
        )
    )
    return checks

"""What a wrap is asked to be, and on which regions it is drafted: one plan a piece of sheet.

A wrap that runs over a wrist, an elbow or a knee is two plans with a joint, and a pair whose sides differ is
one plan a side.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from layfigure.body.chart import RegionChart
from layfigure.body.levels import Side, split_region
from layfigure.draft.registry import DraftRequest
from layfigure.draft.round_edge import WrapEdge, level_edge, mirrored, wrap_edge
from layfigure.draft.window.options import ACROSS_SEAMS, BACKING_AS, WINDOW_EDGE, BackingAs, WindowEdge
from layfigure.draft.wrap.boot_options import BootOptions
from layfigure.draft.wrap.lattice import LatticeOptions
from layfigure.errors import DraftError
from layfigure.files.quantities import Length, Share

Place = Literal["front", "back", "inside", "outside", "left", "right"]

AROUND: Mapping[str, float] = MappingProxyType(
    {"front": 0.0, "outside": 0.25, "left": 0.25, "back": 0.5, "inside": 0.75, "right": 0.75}
)
"""Where each side of a region is, as a share of its girth."""

JOINTS: Mapping[tuple[str, str], tuple[str, str]] = MappingProxyType(
    {
        ("forearm", "hand"): ("wrist", "hand plate"),
        ("upper_arm", "forearm"): ("elbow", "lower part"),
        ("thigh", "shank"): ("knee", "lower part"),
    }
)
"""Regions that a wrap may run over: the joint between them, and what its part below is called."""

SIDES_DIFFER = 3.0
"""Left and right girths that differ by more are drafted one by one [mm]."""


class WrapOptions(BaseModel):
    """Options of a wrap, as written in costume.toml."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    closure: Place = Field("back", description="where it opens; arms: front is the thumb's side")
    join: Literal["overlap", "butt", "lacing"] = Field("overlap", description="how it closes")
    overlap: Length | None = Field(None, ge=0.0, description="how far the ends overlap")
    lacing_gap: Length = Field(30.0, ge=0.0, description="how far laced ends stay apart")
    air: Length = Field(3.0, ge=0.0, le=60.0, description="room between the layer below and the sheet")
    least_radius: Length | None = Field(None, gt=0.0, description="tightest bend of the sheet")
    bands: Literal["auto", 1, 2, 3] = Field("auto", description="how many bands; auto takes the fewest")
    cover: Share = Field(1.0, gt=0.0, le=1.0, description="share of the girth covered; below 100 % a plate")
    centre: Place = Field("front", description="middle of a plate")
    joint: Length = Field(10.0, ge=0.0, description="gap at a wrist, knee or elbow that the wrap runs over")
    lattice: LatticeOptions | None = Field(None, description="a lattice of bands in place of a plain sheet")
    boot: BootOptions | None = Field(None, description="a soft boot cover over a shoe, down to its sole line")
    inset: Length = Field(12.0, ge=2.0, le=60.0, description="a stiffener ends this far inside the sheet")
    hand_cover: Share = Field(0.42, gt=0.0, le=1.0, description="share of the hand's girth a plate covers")
    window_edge: WindowEdge = WINDOW_EDGE
    backing_as: BackingAs = BACKING_AS
    across_seams: bool = ACROSS_SEAMS


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WrapPlan:
    """One wrap on one region, ready to draft.

    cover : share of the girth, 1 right round. at : where it opens, or the middle of a plate (around).
    join : ``open`` for a plate. note : instructions of its own. hinged : joined to a part below, which holds
    it up.
    """

    slug: str
    label: str
    side: Literal["left", "right", "middle", "both"]
    chart: RegionChart
    bottom: WrapEdge
    top: WrapEdge
    cover: float
    at: float
    join: Literal["overlap", "butt", "lacing", "open"]
    note: tuple[str, ...] = ()
    hinged: bool = False

    @property
    def middle_station(self) -> float:
        """Half-way between its edges."""
        return 0.5 * (float(self.top.station.mean()) + float(self.bottom.station.mean()))


def wrap_plans(request: DraftRequest, options: WrapOptions) -> list[WrapPlan]:
    """One plan, two for a wrap that runs over a joint, twice as many where left and right differ."""
    statement = request.statement
    placed = {role: request.placement.edges[slug] for role, slug in statement.edges.items()}
    for role in ("bottom", "top"):
        if role not in placed:
            raise DraftError(f"a wrap needs a {role} edge.", advice=f"Add {role} = 'edge name' to its edges.")
    bottom, top = wrap_edge(placed["bottom"]), wrap_edge(placed["top"])
    _refuse_apart(top.region, bottom.region)
    sides: list[tuple[str, Side | Literal["both"]]] = [(top.region, split_region(top.region)[1])]
    if statement.side == "both":
        sides = _both_sides(request, top, bottom)
    plans = []
    for region, side in sides:
        suffix = f"_{side}" if len(sides) > 1 else ""
        label = statement.label or statement.slug.replace("_", " ")
        label = f"{label}, {side}" if len(sides) > 1 else label
        plans.extend(
            _plans_on(
                request,
                options,
                mirrored(top, region),
                mirrored(bottom, _beside(bottom.region, region)),
                slug=f"{statement.slug}{suffix}",
                label=label,
                side=side,
            )
        )
    return plans


def _refuse_apart(upper: str, lower: str) -> None:
    """Raise DraftError where edges lie on two regions with no joint between them."""
    joint = split_region(upper)[0].name, split_region(lower)[0].name
    if upper != lower and joint not in JOINTS:
        raise DraftError(
            f"the edges lie on {upper} and {lower}.",
            advice="Keep both on one region; only a wrist, an elbow or a knee may lie between them.",
        )


def _plans_on(
    request: DraftRequest,
    options: WrapOptions,
    top: WrapEdge,
    bottom: WrapEdge,
    *,
    slug: str,
    label: str,
    side: Side | Literal["both"],
) -> list[WrapPlan]:
    charts = request.form.charts
    plate = options.cover < 1.0
    guard = WrapPlan(
        slug=slug,
        label=label,
        side=side,
        chart=charts[top.region],
        bottom=bottom,
        top=top,
        cover=options.cover,
        at=AROUND[options.centre if plate else options.closure],
        join="open" if plate else options.join,
    )
    if bottom.region == top.region:
        return [guard]
    below = split_region(bottom.region)[0].name
    name, lower_label = JOINTS[split_region(top.region)[0].name, below]
    # Over a joint the sheet would bend two ways, so it is cut there and hinged.
    half = 0.5 * options.joint
    upper_chart, lower_chart = charts[top.region], charts[bottom.region]
    end = level_edge(top.region, 1.0 - half / _level_length(upper_chart, 0.0, 1.0))
    joint = (
        f"Join the two parts with a soft strip or elastic across the {options.joint:g} mm gap at the {name}.",
    )
    hand = below == "hand"
    lower = WrapPlan(
        slug=f"{slug}_{lower_label.split()[0]}",
        label=f"{label}, {lower_label}",
        side=side,
        chart=lower_chart,
        bottom=bottom,
        top=level_edge(bottom.region, half / _level_length(lower_chart, 0.0, 1.0)),
        cover=options.hand_cover if hand else options.cover,
        at=0.0 if hand else guard.at,
        join="open" if hand else guard.join,
        note=joint,
    )
    return [replace(guard, bottom=end, note=joint, hinged=True), lower]


def _both_sides(
    request: DraftRequest, top: WrapEdge, bottom: WrapEdge
) -> list[tuple[str, Side | Literal["both"]]]:
    """One mirrored pair, or each side by itself where the wearer's sides differ."""
    definition, side = split_region(top.region)
    if side == "middle":
        raise DraftError(f"{top.region} has no left and right.", advice="Write side = 'middle'.")
    left, right = (request.form.charts[f"{definition.name}_{name}"] for name in ("left", "right"))
    low, high = sorted((float(top.station.mean()), float(bottom.station.mean())))
    stations = np.linspace(low, high if bottom.region == top.region else 1.0, 12)
    if float(np.abs(left.girth(stations) - right.girth(stations)).max()) <= SIDES_DIFFER:
        return [(top.region, "both")]
    return [(f"{definition.name}_left", "left"), (f"{definition.name}_right", "right")]


def _beside(region: str, reference: str) -> str:
    """The region on the same side as a reference."""
    definition, side = split_region(region)
    return region if side == "middle" else f"{definition.name}_{split_region(reference)[1]}"


def _level_length(chart: RegionChart, first: float, last: float) -> float:
    return float(np.linalg.norm(chart.section(first).mean(axis=0) - chart.section(last).mean(axis=0)))

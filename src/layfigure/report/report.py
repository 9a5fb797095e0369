"""The report: one page that stands alone and shows the whole costume on one wearer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from importlib import resources

import numpy as np
from jinja2 import Environment, StrictUndefined
from numpy.typing import NDArray

from layfigure import __version__
from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.body.wearer import LengthUnit
from layfigure.colour.words import UNITS, ColourSection
from layfigure.design.design import Design, PieceStatement
from layfigure.draft.failed_check import failure_line
from layfigure.draft.registry import DraftResult
from layfigure.drawing.glb import Surface
from layfigure.drawing.sitting import sitting_scene
from layfigure.geometry.mesh import TriangleMesh
from layfigure.piece.draw import Heading
from layfigure.piece.item import Item
from layfigure.place.check_words import check_lines, sureness
from layfigure.place.placement import PlacedEdge, Placement
from layfigure.recompute.graph import remembered
from layfigure.report.body_picture import (
    BodyPicture,
    View,
    axis_beside,
    mesh_of_charts,
    picture_of,
    thinned,
    visible_runs,
)
from layfigure.report.buying_words import BuyingWords
from layfigure.report.piece_groups import piece_groups
from layfigure.report.worn_picture import worn_picture
from layfigure.units import format_length

Points = NDArray[np.float64]
VIEWS: tuple[View, ...] = ("front", "left", "back")
AROUND: tuple[View, ...] = ("front", "left", "back", "right")
SITTING: tuple[View, ...] = ("front", "left")


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnLayout:
    """How one cloth is laid. title, words : its name and what to buy. drawings : SVG, one a section."""

    title: str
    words: str
    drawings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportContents:
    """All that the report shows.

    figure : the character's charts when the design was read from pictures, else None. surface : her skin,
        None to show the charts' bare tubes.
    drafts : results by piece statement slug. messages : what the study or the fit wants to say.
    worn : surfaces of the whole costume on the wearer.
    unit : ``cm`` or ``in``, as the maker reads. papers : sheets to print of each. heading : of all pieces.
    buying : what it takes to buy, None where that was not asked. layouts : drawings to cut by.
    colours : which of them match, None where none were described.
    """

    design: Design
    form: Form
    placement: Placement
    drafts: Mapping[str, DraftResult]
    figure: Mapping[str, RegionChart] | None = None
    surface: TriangleMesh | None = None
    messages: Sequence[str] = ()
    worn: tuple[Surface, ...] = ()
    unit: LengthUnit = "cm"
    papers: Mapping[str, int] = field(default_factory=dict)
    heading: Heading = field(default_factory=lambda: Heading(costume=""))
    buying: BuyingWords | None = None
    layouts: Sequence[DrawnLayout] = ()
    colours: ColourSection | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _DrawnLine:
    edge: str
    number: int
    seen: bool
    path: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _DrawnLabel:
    number: int
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Panel:
    title: str
    view: str
    address: str
    width: int
    height: int
    lines: tuple[_DrawnLine, ...]
    labels: tuple[_DrawnLabel, ...]


def report_page(contents: ReportContents) -> str:
    """The report as one HTML text that needs no other file and no network."""
    template = (resources.files("layfigure.report") / "report.html.j2").read_text(encoding="utf-8")
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    environment.filters["check_lines"] = lambda checks: check_lines(checks, contents.unit)
    environment.filters["sureness"] = lambda checks: sureness(checks, contents.unit)
    environment.filters["length_of"] = lambda value: format_length(value, contents.unit)
    numbers = {slug: k + 1 for k, slug in enumerate(contents.placement.edges)}
    return environment.from_string(template).render(
        contents=contents,
        version=__version__,
        numbers=numbers,
        pairs=_panels(contents, numbers),
        whole=_whole(contents),
        sitting=_sitting(contents),
        moved=_moved_by(contents.placement),
        groups=piece_groups(contents.drafts, contents.design.pieces, contents.heading),
        attention=attention_list(contents),
        to_get=_to_get(contents.drafts),
        noted={slug: result for slug, result in contents.drafts.items() if result.notes},
        chosen=_chosen(contents),
        cautions=_unique(
            [
                *(c for r in contents.drafts.values() for p in r.pieces for c in p.cautions),
                *(() if contents.buying is None else contents.buying.cautions),
                *(() if contents.colours is None else contents.colours.cautions),
            ]
        ),
        estimated=sorted(contents.form.estimated),
        buying=contents.buying,
        layouts=contents.layouts,
        colours=contents.colours,
        colour_units=UNITS,
    )


def attention_list(contents: ReportContents) -> tuple[str, ...]:
    """What needs the maker, most pressing first: failed checks, then messages of study and fit."""
    failed = [
        failure_line(slug, check)
        for slug, result in contents.drafts.items()
        for check in result.checks
        if not check.passed
    ]
    return tuple(_unique([*failed, *contents.messages]))


def _to_get(drafts: Mapping[str, DraftResult]) -> list[tuple[Item, int]]:
    """Items with how many in all; like items of one use are one line."""
    counted: dict[tuple[str, str, float | None, str], tuple[Item, int]] = {}
    for result in drafts.values():
        for item in result.items:
            key = (item.slug, item.name, item.length, item.use)
            counted[key] = (item, counted.get(key, (item, 0))[1] + item.count)
    return list(counted.values())


def _chosen(contents: ReportContents) -> list[tuple[str, PieceStatement, tuple[str, ...]]]:
    """Name and statement of every piece about which something was decided, with what was chosen here."""
    found = []
    for piece in contents.design.pieces:
        result = contents.drafts.get(piece.slug)
        chosen = () if result is None else result.chosen
        if piece.decisions or piece.departures or chosen:
            found.append((piece.label or piece.slug.replace("_", " "), piece, chosen))
    return found


def _unique(items: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(items))


def _moved_by(placement: Placement) -> dict[str, float]:
    """Median distance between our placement and scaling by height, by edge [mm]."""
    return {
        slug: float(np.median(np.linalg.norm(placed.points - placed.by_height, axis=1)))
        for slug, placed in placement.edges.items()
        if placed.by_height is not None
    }


def _panels(contents: ReportContents, numbers: Mapping[str, int]) -> list[list[_Panel]]:
    """Rows of pictures: for each view the character and the wearer carrying the same lines.

    A design in words has no character, and the wearer's views stand in one row.
    """
    edges = contents.placement.edges
    form, figure = contents.form, contents.figure
    on_wearer = {slug: _lines_on(placed, form.charts) for slug, placed in edges.items()}
    wearer = [_panel("The wearer", form.standing, view, form.charts, on_wearer, numbers) for view in VIEWS]
    if figure is None:
        return [wearer]
    mesh = contents.surface or mesh_of_charts(figure)
    on_figure = {slug: _lines_on(placed, figure) for slug, placed in edges.items()}
    character = [_panel("The character", mesh, view, figure, on_figure, numbers) for view in VIEWS]
    return [list(pair) for pair in zip(character, wearer, strict=True)]


def bodies_with_lines(
    placement: Placement,
    form: Form,
    view: View,
    *,
    figure: Mapping[str, RegionChart] | None = None,
    surface: TriangleMesh | None = None,
) -> list[_Panel]:
    """The character, where there is one, and the wearer, seen from one side with every edge on them.

    figure, surface : as in ``ReportContents``. Edges are numbered in the order of the placement, from 1.
    """
    numbers = {slug: k for k, slug in enumerate(placement.edges, start=1)}
    panels = []
    if figure is not None:
        lines = {slug: _lines_on(placed, figure) for slug, placed in placement.edges.items()}
        mesh = surface or mesh_of_charts(figure)
        panels.append(_panel("The character", mesh, view, figure, lines, numbers))
    lines = {slug: _lines_on(placed, form.charts) for slug, placed in placement.edges.items()}
    return [*panels, _panel("The wearer", form.standing, view, form.charts, lines, numbers)]


def _whole(contents: ReportContents) -> list[BodyPicture]:
    """The costume on the wearer from every side; nothing where no piece shows itself."""
    if not contents.worn:
        return []
    return [remembered(worn_picture, contents.form.standing, contents.worn, view) for view in AROUND]


def _sitting(contents: ReportContents) -> list[BodyPicture]:
    """The costume on a wearer who sits, sitting; nothing for one who stands."""
    if not contents.worn or contents.form.posture != "seated":
        return []
    body, worn = sitting_scene(contents.form, contents.worn)
    return [remembered(worn_picture, body, worn, view) for view in SITTING]


def _lines_on(placed: PlacedEdge, charts: Mapping[str, RegionChart]) -> list[tuple[str, Points]]:
    return [
        (curve.region, charts[curve.region].points(curve.station, curve.around))
        for curve in placed.curves
        if curve.region in charts and len(curve.station) > 1
    ]


def _panel(
    title: str,
    mesh: TriangleMesh,
    view: View,
    charts: Mapping[str, RegionChart],
    lines: Mapping[str, list[tuple[str, Points]]],
    numbers: Mapping[str, int],
) -> _Panel:
    picture = remembered(picture_of, mesh, view)
    drawn: list[_DrawnLine] = []
    labels: list[_DrawnLabel] = []
    beyond = {"left": "_right", "right": "_left"}.get(view)
    for slug, runs in lines.items():
        longest: Points | None = None
        for region, line in runs:
            if beyond is not None and region.endswith(beyond):
                continue  # the far limb is hidden by the near one
            line = thinned(line, 6.0)
            for seen, run in visible_runs(line, axis_beside(line, charts, region), view):
                drawn.append(_DrawnLine(edge=slug, number=numbers[slug], seen=seen, path=_path(picture, run)))
                if seen and (longest is None or len(run) > len(longest)):
                    longest = run
        if longest is not None:
            x, y = picture.pixels(longest[len(longest) // 2][None])[0]
            labels.append(_DrawnLabel(number=numbers[slug], x=float(x), y=float(y)))
    return _Panel(
        title=title,
        view=view,
        address=picture.data_address(),
        width=picture.width,
        height=picture.height,
        lines=tuple(drawn),
        labels=_spread_out(labels, picture),
    )


def _path(picture: BodyPicture, line: Points) -> str:
    return "M" + " L".join(f"{x:.1f} {y:.1f}" for x, y in picture.pixels(line))


def _spread_out(
    labels: list[_DrawnLabel], picture: BodyPicture, gap: float = 17.0
) -> tuple[_DrawnLabel, ...]:
    """Labels moved apart up and down until none covers another."""
    placed: list[_DrawnLabel] = []
    for label in sorted(labels, key=lambda item: (item.y, item.x)):
        y = label.y
        while any(abs(y - other.y) < gap and abs(label.x - other.x) < gap * 1.2 for other in placed):
            y += 2.0
        placed.append(_DrawnLabel(number=label.number, x=label.x, y=min(y, picture.height - 8.0)))
    return tuple(placed)

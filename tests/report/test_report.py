"""The report stands alone, carries the same lines on both bodies and shows what needs the maker."""

import io
import re
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest
from PIL import Image

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import Design, DesignEdge, EdgePoint
from layfigure.draft.registry import Check, DraftResult
from layfigure.drawing.glb import Surface
from layfigure.piece.piece import Grainline, Piece, PieceEdge, Reason, Total, Verdict
from layfigure.place.place import place_design
from layfigure.report.body_picture import mesh_of_charts, picture_of, visible_runs
from layfigure.report.report import ReportContents, attention_list, report_page


@pytest.fixture(scope="module")
def woman() -> Form:
    template = load_template()
    return form_of(template, template.presets["woman"], "Ada")


@pytest.fixture(scope="module")
def contents(woman: Form) -> ReportContents:
    points = tuple(
        EdgePoint(at=ChartPoint(region="thigh_left", station=0.4, around=k / 6), spread_along=0.002)
        for k in range(6)
    )
    design = Design(
        name="Test <costume> & band",
        edition=3,
        edges={"band_top": DesignEdge(slug="band_top", points=points, closed=True)},
        pieces=(),
    )
    square = [[0, 0], [100, 0], [100, 50], [0, 50]]
    edges = tuple(
        PieceEdge(
            slug=f"e{k}", curve=np.array([square[k], square[(k + 1) % 4]], float), role="hem", allowance=5.0
        )
        for k in range(4)
    )
    piece = Piece(
        slug="patch",
        label="Patch",
        kind="wrap",
        cloth="leather",
        edges=edges,
        grainline=Grainline(start=(20, 25), end=(80, 25), kind="any"),
        totals=(Total(what="top edge", length=100.0),),
        verdict=Verdict(level="paper", reasons=(Reason(why="guessed girth", lifted_by="Measure it."),)),
        cautions=("Blades cut.",),
    )
    result = DraftResult(
        pieces=(piece,),
        checks=(
            Check(what="the band will slide down", value=2.0, limit=1.0, passed=False, advice="Add a strap."),
            Check(what="edges meet", value=0.01, limit=0.05, passed=True),
        ),
    )
    figure = {name: replace(chart, sections=chart.sections * 1.1) for name, chart in woman.charts.items()}
    return ReportContents(
        design=design,
        form=woman,
        placement=place_design(design, woman, figure=figure),
        drafts={"patch": result},
        figure=figure,
        messages=("The left picture disagrees with the front.",),
    )


class Links(HTMLParser):
    """Every address a page would load from."""

    def __init__(self) -> None:
        super().__init__()
        self.addresses: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.addresses += [value or "" for name, value in attrs if name in {"src", "href", "xlink:href"}]


def test_the_page_needs_nothing_else(contents: ReportContents) -> None:
    page = report_page(contents)
    links = Links()
    links.feed(page)
    assert links.addresses, "the pictures of the bodies are in the page"
    assert all(address.startswith("data:image/png;base64,") for address in links.addresses)
    assert "<script" not in page
    assert "@import" not in page
    assert "url(" not in page


def test_names_are_text_and_never_markup(contents: ReportContents) -> None:
    page = report_page(contents)
    assert "Test &lt;costume&gt; &amp; band" in page
    assert "<costume>" not in page


def test_both_bodies_carry_the_same_numbered_lines(contents: ReportContents) -> None:
    page = report_page(contents)
    figures = re.findall(r"<figure>.*?</figure>", page, flags=re.DOTALL)
    assert len(figures) == 6, "front, left and back, character and wearer"
    for drawn in figures:
        assert 'class="on"' in drawn or 'class="behind"' in drawn
    fronts = figures[:2]
    assert all("<text" in drawn for drawn in fronts)


def test_what_needs_the_maker_comes_first_and_passed_checks_fold_away(contents: ReportContents) -> None:
    assert attention_list(contents) == (
        "patch: the band will slide down. Add a strap.",
        "The left picture disagrees with the front.",
    )
    page = report_page(contents)
    assert page.index("will slide down") < page.index("Pieces</h2>")
    assert "1 check passed" in page


def test_what_holds_for_every_piece_of_a_statement_is_said_once(contents: ReportContents) -> None:
    (patch,) = contents.drafts["patch"].pieces
    alike = [
        replace(patch, slug=f"patch_{k}", label=f"Patch {k}", note=("Cut it.", "Sew it.")) for k in (1, 2)
    ]
    guess = Reason(why="guessed length", lifted_by="Measure that too.")
    worse = replace(
        patch,
        slug="patch_3",
        label="Patch 3",
        note=("Glue it.",),
        verdict=Verdict(level="scrap", reasons=(*patch.verdict.reasons, guess)),
    )
    drafts = {"patch": replace(contents.drafts["patch"], pieces=(*alike, worse))}
    page = report_page(replace(contents, drafts=drafts))
    cards = page[page.index("Pieces</h2>") :]
    said = ("guessed girth", "Measure it.", "guessed length", "Sew it.", "Glue it.", "1 check passed")
    assert [cards.count(words) for words in said] == [1] * len(said)
    # Verdicts differ, so each piece has its own; the second piece is made as the first.
    assert (cards.count("Mock it up"), cards.count("Cut it in cheap stuff first")) == (2, 1)
    assert cards.count("How to make it stands at “Patch 1”.") == 1
    assert (
        cards.index("Patch 2") < cards.index("How to make it stands at “Patch 1”.") < cards.index("Patch 3")
    )


def test_lengths_follow_the_makers_unit(contents: ReportContents) -> None:
    assert "10 cm" in report_page(contents)
    assert "3 15/16 in" in report_page(replace(contents, unit="in"))


def test_a_design_in_words_shows_the_wearer_alone(contents: ReportContents) -> None:
    page = report_page(replace(contents, figure=None))
    assert page.count("<figure>") == 3
    assert "The character" not in page


def test_places_fall_on_the_picture_where_the_body_is(woman: Form) -> None:
    picture = picture_of(woman.standing, "front", height=400)
    alpha = np.asarray(Image.open(io.BytesIO(picture.png)))[:, :, 3] > 128
    rows = np.flatnonzero(alpha.any(axis=1))
    top, bottom = picture.pixels(np.array([woman.landmarks["crown"], [0.0, 0.0, 0.0]]))[:, 1]
    assert abs(rows[0] - top) < 2.0
    assert abs(rows[-1] - bottom) < 2.0
    knee = picture.pixels(woman.charts["thigh_left"].points([0.98], [0.0]))[0]
    assert alpha[int(knee[1]), int(knee[0])]
    assert knee[0] > picture.width / 2, "the wearer's left is on the right of a front view"


def test_a_line_is_cut_where_it_turns_away() -> None:
    angle = np.linspace(0.0, 2.0 * np.pi, 181)
    ring = np.column_stack([np.sin(angle), -np.cos(angle), np.zeros_like(angle)]) * 50.0
    runs = visible_runs(ring, np.zeros_like(ring), "front")
    assert [seen for seen, _ in runs] == [True, False, True]
    assert sum(len(run) - 1 for _, run in runs) == len(ring) - 1


def test_tubes_of_both_sides_face_outward(woman: Form) -> None:
    for region in ("thigh_left", "thigh_right", "torso"):
        mesh = mesh_of_charts({region: woman.charts[region]})
        a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
        volume = float((a * np.cross(b, c)).sum() / 6.0)
        assert volume > 0.0, region


def test_a_wearer_who_sits_is_also_shown_sitting(contents: ReportContents) -> None:
    apron = Surface(name="patch", mesh=contents.form.standing, shade=(0.5, 0.1, 0.1, 1.0))
    standing = report_page(replace(contents, worn=(apron,)))
    seated = report_page(replace(contents, worn=(apron,), form=replace(contents.form, posture="seated")))
    assert "on the seated wearer" not in standing
    assert seated.count("on the seated wearer") == 2

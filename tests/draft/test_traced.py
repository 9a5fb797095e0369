"""A piece traced from paper, or from a shell cut open, becomes a piece like any other."""

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from shapely import Polygon

from layfigure.cli.main import layfigure
from layfigure.design.design import PieceStatement, Trace
from layfigure.draft.registry import DraftRequest, DraftResult
from layfigure.draft.traced import draft_traced
from layfigure.drawing.svg import svg_of
from layfigure.drawing.walk import read_svg, walk
from layfigure.errors import DraftError
from layfigure.files.svg_paths import svg_paths
from layfigure.materials.cloth import Cloth
from layfigure.piece.draw import Heading
from layfigure.piece.seam_book import SeamBook

FOAM = Cloth(slug="foam", kind="foam", name="foam", width=1000.0, areal_mass=500.0, thickness=5.0)

SHELL = """<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="200mm" viewBox="0 0 400 200">
<g id="cut open">
<path id="front" d="M10 110 L90 110 C110 90 110 40 90 20 L10 20 Z"/>
<path id="back" d="M310 110 C330 90 330 40 310 20 L390 20 L390 110 Z"/>
<circle id="port" cx="40" cy="60" r="10"/>
<line id="grain" x1="20" y1="100" x2="20" y2="40"/>
<line id="centre_line" x1="60" y1="100" x2="60" y2="30"/>
</g></svg>"""


def drafted(svg: str = SHELL, joins: tuple[str, ...] = ("front 2 to back 4",), **said: object) -> DraftResult:
    trace = Trace(file="shell.svg", lines=svg_paths(svg, name="shell.svg"), joins=joins, **said)  # type: ignore[arg-type]
    statement = PieceStatement(slug="cup", kind="shell", cloth="foam", trace=trace)
    request = DraftRequest(
        statement=statement,
        options=None,
        form=None,
        placement=None,
        cloths={"foam": FOAM},  # type: ignore[arg-type]
    )
    return draft_traced(request)


def test_every_closed_line_is_a_piece_with_its_corners_as_edges() -> None:
    back, front = drafted().pieces
    assert (back.slug, front.slug) == ("cup_back", "cup_front")
    assert [edge.slug for edge in front.edges] == [f"edge_{k}" for k in range(1, 5)]
    area = Polygon(front.stitch_line)
    assert area.exterior.is_ccw
    # A rectangle and a cubic beyond it, 60 t (1 - t) out: 960 mm² by Green's theorem, less what chords cut.
    assert front.stitch_line[0] == pytest.approx([10.0, -110.0], abs=1e-3)
    assert area.area == pytest.approx(80 * 90 + 960, rel=2e-4)


def test_what_lies_in_an_outline_goes_with_it() -> None:
    back, front = drafted().pieces
    (window,) = front.windows
    assert window.slug == "port"
    assert Polygon(window.curve).area == pytest.approx(100 * np.pi, rel=1e-2)
    assert front.grainline.start == pytest.approx((20.0, -100.0), abs=1e-3)
    assert [line.kind for line in front.lines if line.kind == "centre"]
    assert not back.windows
    assert not [line for line in back.lines if line.kind == "centre"]


def test_joined_edges_are_mates_that_a_stranger_can_walk(tmp_path: Path) -> None:
    result = drafted()
    assert all(check.passed for check in result.checks)
    (tmp_path / "pieces.svg").write_text(
        svg_of(result.pieces, Heading(costume="x", seams=SeamBook.of(result.pieces)))
    )
    edges = read_svg(tmp_path / "pieces.svg")
    assert sum("seam" in edge.facts for edge in edges) == 2
    assert walk(edges) == []


def test_a_longer_mate_is_eased_and_a_much_longer_one_told() -> None:
    eased = drafted(joins=("front 1 to back 2",))
    assert any("Sew front 1 to back 2" in line for line in eased.pieces[0].note)
    off = drafted(joins=("front 1 to back 4",))
    assert [check.passed for check in off.checks] == [False]
    assert "longer by" in off.checks[0].advice


def test_the_other_side_is_the_mirror_image() -> None:
    left, right = drafted(), drafted(mirrored=True)
    for one, other in zip(left.pieces, right.pieces, strict=True):
        flipped = Polygon(one.stitch_line * (-1.0, 1.0))
        assert flipped.symmetric_difference(Polygon(other.stitch_line)).area < 1e-6
        assert Polygon(other.stitch_line).exterior.is_ccw


def test_a_traced_cut_line_gets_no_second_allowance() -> None:
    assert {edge.allowance for edge in drafted(outline="cut").pieces[0].edges} == {0.0}
    assert {edge.allowance for edge in drafted(allowance=7.0).pieces[0].edges} == {7.0}


def test_a_round_outline_is_walked_in_two_edges() -> None:
    svg = SHELL.split("<g")[0] + '<circle id="lid" cx="50" cy="50" r="40"/></svg>'
    (lid,) = drafted(svg, joins=()).pieces
    lengths = [edge.length for edge in lid.edges]
    assert len(lengths) == 2
    assert sum(lengths) == pytest.approx(80 * np.pi, rel=1e-3)
    assert lengths[0] == pytest.approx(lengths[1], rel=0.02)


@pytest.mark.parametrize(
    ("joins", "said"),
    [
        (("front to back",), "is no join"),
        (("front 9 to back 1",), "front 9"),
        (("lid 1 to back 1",), "lid 1"),
        (("front 1 to front 1",), "twice"),
        (("front 1 to back 1", "front 1 to back 2"), "twice"),
    ],
)
def test_a_join_that_cannot_be_is_explained(joins: tuple[str, ...], said: str) -> None:
    with pytest.raises(DraftError, match=said) as told:
        drafted(joins=joins)
    assert told.value.advice


def test_a_tracing_without_an_outline_is_refused() -> None:
    with pytest.raises(DraftError, match="no closed line"):
        drafted(SHELL.split("<g")[0] + '<path d="M0 0 L50 0 L50 50"/></svg>', joins=())


def test_any_kind_may_start_from_a_tracing(tmp_path: Path) -> None:
    place = tmp_path / "costume"
    assert CliRunner().invoke(layfigure, ["new", str(place)]).exit_code == 0
    (place / "traced").mkdir()
    (place / "traced/shell.svg").write_text(SHELL)
    said = (
        '\n[[pieces]]\nslug = "cup"\nkind = "wrap"\ncloth = "eva_foam_5mm"\nside = "both"\n'
        'trace = { file = "traced/shell.svg", allowance = "0 mm", joins = ["front 2 to back 4"] }\n'
    )
    costume = place / "costume.toml"
    costume.write_text(costume.read_text() + said)
    run = [sys.executable, "-m", "layfigure.cli.main", "make", str(place), "--piece", "cup_right"]
    shown = subprocess.run([*run, "--paper", "a4"], capture_output=True, text=True)
    assert shown.returncode == 0, shown.stderr
    assert '"cup_right_front"' in (place / "out/draft.json").read_text()
    costume.write_text(costume.read_text().replace("shell.svg", "gone.svg"))
    shown = subprocess.run(run, capture_output=True, text=True)
    assert shown.returncode == 1
    assert "there is no such tracing" in shown.stderr

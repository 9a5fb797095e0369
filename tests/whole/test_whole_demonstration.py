"""The main job from files to files, on the demonstration and on a costume it has never seen."""

import html
import io
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
import zipfile
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pikepdf
import pypdfium2 as pdfium
import pytest
import shapely
import svgpathtools
from numpy.typing import NDArray
from tests.whole.made_costumes import Made, make_once

from layfigure.body.measures import stored_names
from layfigure.design.sharing import write_shared
from layfigure.files.toml import read_toml
from layfigure.piece.piece import Piece
from layfigure.piece.seam_allowance import cut_line

Points = NDArray[np.float64]

MATE = 0.05
"""Largest difference in length between mates, from notch to notch [mm]: the project's own goal."""

SVG = "{http://www.w3.org/2000/svg}"

READ_BACK = 0.01
"""How truly a file gives lengths and places back [mm]: the project's own goal."""


def outline(piece: dict[str, Any]) -> Points:
    return np.concatenate([np.array(edge["curve"])[:-1] for edge in piece["edges"]])


def arc(curve: Any) -> Points:
    steps = np.linalg.norm(np.diff(np.array(curve), axis=0), axis=1)
    return np.concatenate([[0.0], np.cumsum(steps)])


# What was asked for is there.


def test_every_statement_is_drafted_or_refused_with_advice(made: Made) -> None:
    assert set(made.statements) == {statement.slug for statement in made.work.folder.costume.pieces}
    for slug, result in made.statements.items():
        if result["pieces"] or result["items"]:
            continue
        refusals = [check for check in result["checks"] if not check["passed"]]
        assert refusals, f"{slug} has neither pieces nor a reason"
        assert all(check["advice"] for check in refusals), slug
    refused = [slug for slug, result in made.statements.items() if not (result["pieces"] or result["items"])]
    assert refused == [], "neither costume asks for anything that cannot be drafted"


def test_a_check_that_fails_says_what_to_do(made: Made) -> None:
    for slug, result in made.statements.items():
        for check in result["checks"]:
            assert check["what"], slug
            if not check["passed"]:
                assert check["advice"], f"{slug}: {check['what']}"


def test_the_list_of_files_is_true(made: Made) -> None:
    listed = (made.out / "layfigure-files.txt").read_text(encoding="utf-8").splitlines()
    assert set(listed) == {path.name for path in made.out.iterdir() if path.is_file()}
    # Layouts stay from one run to the next: a search cannot be repeated.
    assert {path.name for path in made.out.iterdir() if path.is_dir()} <= {"layouts"}
    wanted = {"pattern-a4.pdf", "pattern-projector.pdf", "pieces.svg", "pieces.dxf", "pieces.json"}
    wanted |= {"placement-card.pdf", "placement.json", "draft.json", "body.glb", "report.html"}
    wanted |= {"shopping.json"}
    assert wanted <= set(listed)


def test_the_number_of_sheets_said_first_is_the_number_of_pages(made: Made) -> None:
    for paper in ("a4", "projector"):
        (said,) = re.findall(rf"(\d+) sheets? of {paper}", made.printed)
        with pikepdf.open(made.out / f"pattern-{paper}.pdf") as pdf:
            assert len(pdf.pages) == int(said)


# Geometry: pieces as a stranger reads them from pieces.json.


def test_outlines_are_simple_and_counter_clockwise(made: Made) -> None:
    assert made.pieces
    for piece in made.pieces:
        for ring in (outline(piece), np.array(piece["cut_line"])):
            linear = shapely.LinearRing(ring)
            assert linear.is_simple, piece["slug"]
            assert linear.is_ccw, piece["slug"]


def test_every_edge_starts_where_the_one_before_ends(made: Made) -> None:
    for piece in made.pieces:
        curves = [np.array(edge["curve"]) for edge in piece["edges"]]
        for before, curve in zip([curves[-1], *curves[:-1]], curves, strict=True):
            # Coordinates are written to 0.0001 mm.
            assert before[-1] == pytest.approx(curve[0], abs=2e-4), piece["slug"]


def test_the_cut_line_lies_outside_the_stitch_line(made: Made) -> None:
    for piece in made.pieces:
        cut, stitch = shapely.Polygon(piece["cut_line"]), shapely.Polygon(outline(piece))
        assert stitch.difference(cut.buffer(0.01)).area == pytest.approx(0.0, abs=1e-6), piece["slug"]


def test_windows_lie_inside_their_piece_and_clear_of_each_other(made: Made) -> None:
    stated = {slug for statement in made.work.folder.costume.pieces for slug in statement.windows}
    found: set[str] = set()
    for piece in made.pieces:
        whole = shapely.Polygon(outline(piece))
        areas = [shapely.Polygon(window["curve"]) for window in piece["windows"]]
        for window, area in zip(piece["windows"], areas, strict=True):
            assert area.is_valid, window["slug"]
            assert whole.contains(area), f"{window['slug']} leaves {piece['slug']}"
            found.add(window["slug"])
        for index, area in enumerate(areas):
            for other in areas[index + 1 :]:
                assert area.distance(other) > 0.0, f"windows of {piece['slug']} meet"
    assert found == stated, "a window was lost on the way"


def test_a_backing_that_is_named_is_there(made: Made) -> None:
    slugs = {piece["slug"] for piece in made.pieces}
    for piece in made.pieces:
        assert {window["backing"] for window in piece["windows"]} - {None} <= slugs


# Seams, by the files alone.


def test_mates_agree_from_notch_to_notch(made: Made) -> None:
    """Independent of the walker in the package: straight from the coordinates in pieces.json."""
    pieces = {piece["slug"]: piece for piece in made.pieces}
    assert made.document["seams"]
    worst = 0.0
    for seam, book in made.document["seams"].items():
        uses = []
        for use in book["uses"]:
            (edge,) = [e for e in pieces[use["piece"]]["edges"] if e["slug"] == use["edge"]]
            assert edge["seam"] == seam
            along = arc(edge["curve"])
            places = {notch["name"]: _along(edge["curve"], notch["at"]) for notch in edge["notches"]}
            if edge["runs"] == "against":
                places = {name: along[-1] - place for name, place in places.items()}
            stations = sorted(places.items(), key=lambda item: item[1])
            uses.append([("start", 0.0), *stations, ("end", float(along[-1]))])
        for use in uses[1:]:
            assert [name for name, _ in use] == [name for name, _ in uses[0]], seam
            one, other = (np.diff([place for _, place in stations]) for stations in (uses[0], use))
            worst = max(worst, float(np.abs(one - other).max()))
        if len(uses) == 1:
            (use,) = book["uses"]
            assert pieces[use["piece"]]["side"] == "both", f"{seam} has no mate"
    assert worst <= MATE


def _along(curve: Any, at: Any) -> float:
    """Arc length of the nearest place on a curve."""
    return float(shapely.LineString(curve).project(shapely.Point(at)))


@pytest.mark.parametrize("kind", ["svg", "dxf"])
def test_a_stranger_walks_every_seam_with_one_file(made: Made, kind: str, tmp_path: Path) -> None:
    """The documented command, in a process of its own, in a folder with nothing but the file."""
    alone = tmp_path / f"pieces.{kind}"
    alone.write_bytes((made.out / f"pieces.{kind}").read_bytes())
    done = subprocess.run(
        [sys.executable, "-m", "layfigure.drawing.walk", alone.name],
        cwd=tmp_path,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    edges = sum(len(piece["edges"]) for piece in made.pieces)
    seams = len(made.document["seams"])
    assert done.stdout.splitlines()[-1] == f"{edges} edges, {seams} seams, 0 faults"


# The same lines in every file, read by readers that are not ours.


def off(found: Any, curve: Points) -> float:
    """How far a line in a file is from the drafted one [mm]: in place, at its ends and in its length."""
    line, drafted = shapely.LineString(found), shapely.LineString(curve)
    ends = np.abs(np.array(found)[[0, -1]] - curve[[0, -1]]).max()
    return max(line.hausdorff_distance(drafted), abs(line.length - drafted.length), float(ends))


def off_ring(found: Any, ring: Points) -> float:
    """The same of closed lines, wherever they begin."""
    line, drafted = shapely.LinearRing(found), shapely.LinearRing(ring)
    return max(float(line.hausdorff_distance(drafted)), abs(line.length - drafted.length))


def drafted(made: Made) -> list[Piece]:
    return [piece for result in made.drafts.values() for piece in result.pieces]


def test_json_tells_the_pieces_as_they_were_drafted(made: Made) -> None:
    assert [piece["slug"] for piece in made.pieces] == [piece.slug for piece in drafted(made)]
    for told, piece in zip(made.pieces, drafted(made), strict=True):
        assert off_ring(told["cut_line"], cut_line(piece.edges)) <= READ_BACK
        for edge, other in zip(told["edges"], piece.edges, strict=True):
            assert off(edge["curve"], other.curve) <= READ_BACK, (piece.slug, other.slug)
            assert edge["length"] == pytest.approx(other.length, abs=READ_BACK)
        for window, cut_out in zip(told["windows"], piece.windows, strict=True):
            assert off_ring(window["curve"], cut_out.curve) <= READ_BACK, cut_out.slug


def test_an_independent_reader_finds_the_same_lines_in_the_svg(made: Made) -> None:
    # Reader: svgpathtools for the paths, the standard library for the groups they lie in.
    root = ET.parse(made.out / "pieces.svg").getroot()
    groups = {group.get("data-piece"): group for group in root.iter(f"{SVG}g") if group.get("data-piece")}
    assert list(groups) == [piece.slug for piece in drafted(made)]
    for piece in drafted(made):
        edges: dict[str, Points] = {}
        windows: dict[str, Points] = {}
        (boundary,) = groups[piece.slug].findall(f"{SVG}g[@class='boundary']/{SVG}path")
        for path in groups[piece.slug].iter(f"{SVG}path"):
            if path.get("data-edge") and not path.get("data-notch"):
                edges[path.get("data-edge", "")] = _path_points(path)
            if path.get("data-window"):
                windows[path.get("data-window", "")] = _path_points(path)
        # Pieces are laid side by side on a sheet: all lines of one are moved by the same amount.
        moved = edges[piece.edges[0].slug][0] - piece.edges[0].curve[0]
        assert edges.keys() == {edge.slug for edge in piece.edges}
        for edge in piece.edges:
            assert off(edges[edge.slug] - moved, edge.curve) <= READ_BACK, (piece.slug, edge.slug)
        assert windows.keys() == {window.slug for window in piece.windows}
        for window in piece.windows:
            assert off_ring(windows[window.slug] - moved, window.curve) <= READ_BACK, window.slug
        assert off_ring(_path_points(boundary) - moved, cut_line(piece.edges)) <= READ_BACK, piece.slug


def _path_points(path: ET.Element) -> Points:
    steps = svgpathtools.parse_path(path.get("d", ""))
    places = [steps[0].start, *(step.end for step in steps)]
    return np.array([(place.real, -place.imag) for place in places])


def test_an_independent_reader_finds_the_same_lines_in_the_dxf(made: Made) -> None:
    # Reader: ezdxf, with its own audit.
    document = ezdxf.readfile(made.out / "pieces.dxf")
    assert not document.audit().errors
    assert document.header["$INSUNITS"] == ezdxf.units.MM
    inserted = [insert.dxf.name for insert in document.modelspace().query("INSERT")]
    assert len(inserted) == len(set(inserted)) == len(drafted(made))
    for name, piece in zip(inserted, drafted(made), strict=True):
        block = document.blocks[name]
        assert f"PIECE NAME: {piece.slug}" in {text.dxf.text for text in block.query("TEXT")}
        layers: dict[str, list[Points]] = {}
        for line in block.query("POLYLINE"):
            points = np.array([(v.dxf.location.x, v.dxf.location.y) for v in line.vertices])
            layers.setdefault(line.dxf.layer, []).append(points)
        (boundary,) = layers["1"]
        assert off_ring(boundary, cut_line(piece.edges)) <= READ_BACK, piece.slug
        sewn = layers.get("14", []) + layers.get("6", [])
        for edge in piece.edges:
            assert min(off(line, edge.curve) for line in sewn) <= READ_BACK, (piece.slug, edge.slug)
        cutouts = layers.get("11", [])
        assert len(cutouts) == len(piece.windows)
        for window in piece.windows:
            assert min(off_ring(line, window.curve) for line in cutouts) <= READ_BACK, window.slug


# What every piece carries.


def test_every_piece_carries_what_a_maker_needs(made: Made) -> None:
    for piece in made.pieces:
        name = piece["slug"]
        assert piece["label"], name
        assert piece["count"] == (2 if piece["side"] == "both" else piece["count"]), name
        assert len(piece["totals"]) == 3, name
        assert len({total["what"] for total in piece["totals"]}) == 3, name
        assert all(total["length"] > 0.0 for total in piece["totals"]), name
        assert piece["note"], name
        assert all(line.strip() for line in piece["note"]), name
        assert piece["grainline"]["start"] != piece["grainline"]["end"], name
        assert piece["verdict"]["level"] in ("paper", "scrap", "good material"), name
        if piece["verdict"]["level"] != "good material":
            assert piece["verdict"]["reasons"], name
        for reason in piece["verdict"]["reasons"]:
            assert reason["why"], name
            assert reason["lifted_by"], f"{name}: {reason['why']}"
        assert piece["edition"] == made.work.folder.costume.edition, name


def test_the_grainline_lies_on_the_piece(made: Made) -> None:
    for piece in made.pieces:
        line = shapely.LineString([piece["grainline"]["start"], piece["grainline"]["end"]])
        assert shapely.Polygon(piece["cut_line"]).buffer(0.01).contains(line), piece["slug"]


def test_totals_named_after_an_edge_read_what_the_edge_does(made: Made) -> None:
    checked = 0
    for piece in made.pieces:
        lengths = {edge["slug"].replace("_", " "): arc(edge["curve"])[-1] for edge in piece["edges"]}
        for total in piece["totals"]:
            name, comma, how = total["what"].partition(", ")
            if comma and how == "along the stitch line" and name in lengths:
                assert total["length"] == pytest.approx(lengths[name], abs=0.1), piece["slug"]
                checked += 1
    assert checked > 0


# "Good material" is earned by tapes and tested cloth, never by guesses.

LEGGINGS_TAPES = ("waist_girth", "hip_girth", "thigh_girth", "knee_girth", "ankle_girth", "crotch_height")


def test_good_material_is_of_tested_cloth(made: Made) -> None:
    for piece in made.pieces:
        cloth = made.work.folder.cloths[piece["cloth"]]
        if piece["verdict"]["level"] == "good material" and cloth.kind != "paper":
            assert cloth.tested, piece["slug"]


def test_good_material_hangs_on_no_guess(made: Made) -> None:
    for statement in made.work.folder.costume.pieces:
        levels = {piece["verdict"]["level"] for piece in made.statements[statement.slug]["pieces"]}
        if "good material" in levels and statement.options.get("garment") == "leggings":
            governing = {name for tape in LEGGINGS_TAPES for name in stored_names(tape)}
            assert not governing & made.body.form.estimated


# Paper, card and report.


def test_the_card_is_one_page(made: Made) -> None:
    with pikepdf.open(io.BytesIO((made.out / "placement-card.pdf").read_bytes())) as pdf:
        assert len(pdf.pages) == 1


class _Addresses(HTMLParser):
    """Collects whatever a page could load or point at."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        loading = ("src", "href", "xlink:href", "srcset", "data", "action", "poster")
        self.found += [value or "" for name, value in attrs if name in loading]


def test_the_report_stands_alone(made: Made) -> None:
    text = (made.out / "report.html").read_text(encoding="utf-8")
    page = _Addresses()
    page.feed(text)
    assert page.found, "the pictures are in the page"
    assert [address[:60] for address in page.found if not address.startswith(("data:", "#"))] == []
    assert not {"link", "iframe", "object", "embed"} & page.tags
    assert "url(" not in text
    assert "@import" not in text
    assert not re.search(r"https?://", text)


def test_who_reads_inches_reads_no_millimetres(shared: Path) -> None:
    """But names of materials, and what she wrote herself."""
    second = make_once(shared, "lamplighter on pell")
    folder = second.work.folder
    assert second.work.wearer.unit == "in"
    report = (second.out / "report.html").read_text(encoding="utf-8")
    page = re.sub(r"<(svg|style|script).*?</\1>", "", report, flags=re.DOTALL)
    said = [html.unescape(words) for words in re.findall(r">([^<>]+)<", page)]
    with pdfium.PdfDocument(second.out / "pattern-a4.pdf") as pattern:
        # With what a sheet's rim cuts off: there a name may be cut anywhere.
        said += [sheet.get_textpage().get_text_range() for sheet in pattern]
    own = re.findall(r'words = "(.*)"', (second.root / "costume.toml").read_text(encoding="utf-8"))
    own += [cloth.name for cloth in folder.cloths.values()]
    for number, words in enumerate(said):
        for name in own:
            words = words.replace(name, "")
        # A name of two lines in a column is read with the next column in between.
        said[number] = re.sub(r"oam, 5 mm|eather, 2 mm|heet, 2\.4 mm", "", re.sub(r"\s+", " ", words))
    metric = [match for words in said for match in re.findall(r".{0,30}[0-9] (?:mm|cm)\b.{0,20}", words)]
    assert metric == []


def test_the_report_shows_every_piece_and_what_needs_the_maker(made: Made) -> None:
    text = (made.out / "report.html").read_text(encoding="utf-8")
    for piece in made.pieces:
        assert piece["label"] in text
        for caution in piece["cautions"]:
            assert _as_html(caution) in text
    for result in made.statements.values():
        for check in result["checks"]:
            if not check["passed"]:
                assert _as_html(check["advice"]) in text


def test_what_was_decided_is_told_with_the_piece(made: Made) -> None:
    """In the report, in draft.json, and in the note printed with the piece, which is in pieces.json."""
    report = (made.out / "report.html").read_text(encoding="utf-8")
    with pdfium.PdfDocument((made.out / "pattern-a4.pdf").read_bytes()) as document:
        printed = " ".join(word for page in document for word in page.get_textpage().get_text_range().split())
    notes = {piece["slug"]: piece["note"] for piece in made.pieces}
    counted = {"decisions": 0, "departures": 0, "chosen": 0}
    for statement in made.work.folder.costume.pieces:
        result = made.statements[statement.slug]
        assert result["decisions"] == list(statement.decisions), statement.slug
        assert result["departures"] == list(statement.departures), statement.slug
        lines = [
            *(f"Decided: {line}" for line in statement.decisions),
            *(f"Meant to differ from the pictures: {line}" for line in statement.departures),
            *result["chosen"],
        ]
        for told in (*statement.decisions, *statement.departures, *result["chosen"]):
            assert _as_html(told) in report, statement.slug
        for name in counted:
            counted[name] += len(result[name])
        if result["pieces"] and lines:
            first = result["pieces"][0]
            assert first["note"][-len(lines) :] == lines, statement.slug
            assert notes[first["slug"]] == first["note"]
            for line in lines:
                assert line in printed, statement.slug
    assert counted["chosen"] > 0
    if made.demonstration:
        assert counted["decisions"] > 5
        assert counted["departures"] > 0


def _as_html(words: str) -> str:
    from markupsafe import escape

    return str(escape(words))


# Private things stay private.


def test_no_result_tells_where_the_wearers_file_lies(made: Made) -> None:
    for path in made.out.iterdir():
        content = path.read_bytes()
        for secret in (str(made.root), str(made.out), f"wearers/{made.wearer}", f"{made.wearer}.toml"):
            assert secret.encode() not in content, path.name


def typed_sizes(made: Made) -> set[str]:
    """Sizes of the wearer as her file says them, such as ``113.2 cm``."""
    wearer = read_toml(made.root / "wearers" / f"{made.wearer}.toml", what="the wearer")
    typed: set[str] = set()
    for size in wearer.data["measures"].values():
        typed.update(size if isinstance(size, list) else [size])
    assert len(typed) > 15
    return typed


def test_a_shared_design_holds_no_wearer(made: Made, tmp_path: Path) -> None:
    write_shared(made.root, tmp_path / "shared.zip")
    with zipfile.ZipFile(tmp_path / "shared.zip") as packed:
        names = packed.namelist()
        assert {"costume.toml", "marks.json", "materials.toml"} <= set(names)
        assert not [name for name in names if "wearer" in name or name.startswith("out")]
        for name in names:
            content = packed.read(name)
            assert not [size for size in typed_sizes(made) if size.encode() in content], name


def test_no_measure_stands_in_files_for_other_programs(made: Made) -> None:
    """docs/exchange.md: the files say no measure of the body.

    Sizes are sought as they were typed, in all words but the totals and lengths of elastic to cut: sizes of
    paper and cloth, which may read like a tape by chance. The paper's words are the SVG's.
    """
    typed = typed_sizes(made)
    words = re.findall(r"<text[^>]*>([^<]*)<", (made.out / "pieces.svg").read_text(encoding="utf-8"))
    words = [line for line in words if not line.startswith("check:")]
    for piece in made.pieces:
        words += [*piece["note"], *piece["cautions"], piece["label"]]
        words += [part for reason in piece["verdict"]["reasons"] for part in reason.values()]
    assert len(words) > 100
    sizes = re.compile(r"(?<![\d.])(" + "|".join(re.escape(size) for size in sorted(typed)) + ")")
    assert [line for line in words if sizes.search(line) and "elastic" not in line] == []

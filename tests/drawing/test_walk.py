"""A stranger with only the exported files walks every seam, and finds what was planted."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from layfigure.drawing.dxf import dxf_of
from layfigure.drawing.svg import svg_of
from layfigure.drawing.walk import Fault, main, read_dxf, read_svg, walk
from layfigure.piece.draw import Heading
from layfigure.piece.piece import Piece
from layfigure.piece.seam_book import SeamBook
from sample_pieces import all_samples

KINDS = ("svg", "dxf")


def exported(pieces: tuple[Piece, ...], kind: str, folder: Path) -> Path:
    heading = Heading(costume="Brindle", seams=SeamBook.of(pieces))
    path = folder / f"pieces.{kind}"
    path.write_text((svg_of if kind == "svg" else dxf_of)(pieces, heading), encoding="utf-8")
    return path


def walked(pieces: tuple[Piece, ...], kind: str, folder: Path) -> list[Fault]:
    path = exported(pieces, kind, folder)
    return walk(read_svg(path) if kind == "svg" else read_dxf(path))


def changed(slug: str, edge_slug: str, **changes: object) -> tuple[Piece, ...]:
    """The leg's or the top's two pieces with one edge changed."""
    return tuple(
        replace(
            piece,
            edges=tuple(replace(e, **changes) if e.slug == edge_slug else e for e in piece.edges),  # type: ignore[arg-type]
        )
        if piece.slug == slug
        else piece
        for piece in all_samples()
        if piece.slug.split("_")[0] == slug.split("_")[0]
    )


@pytest.mark.parametrize("kind", KINDS)
def test_every_seam_of_sound_pieces_walks(kind: str, tmp_path: Path) -> None:
    path = exported(all_samples(), kind, tmp_path)
    edges = read_svg(path) if kind == "svg" else read_dxf(path)
    assert len(edges) == sum(len(piece.edges) for piece in all_samples())
    seams = {edge.facts["seam"] for edge in edges if "seam" in edge.facts}
    assert seams == {"forearm_guard_left_back", "leg_inner_side", "leg_outer_side", "top_side"}
    assert sum(len(edge.notches) for edge in edges) == 2 * 2 + 2 * 6
    assert walk(edges) == []
    # Rounding in the file costs less than a fifth of the tolerance.
    assert walk(edges, tolerance=0.01) == []


@pytest.mark.parametrize("kind", KINDS)
def test_a_moved_notch_is_caught(kind: str, tmp_path: Path) -> None:
    notches = next(p for p in all_samples() if p.slug == "leg_back").edge("inner_side").notches
    moved = (replace(notches[0], distance=notches[0].distance + 0.3), *notches[1:])
    faults = walked(changed("leg_back", "inner_side", notches=moved), kind, tmp_path)
    assert {fault.seam for fault in faults} == {"leg_inner_side"}
    assert any("differs by -0.30 mm" in str(f) or "differs by +0.30 mm" in str(f) for f in faults)


@pytest.mark.parametrize("kind", KINDS)
def test_a_seam_a_fifth_of_a_millimetre_too_long_is_caught(kind: str, tmp_path: Path) -> None:
    back = next(p for p in all_samples() if p.slug == "top_back")
    side = back.edge("side")
    # Lengthened by a swing that starts and ends where the edge does: the piece stays closed.
    t = np.linspace(0.0, 1.0, len(side.curve))[:, None]
    grown = side.curve
    bulge = 0.0
    while replace(side, curve=grown).length < side.length + 0.2:
        bulge += 0.01
        grown = side.curve + bulge * np.sin(np.pi * t) * [[-1.0, 0.0]]
    excess = replace(side, curve=grown).length - side.length
    assert excess == pytest.approx(0.2, abs=0.01)
    faults = walked(changed("top_back", "side", curve=grown), kind, tmp_path)
    assert len(faults) == 1
    assert faults[0].seam == "top_side"
    assert "0.20 mm" in faults[0].what


@pytest.mark.parametrize("kind", KINDS)
def test_an_eased_edge_is_walked_as_sewn(kind: str, tmp_path: Path) -> None:
    edge = next(piece for piece in all_samples() if piece.slug == "leg_front").edge("outer_side")
    longer = 1.04 * edge.curve
    notches = tuple(replace(notch, distance=1.04 * notch.distance) for notch in edge.notches)
    for eased, sound in ((0.04 * edge.length, True), (0.03 * edge.length, False)):
        pieces = changed("leg_front", "outer_side", curve=longer, notches=notches, eased=eased)
        assert (walked(pieces, kind, tmp_path) == []) is sound


@pytest.mark.parametrize("kind", KINDS)
def test_a_wrong_mate_is_caught(kind: str, tmp_path: Path) -> None:
    # One piece has its two seams mixed up: each would be sewn to the other's mate.
    mixed = {"leg_inner_side": "leg_outer_side", "leg_outer_side": "leg_inner_side"}
    pieces = tuple(
        replace(p, edges=tuple(replace(e, seam=mixed.get(e.seam or "", e.seam)) for e in p.edges))
        if p.slug == "leg_back"
        else p
        for p in all_samples()
        if p.slug.startswith("leg")
    )
    faults = walked(pieces, kind, tmp_path)
    assert {fault.seam for fault in faults} == set(mixed)
    assert all("notches differ" in fault.what for fault in faults)
    # And a seam that claims a mate elsewhere leaves its own mate alone.
    faults = walked(changed("top_back", "side", seam="leg_outer_side"), kind, tmp_path)
    assert "seam top_side: side of top_front meets nothing" in [str(fault) for fault in faults]


@pytest.mark.parametrize("kind", KINDS)
def test_a_lost_notch_and_a_turned_seam_are_caught(kind: str, tmp_path: Path) -> None:
    lost = walked(changed("leg_front", "outer_side", notches=()), kind, tmp_path)
    assert any("notches differ: o1, o2, o3" in fault.what for fault in lost)
    turned = walked(changed("leg_back", "outer_side", against=False), kind, tmp_path)
    assert any("run the same way" in fault.what for fault in turned)


def test_it_runs_on_a_file_by_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([str(exported(all_samples(), "dxf", tmp_path))]) == 0
    assert "24 edges, 4 seams, 0 faults" in capsys.readouterr().out
    assert main([str(exported(changed("leg_front", "outer_side", notches=()), "svg", tmp_path))]) == 1

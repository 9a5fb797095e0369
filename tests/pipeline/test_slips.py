"""What a piece would drop without a word is refused before anything is drafted, with what to do instead."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from layfigure.design.design import PieceStatement, Trace
from layfigure.draft import registry
from layfigure.draft.registry import find_kind, known_kinds
from layfigure.errors import DraftError
from layfigure.files.svg_paths import svg_paths
from layfigure.geometry.mesh import TriangleMesh
from layfigure.pipeline.slips import piece_options, refuse_slips

PAIR = {"top": "guard_top", "bottom": "guard_bottom"}
NEEDED: dict[str, dict[str, Any]] = {
    "base": {"options": {"patterns": [{"name": "own", "body": {"M": {"bust_girth": "92 cm"}}}]}},
    "belt": {"edges": {"line": "belt"}},
    "found": {"options": {"things": [{"name": "boots", "source": "owned"}]}},
    "strand": {"options": {"made_of": "chain"}},
    "woven": {"options": {"garment": "skirt"}},
    "wrap": {"edges": PAIR},
}
WITHOUT_WINDOWS = sorted(name for name, kind in known_kinds().items() if not kind.windows)
WITH_BACKING = ", ".join(sorted(name for name, kind in known_kinds().items() if kind.backing))
OUTLINE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path id="a" d="M0 0 L9 0 L9 9 Z"/></svg>'
)
OUTLINE_TRACE = Trace(file="cup.svg", lines=svg_paths(OUTLINE, name="cup.svg"))
MESH_TRACE = Trace(
    file="cup.obj", mesh=TriangleMesh(np.eye(3) * 100.0, np.array([[0, 1, 2]], dtype=np.int64))
)


def stated(kind: str, **said: Any) -> PieceStatement:
    """A piece of a kind with all that the kind needs, and what is said beside it."""
    needed = NEEDED.get(kind, {})
    options = {**needed.get("options", {}), **said.pop("options", {})}
    return PieceStatement(
        slug="piece", kind=kind, cloth="foam", edges=needed.get("edges", {}), options=options, **said
    )


def refused(statement: PieceStatement, words: str, *advice: str) -> None:
    with pytest.raises(DraftError, match=words) as told:
        refuse_slips(statement, "costume.toml:12")
    assert told.value.where == "costume.toml:12"
    for part in advice:
        assert part in told.value.advice


@pytest.mark.parametrize("kind", sorted(known_kinds()))
def test_a_plain_piece_of_every_kind_is_no_slip(kind: str) -> None:
    refuse_slips(stated(kind))


@pytest.mark.parametrize("kind", WITHOUT_WINDOWS)
def test_windows_on_a_kind_that_cuts_none_are_refused(kind: str) -> None:
    refused(stated(kind, windows=("eye",)), f"a {kind} makes no windows, and 'eye'", "knit")


@pytest.mark.parametrize("kind", [*WITHOUT_WINDOWS, "base"])
def test_a_backing_on_a_kind_that_has_none_is_refused(kind: str) -> None:
    refused(
        stated(kind, backing="mesh"),
        "makes nothing of a backing, and 'mesh'",
        f"Kinds that do: {WITH_BACKING}.",
    )


def test_a_backing_where_a_lining_is_meant_is_told_so() -> None:
    with pytest.raises(DraftError) as told:
        refuse_slips(stated("woven", backing="satin"))
    assert 'cloths = { lining = "satin" }' in told.value.advice


def test_a_backing_without_windows_is_refused() -> None:
    refused(stated("knit", backing="mesh"), "it names none", "windows = ")
    refuse_slips(stated("knit", backing="mesh", windows=("eye",)))


@pytest.mark.parametrize("kind", sorted(known_kinds()))
def test_a_material_in_an_unknown_role_is_refused(kind: str) -> None:
    refused(stated(kind, cloths={"colar": "felt"}), f"a {kind} makes nothing of cloths.colar")


@pytest.mark.parametrize("kind", sorted(known_kinds()))
def test_every_role_a_kind_states_is_taken(kind: str) -> None:
    for role in find_kind(kind).cloths:
        refuse_slips(stated(kind, cloths={role: "felt"}))


def test_who_takes_a_role_is_said() -> None:
    refused(stated("belt", cloths={"lining": "felt"}), "cloths.lining", "option for it: write options")
    refused(stated("strap", cloths={"lining": "felt"}), "cloths.lining", "hanging, pouch, woven, wrap")
    refused(stated("shell", cloths={"collar": "felt"}), "cloths.collar", "no other material than its cloth")
    refused(stated("wrap", cloths={"linning": "felt"}), "cloths.linning", "lining", "stiffener (")


@pytest.mark.parametrize(
    ("kind", "options", "role"),
    [
        ("wrap", {"boot": {}}, "stiffener"),
        ("circular", {"top_finish": "elastic"}, "interfacing"),
        ("woven", {"garment": "skirt", "closure": "back_zip"}, "facing"),
    ],
)
def test_a_role_that_other_options_leave_no_use_for_is_refused(
    kind: str, options: dict[str, Any], role: str
) -> None:
    refused(stated(kind, options=options, cloths={role: "felt"}), r".", f"Leave cloths.{role} out")


@pytest.mark.parametrize("role", ["facing", "interfacing"])
def test_a_skirt_without_a_band_takes_cloth_for_its_facings(role: str) -> None:
    options = {"garment": "skirt", "closure": "back_zip", "waistband": False}
    refuse_slips(stated("woven", options=options, cloths={role: "felt"}))


def test_a_cloth_for_a_panel_that_a_knit_may_have_is_no_slip() -> None:
    seams = {"seams": ("hip_yoke",), "options": {"garment": "bodysuit"}}
    for name in ("back", "sleeve", "above_hip_yoke", "front_above_hip_yoke", "front_side_left"):
        refuse_slips(stated("knit", cloths={name: "felt"}, **seams))
    for name in ("leg_left", "above_waist", "front_above", "hip_yoke"):
        refused(stated("knit", cloths={name: "felt"}, **seams), f"cloths.{name}", "for a panel: front, ")
    hood = {"garment": "hood"}
    refused(stated("knit", cloths={"back": "felt"}, options=hood), "a hood is cut from one cloth")


@pytest.mark.parametrize("kind", sorted(set(known_kinds()) - {"knit"}))
def test_seams_on_a_kind_that_puts_its_own_are_refused(kind: str) -> None:
    refused(stated(kind, seams=("yoke",)), f"a {kind} puts its own seams, and 'yoke'", "take seams: knit.")


def test_seams_of_a_hood_are_refused() -> None:
    refused(stated("knit", options={"garment": "hood"}, seams=("yoke",)), "a hood is cut by formula")


def test_windows_that_other_options_leave_no_use_for_are_refused() -> None:
    refused(stated("knit", options={"garment": "hood"}, windows=("eye",)), "a hood has no windows")
    refused(stated("base", windows=("eye",)), "nothing to draw windows on")
    refuse_slips(stated("base", windows=("eye",), trace=OUTLINE_TRACE))


@pytest.mark.parametrize(
    ("said", "words", "advice"),
    [
        ({"windows": ("eye",)}, "its windows would be lost", "closed lines inside the outline"),
        ({"seams": ("yoke",)}, "its seams would be lost", "Trace each part"),
        ({"backing": "mesh"}, "its backing would be lost", "a piece of its own"),
        ({"cloths": {"lining": "felt"}}, "cloths.lining would be lost", "for a lining, trace it too"),
        ({"options": {"closure": True}}, "'closure' would be lost", "say in decisions how it closes"),
    ],
)
def test_what_a_traced_outline_would_lose_is_refused(said: dict[str, Any], words: str, advice: str) -> None:
    refused(stated("knit", trace=OUTLINE_TRACE, **said), words, advice)


def test_a_traced_outline_keeps_what_tells_where_it_lies() -> None:
    # The garment says which regions it covers, and so what lies beneath other pieces.
    refuse_slips(stated("knit", trace=OUTLINE_TRACE, options={"garment": "top", "sleeves": False}))


def test_a_traced_outline_needs_no_option_of_its_kind() -> None:
    statement = PieceStatement(slug="piece", kind="woven", cloth="foam", trace=OUTLINE_TRACE)
    refuse_slips(statement)
    assert piece_options(statement, find_kind("woven"), "") is not None


def test_a_traced_panel_takes_no_lining_but_a_traced_motif_does() -> None:
    refused(stated("hanging", trace=OUTLINE_TRACE, cloths={"lining": "silk"}), "cloths.lining would be lost")
    art = {"artwork": {"order": 3}}
    refuse_slips(stated("hanging", trace=OUTLINE_TRACE, cloths={"lining": "silk"}, options=art))


def test_a_mesh_is_laid_flat_by_the_kind_that_does() -> None:
    refused(stated("wrap", trace=MESH_TRACE), "cup.obj would be lost", "shell")
    refused(
        stated("shell", trace=MESH_TRACE, options={"shape": "dome"}), "a dome has a shape of its own", "mesh"
    )
    refuse_slips(stated("shell", trace=MESH_TRACE, options={"shape": "mesh"}))


def test_a_broken_package_of_somebody_else_does_not_hide_the_slip(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    about = tmp_path / "broken_kind-1.0.dist-info"
    about.mkdir()
    (about / "METADATA").write_text("Metadata-Version: 2.1\nName: broken-kind\nVersion: 1.0\n")
    (about / "entry_points.txt").write_text("[layfigure.kinds]\nbroken = no_such_module:KIND\n")
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(DraftError):
        registry.known_kinds()
    refused(stated("strand", windows=("eye",)), "makes no windows")

"""What was decided about a piece stays with it: the maker's own decisions, and what was chosen for her."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from layfigure.design.design import PieceStatement
from layfigure.draft.decided import with_decisions
from layfigure.draft.registry import DraftRequest, DraftResult, find_kind, known_kinds, validated_options
from layfigure.materials.cloth import Cloth
from sample_pieces import small_tab

CLOTH = Cloth(
    slug="knit",
    kind="knit",
    name="knit",
    width=1500.0,
    areal_mass=200.0,
    stretch_across=0.6,
    stretch_along=0.5,
)


def request(kind: str, options: dict[str, Any], **said: Any) -> DraftRequest:
    return DraftRequest(
        statement=PieceStatement(slug="piece", kind=kind, cloth="knit", options=options, **said),
        options=validated_options(find_kind(kind), options, where="here"),
        form=None,  # type: ignore[arg-type]
        placement=None,  # type: ignore[arg-type]
        cloths={"knit": CLOTH},
    )


def chosen(kind: str, options: dict[str, Any], result: DraftResult | None = None) -> tuple[str, ...]:
    found = with_decisions(
        result or DraftResult(pieces=()), request(kind, options), find_kind(kind).choices
    ).chosen
    assert all(line.startswith(("Not said: how ", "Not said: where ")) for line in found)
    assert all(", so " in line and line.endswith(".") for line in found)
    return found


@pytest.mark.parametrize(
    ("kind", "least", "words", "said"),
    [
        ("wrap", {}, "how it closes, so its ends overlap", {"join": "butt"}),
        ("wrap", {}, "where it opens, so it opens at the back", {"closure": "inside"}),
        ("wrap", {}, "how much room it has, so 3 mm", {"air": "5 mm"}),
        ("wrap", {"boot": {}}, "how it opens, so there is a zip at the back", {"boot": {"opening": "none"}}),
        ("belt", {}, "how it closes, so it has a buckle", {"fastening": "buckle"}),
        ("belt", {}, "where it opens, so it opens at the front", {"opens": "back"}),
        ("belt", {}, "how much room it has, so 2 mm", {"air": "2 mm"}),
        ("circular", {}, "where it opens, so it opens at the back", {"opens": "left"}),
        ("circular", {}, "how its top edge is finished, so it has a band", {"top_finish": "band"}),
        ("circular", {}, "how much room it has, so its top edge is 10 mm longer", {"ease": "0 mm"}),
        ("glove", {}, "how it opens, so it has no opening", {"opening": "none"}),
        ("glove", {}, "how close it fits, so as is usual", {"ease": "4 %"}),
        ("hanging", {"form": "banner"}, "how it is held, so it has a channel", {"carried": "sewn"}),
        ("hanging", {"form": "tail"}, "how its hem is shaped, so it ends in a point", {"hem": "curve"}),
        ("pouch", {"form": "roll"}, "how it closes, so it is tied", {"closure": "buckle"}),
        ("pouch", {}, "how much room its contents have, so 6 mm", {"clearance": "2 mm"}),
        ("strap", {}, "how it closes, so it has a buckle", {"fastening": "snaps"}),
        ("strap", {}, "where it closes, so its ends meet 30%", {"fastens_at": "50 %"}),
        ("knit", {}, "how it opens, so it has no closure and is pulled on", {"closure": True}),
        ("knit", {}, "how close it fits, so it is cut 10% smaller", {"reduction_round": "8 %"}),
        ("woven", {"garment": "coat"}, "how it closes, so it buttons", {"closure": "front_open"}),
        ("woven", {"garment": "trousers"}, "so there is a zip under a fly", {"closure": "back_zip"}),
        ("woven", {"garment": "skirt"}, "so 20 mm round the waist and 50", {"ease_waist": "1 cm"}),
    ],
)  # fmt: skip
def test_a_kind_tells_what_it_chose_and_nothing_that_was_said(
    kind: str, least: dict[str, Any], words: str, said: dict[str, Any]
) -> None:
    assert [line for line in chosen(kind, least) if words in line]
    assert not [line for line in chosen(kind, {**least, **said}) if words in line]


def test_a_plate_is_strapped_and_a_sash_tied_if_nothing_is_said() -> None:
    assert "Not said: how the plate is held, so two straps go round the rest of the limb." in chosen(
        "wrap", {"cover": "40 %"}
    )
    assert not [line for line in chosen("wrap", {"cover": "40 %"}) if "how it closes" in line]
    assert "Not said: how it is held, so it is tied round the body." in chosen("hanging", {"form": "sash"})


def test_a_glove_with_a_slit_says_so() -> None:
    piece = small_tab()
    slit = replace(piece, edges=(replace(piece.edges[0], slug="slit"), *piece.edges[1:]))
    assert [line for line in chosen("glove", {}, DraftResult(pieces=(slit,))) if "a slit with snaps" in line]


def test_every_kind_that_closes_or_fits_tells_its_choices() -> None:
    silent = {name for name, kind in known_kinds().items() if kind.choices is None}
    assert silent == {"base", "found", "shell", "strand"}


def test_decisions_stand_at_the_end_of_the_first_note_and_of_those_alike() -> None:
    front = replace(small_tab(), slug="front", note=("Sew it.",))
    back, lining = replace(front, slug="back"), replace(front, slug="lining", note=("Line it.",))
    asked = request(
        "belt",
        {"opens": "back", "air": "1 mm"},
        decisions=("a hook behind.",),
        departures=("Narrower than drawn.",),
    )
    found = with_decisions(DraftResult(pieces=(front, back, lining)), asked, find_kind("belt").choices)
    told = (
        "Sew it.",
        "Decided: a hook behind.",
        "Meant to differ from the pictures: Narrower than drawn.",
        "Not said: how it closes, so it has a buckle.",
    )
    assert [piece.note for piece in found.pieces] == [told, told, ("Line it.",)]
    assert found.decisions == ("a hook behind.",)
    assert found.departures == ("Narrower than drawn.",)
    assert found.chosen == (told[-1],)


def test_nothing_is_chosen_for_a_tracing() -> None:
    assert with_decisions(DraftResult(pieces=(small_tab(),)), request("belt", {}), None).chosen == ()

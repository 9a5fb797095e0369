import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from layfigure.drawing.exchange_json import pieces_as_json
from layfigure.piece.draw import Heading
from layfigure.piece.seam_book import SeamBook
from sample_pieces import all_samples

SAMPLES = all_samples()
PAGE = Path(__file__).parents[2] / "docs" / "exchange.md"


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    heading = Heading(costume="Brindle", wearer="Ada", seams=SeamBook.of(SAMPLES))
    return json.loads(pieces_as_json(SAMPLES, heading))


def test_a_reader_gets_lengths_and_places_back(document: dict[str, Any]) -> None:
    for entry, piece in zip(document["pieces"], SAMPLES, strict=True):
        for found, edge in zip(entry["edges"], piece.edges, strict=True):
            curve = np.array(found["curve"])
            assert np.linalg.norm(np.diff(curve, axis=0), axis=1).sum() == pytest.approx(
                edge.length, abs=0.01
            )
            assert found["length"] == pytest.approx(edge.length, abs=0.001)
            assert [notch["name"] for notch in found["notches"]] == [notch.name for notch in edge.notches]
        # The outline closes: every edge starts where the one before ends.
        ends = [edge["curve"][-1] for edge in entry["edges"]]
        starts = [edge["curve"][0] for edge in entry["edges"]]
        assert np.array(starts[1:] + starts[:1]) == pytest.approx(np.array(ends), abs=0.001)


def test_seams_name_their_uses(document: dict[str, Any]) -> None:
    assert document["seams"]["leg_inner_side"]["uses"] == [
        {"piece": "leg_front", "edge": "inner_side"},
        {"piece": "leg_back", "edge": "inner_side"},
    ]


def test_every_key_is_documented(document: dict[str, Any]) -> None:
    page = PAGE.read_text(encoding="utf-8")
    known = set(re.findall(r"`([a-z_]+)`", page))

    def keys(value: Any) -> set[str]:
        if isinstance(value, dict):
            return set(value).union(*(keys(inner) for inner in value.values())) if value else set()
        if isinstance(value, list):
            return set().union(*(keys(inner) for inner in value))
        return set()

    seams = set(document["seams"])
    assert keys(document) - seams - known == set()


def test_every_attribute_and_layer_is_documented() -> None:
    from layfigure.drawing.dxf import IDENTITIES, LAYER_NAMES

    page = PAGE.read_text(encoding="utf-8")
    for names in IDENTITIES:
        for name in names:
            assert f"`data-{name}`" in page
            assert f"`{name.upper()}`" in page
    for number in LAYER_NAMES:
        assert re.search(rf"^\| {number} \|", page, re.MULTILINE)

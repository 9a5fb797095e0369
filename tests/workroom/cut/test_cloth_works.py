"""What wearing asks of the cloth, over the flat piece: the draft's own numbers, and the worst place named."""

import re
from itertools import pairwise

import numpy as np
import pytest

from layfigure.drawing.field_bands import RAMP, field_areas
from layfigure.piece.tight_places import tight_places
from layfigure.workroom.cloth_works import cloth_fields

SHORTS = {
    "kind": "knit",
    "label": "Shorts",
    "cloth": "nylon_elastane_tricot",
    "options": {"garment": "shorts"},
}


@pytest.fixture
def shorts(client, done, room):
    """Close shorts drafted for the wearer beside the guard."""
    assert client.post("/api/costume/pieces", json=SHORTS).status_code == 200
    done(client.post("/api/draft/me"))
    return room.drafted["me"]


def test_stretch_at_a_vertex_is_that_of_the_draft(shorts):
    """The mean over the faces round a vertex, by their area when worn; worked out face by face here."""
    for panel in shorts.results["shorts"].working.panels:
        vertex = int(panel.stretch.argmax())
        sums = np.zeros(2)
        for face in panel.faces[(panel.faces == vertex).any(axis=1)]:
            # Sides on the body are not the chords in space exactly, so this is held to a hundredth.
            laid, worn = panel.vertices[face], panel.places[face]
            first, second = worn[1] - worn[0], worn[2] - worn[0]
            along = first / np.linalg.norm(first)
            across = second - (second @ along) * along
            height = np.linalg.norm(across)
            body = np.array([[np.linalg.norm(first), second @ along], [0.0, height]])
            flat = np.stack([laid[1] - laid[0], laid[2] - laid[0]], axis=1)
            greatest = np.linalg.svd(body @ np.linalg.inv(flat))[1].max() - 1.0
            area = 0.5 * np.linalg.norm(first) * height
            sums += (area * greatest, area)
        assert panel.stretch[vertex] == pytest.approx(sums[0] / sums[1], abs=0.01)


def test_pressure_is_what_the_checks_say(shorts):
    """At the levels that drafting checks; a level between vertices lies between their pressures."""
    checks = [check for check in shorts.results["shorts"].checks if check.unit == "kPa"]
    assert checks
    fields = shorts.results["shorts"].working.over(shorts.work.body.value().form)
    values = np.concatenate([found[1].values for found in fields.values()])
    for check in checks:
        # Within a tenth beyond them: the waist's own level runs along the upper edge.
        assert 0.9 * values.min() <= check.value <= 1.1 * values.max()


def test_the_worst_place_named_is_the_greatest_value(client, shorts):
    for piece in shorts.pieces.values():
        told = client.get(f"/api/cloth/me/{piece.slug}").json()["fields"]
        fields = cloth_fields(shorts, piece.slug)
        assert [one["slug"] for one in told] == [one.slug for one in fields] != []
        for one, field in zip(told, fields, strict=True):
            places = tight_places(piece, field, shorts.unit)
            pick = np.argmin if field.least_is_worst else np.argmax
            assert places[0].vertex == pick(field.values)
            assert re.search(r"edge \w+", one["places"][0]["words"])
            # A band that lies nowhere has no path: a browser complains of one without a place in it.
            assert all(area["path"] == "" or area["path"].startswith("M") for area in one["areas"])
            assert not any("MZ" in area["path"] for area in one["areas"])
            areas = field_areas(piece, field, shorts.unit)
            assert sum(area.share for area in areas) == pytest.approx(1.0, abs=1e-6)
            inside = [(a.shape.area - b.shape.area) for a, b in pairwise(areas)]
            assert min(inside, default=0.0) > -1.0


def test_a_guard_stands_off_as_its_check_says(shorts):
    result = next(one for slug, one in shorts.results.items() if slug != "shorts")
    check = next(check for check in result.checks if "stands off the body" in check.what)
    fields = result.working.over(shorts.work.body.value().form)
    off = np.concatenate([found[1].values for found in fields.values()])
    # The check leaves out the worst twentieth by area; so the worst is more, and most is less.
    assert off.max() >= check.value
    assert np.quantile(off, 0.8) <= check.value


def test_nothing_printed_carries_it(client, shorts, done):
    piece = next(iter(shorts.pieces))
    assert "cloth-field" not in client.get(f"/api/drawings/me/{piece}.svg").text
    made = done(client.post("/api/print/me", json={"pieces": [piece], "kind": "svg"}))
    text = client.get(made["address"]).text
    assert not any(colour in text for colour in RAMP)


def test_every_step_of_the_ramp_is_darker():
    """Told apart in grey: CIE lightness (CIE 15, from the luminance of sRGB) falls by 8 at least a step."""

    def lightness(colour):
        light = [int(colour[k : k + 2], 16) / 255.0 for k in (1, 3, 5)]
        linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in light]
        return 116.0 * float(np.dot(linear, [0.2126, 0.7152, 0.0722])) ** (1 / 3) - 16.0

    assert np.diff([lightness(colour) for colour in RAMP]).max() < -8.0

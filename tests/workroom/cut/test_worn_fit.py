"""Where a piece presses or stands off: the same as its checks say, place by place."""

import json

import numpy as np
import pytest

from layfigure.body.bent_skin import sitting_pose
from layfigure.workroom.worn_fit import POKES, worn_fit


def read(content):
    length = int.from_bytes(content[:4], "little")
    told = json.loads(content[4 : 4 + length])
    steps = np.frombuffer(content, "<i2", 3 * told["points"], 4 + length).reshape(-1, 3)
    start = 4 + length + steps.nbytes + (-steps.nbytes % 4)
    bands = np.frombuffer(content, "u1", told["points"], start)
    start += told["points"] + (-told["points"] % 4)
    faces = np.frombuffer(content, "<u4", 3 * told["faces"], start).reshape(-1, 3)
    return told, steps * told["step"], bands, faces


def test_a_guard_stands_off_as_far_as_its_checks_say(client, done, room):
    done(client.post("/api/draft/me"))
    drafted = room.drafted["me"]
    (slug,) = drafted.results
    result = drafted.results[slug]
    fit = worn_fit(drafted.work, slug, result)
    assert fit.what == "stands off"
    # Its own check says that the body stands nowhere out of the sheet.
    poke = next(check for check in result.checks if "stands out of the sheet" in check.what)
    assert poke.passed
    assert fit.values.min() >= POKES
    assert "forearm" in fit.worst
    piece = result.pieces[0].slug
    told, places, bands, faces = read(client.get(f"/api/fit/me/{piece}").content)
    assert sum(told["shares"]) == pytest.approx(1.0, abs=0.01)
    assert told["shares"][0] == 0
    assert faces.max() < len(places) == len(bands)
    assert np.abs(places - fit.mesh.vertices).max() <= told["step"]
    assert client.get("/api/fit/me/nothing").status_code == 404


def test_close_cloth_presses_as_its_checks_say(client, done, room):
    """At the girths of the levels that drafting checks, the picture says what the words say."""
    from layfigure.materials.pressure import feel_of

    piece = {
        "kind": "knit",
        "label": "Shorts",
        "cloth": "nylon_elastane_tricot",
        "options": {"garment": "shorts"},
    }
    assert client.post("/api/costume/pieces", json=piece).status_code == 200
    done(client.post("/api/draft/me"))
    drafted = room.drafted["me"]
    result = drafted.results["shorts"]
    fit = worn_fit(drafted.work, "shorts", result)
    assert fit.what == "presses"
    felt = [check for check in result.checks if check.unit == "kPa"]
    assert felt
    # Every level checked lies within what the picture shows, a twentieth to either side for hems and waist.
    for check in felt:
        assert 0.95 * fit.values.min() <= check.value <= 1.05 * fit.values.max(), check.what
        assert feel_of(check.value).split()[-1] in check.what
    assert {fit.words[band] for band in fit.band} <= {feel_of(value) for value in fit.values}


def test_somebody_who_sits_is_bent_at_hip_and_knee(room):
    form = room.work("me").body.value().form
    skin = form.standing.vertices
    seated = sitting_pose(form)(skin)
    assert seated[:, 2].min() == pytest.approx(0.0, abs=1e-6)
    # ANSUR II (2012): sitting height is about 0.52 of stature, and a seat stands at about a quarter of it.
    assert 0.70 < np.ptp(seated[:, 2]) / np.ptp(skin[:, 2]) < 0.85
    assert np.ptp(seated[:, 1]) > 1.7 * np.ptp(skin[:, 1])

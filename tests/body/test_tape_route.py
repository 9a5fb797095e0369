"""A drawn tape is the tape that is read: its length is the reading."""

import numpy as np
import pytest

from layfigure.body.fit import fit_form
from layfigure.body.measures import split_name
from layfigure.body.prior import estimate
from layfigure.body.tape_measures import CROTCH_PRESS, NECK_BASE_CHAIN, READERS
from layfigure.body.tape_route import standing_body, tape_route


@pytest.fixture(scope="module")
def fit():
    measures = {"stature": 1690.0, "waist_girth": 800.0}
    guesses = {name: (guess.value, guess.spread) for name, guess in estimate(measures, "woman").items()}
    return fit_form(measures, wearer="Ada", estimated=guesses, sex="woman")


@pytest.fixture(scope="module")
def body(fit):
    return standing_body(fit.form, fit.state.joints)


def test_the_body_that_tapes_run_round_is_the_form(fit, body) -> None:
    assert np.abs(body.surface - fit.form.standing.vertices).max() < 1e-9


def length(routes) -> float:
    total = 0.0
    for route in routes:
        points = np.vstack([route.points, route.points[:1]]) if route.closed else route.points
        total += float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
    return total


@pytest.mark.parametrize("name", sorted(READERS))
def test_a_drawn_tape_is_as_long_as_it_reads(name: str, body) -> None:
    routes = tape_route(body, name)
    read = READERS[name](body).value
    kind = split_name(name)[0].kind
    if kind == "height":
        drawn = np.ptp(routes[0].points[:, 2])
    elif name in ("trunk_loop", "front_waist_length"):
        drawn = 0.5 * length(routes)  # the mean of both sides
    elif name == "neck_base_girth":
        drawn = NECK_BASE_CHAIN * length(routes)
    else:
        drawn = length(routes)
    # Read along the bone, or straight between joints inside the limb; drawn from skin to joint.
    slack = 0.12 * read if name.startswith(("upper_arm_length", "arm_length", "nape_to_wrist")) else 0.05
    assert drawn == pytest.approx(read, abs=slack)


def test_the_book_between_the_legs_is_drawn_where_it_is_pressed(body) -> None:
    top = tape_route(body, "crotch_height")[0].points[-1]
    assert top[2] == pytest.approx(body.places["crotch"][2] + CROTCH_PRESS)


@pytest.mark.parametrize("name", ["body_mass", "sitting_height", "hip_bone_height"])
def test_what_no_tape_reads_on_a_standing_body_has_no_route(name: str, body) -> None:
    assert tape_route(body, name) == []

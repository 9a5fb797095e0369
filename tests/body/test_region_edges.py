"""Edges left out for speed lie far from every plane that might ask for them, on unlike bodies too."""

import numpy as np
import pytest

from layfigure.body.pose import standing_pose
from layfigure.body.regions import BodyPlaces, level_heights, region_faces, section_planes
from layfigure.body.tape import StandingBody
from layfigure.body.tape_lines import tape_lines
from layfigure.body.template import load_template

SPARE = 15.0


def bodies() -> list[np.ndarray]:
    """Neutral ones, and others as far off in every whole-body shape at once as nobody is."""
    template, random = load_template(), np.random.default_rng(11)
    found = []
    for preset in ("woman", "man"):
        for spread in (0.0, 1.0, 1.0, 1.5, 1.5, 1.5):
            whole = np.arange(len(template.directions)) < template.mode_count
            shape = template.presets[preset] + spread * random.standard_normal(len(whole)) * whole
            found.append(standing_pose(template).apply(template.points(shape)))
    return found


def vertices_of(region: str) -> np.ndarray:
    faces = region_faces()
    return np.unique(load_template().faces[faces.face_region == faces.names.index(region)])


@pytest.mark.parametrize("region", ["neck", "forearm_left", "forearm_right"])
def test_what_a_region_leaves_out_is_far_beyond_its_last_plane(region: str) -> None:
    beyond, station = {"neck": ("head", 0.0)}.get(region, (region.replace("forearm", "hand"), 1.0))
    left_out = np.setdiff1d(vertices_of(beyond), region_faces().edges[region].vertices)
    kept = np.intersect1d(vertices_of(beyond), region_faces().edges[region].vertices)
    assert len(left_out) > 500
    for standing in bodies():
        places = BodyPlaces(load_template(), standing)
        planes = section_planes(region, places, level_heights(places), np.array([station]))
        away = (standing - planes.origins[0]) @ planes.normals[0]
        away *= np.sign(np.median(away[left_out]))
        assert away[left_out].min() > SPARE
        assert away[kept].min() < 0.0


def test_the_tape_round_the_head_passes_far_from_what_its_edges_leave_out() -> None:
    left_out = np.setdiff1d(vertices_of("head"), region_faces().skull_edges.vertices)
    assert len(left_out) > 500
    for standing in bodies():
        body = StandingBody(load_template(), standing)
        line = tape_lines(body, "head")[0]
        away = np.abs((standing[left_out] - body.places["brow"]) @ line.normal)
        assert away.min() > SPARE

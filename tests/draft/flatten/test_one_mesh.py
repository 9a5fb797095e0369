"""Panels as one mesh: the same numbers as panel by panel, in blocks."""

from __future__ import annotations

import numpy as np
import pytest
from analytic_panels import meshed_panel, rectangle, tube
from scipy.linalg import block_diag

from layfigure.draft.flatten.arap import conformal_start, flatten_freely, stiffness_of, stiffness_on
from layfigure.draft.flatten.connections import connections_of
from layfigure.draft.flatten.one_mesh import one_mesh, slices
from layfigure.draft.flatten.panel import Ease, Panel
from layfigure.draft.flatten.panel_outline import outline_loop
from layfigure.draft.flatten.rest_shape import rest_triangles
from layfigure.draft.flatten.settling import settled_panels

EASE = Ease(around=-0.1, along=0.0)


@pytest.fixture(scope="module")
def panels() -> list[Panel]:
    return [
        meshed_panel(
            f"tube {width:.0f}",
            tube(lambda turn, v: 55.0 + 25.0 * np.sin(v / 130.0) + 9.0 * np.cos(2.0 * turn), 380.0),
            rectangle((0.0, width), (0.0, 200.0), left=None, right=None),
        )
        for width in (150.0, 90.0, 120.0)
    ]


def test_groups_stand_one_behind_the_other() -> None:
    assert slices([2, 0, 3]) == (slice(0, 2), slice(2, 2), slice(2, 5))


def test_several_panels_are_what_each_is_alone(panels: list[Panel]) -> None:
    loops = [outline_loop(panel) for panel in panels]
    rests = [rest_triangles(panel, EASE) for panel in panels]
    alone = [
        stiffness_of(rest, panel.faces, loop) for panel, rest, loop in zip(panels, rests, loops, strict=True)
    ]
    mesh = one_mesh(
        tuple(connections_of(panel.faces, loop) for panel, loop in zip(panels, loops, strict=True))
    )
    together = stiffness_on(mesh, np.concatenate(rests))
    for name in ("between_inner", "between_free", "between_outline", "coupling", "reducing"):
        blocks = [getattr(each, name)().toarray() for each in alone]
        np.testing.assert_array_equal(getattr(together, name)().toarray(), block_diag(*blocks))
    for name in ("sides", "sides_adjoint"):
        blocks = [getattr(each, name).toarray() for each in alone]
        np.testing.assert_array_equal(getattr(together, name).toarray(), block_diag(*blocks))

    start, free, settled = (
        conformal_start(together),
        flatten_freely(together, steps=5),
        settled_panels(together),
    )
    assert free.size == sum(len(panel.vertices) for panel in panels)
    for k, (each, part) in enumerate(zip(alone, mesh.parts, strict=True)):
        own = settled_panels(each)
        assert start[part.vertices] == pytest.approx(conformal_start(each), abs=1e-9)
        assert free[part.vertices] == pytest.approx(flatten_freely(each, steps=5), abs=1e-9)
        assert settled.outline_stiffness[k] == pytest.approx(own.outline_stiffness[0], abs=1e-9)
        pull = own.pull(free[part.vertices])
        assert settled.pull(free)[part.vertices] == pytest.approx(pull, abs=1e-9)
        assert settled.load(settled.pull(free))[part.outline] == pytest.approx(own.load(pull), abs=1e-8)
        outline = free[each.loop + part.vertices.start]
        assert settled.resistance(free[mesh.loop])[part.outline] == pytest.approx(
            own.resistance(outline), abs=1e-8
        )

"""Bodies of sizes that are being typed: near the last one, and the same as if that had never been."""

from pathlib import Path

import numpy as np

from layfigure.body.fit_steps import SEEN
from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph
from layfigure.workroom.bodies import Bodies
from layfigure.workroom.edits.wearer import tried, wearer_of


def test_what_was_typed_before_leaves_no_trace_that_is_seen(root: Path) -> None:
    text = (root / "wearers" / "ostrander.toml").read_text(encoding="utf-8")
    saved = wearer_of(text, "ostrander.toml")
    graph = Graph(Cache())
    typing, alone = Bodies(graph), Bodies(graph)

    def typed(bodies: Bodies, size: str) -> np.ndarray:
        shown = bodies.trial(tried(text, "waist_girth", {"both": [size]}, file="ostrander.toml"), saved)
        assert shown.fit.met
        standing = shown.fit.form.standing.vertices
        # The tape is run round the very body that is shown.
        assert np.array_equal(shown.standing.surface, standing)
        return standing

    for size in ("97.4 cm", "105.1 cm"):
        after = typed(typing, size)
    # Each search ends within what is seen of the one body that has these sizes.
    assert np.linalg.norm(after - typed(alone, "105.1 cm"), axis=1).max() < 2.0 * SEEN
    before = alone.saved(saved).fit.form.standing.vertices
    assert np.linalg.norm(after - before, axis=1).max() > 1.0
    assert np.array_equal(typing.saved(saved).fit.form.standing.vertices, before)

"""Bodies of sizes that are being typed: near the last one, and the same as if that had never been."""

from pathlib import Path

import numpy as np

from layfigure.body.fit_steps import SEEN
from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph
from layfigure.workroom.bodies import CLOSE, Bodies, ShownBody
from layfigure.workroom.edits.wearer import tried, wearer_of


def test_what_was_typed_before_leaves_no_trace_that_is_seen(root: Path) -> None:
    text = (root / "wearers" / "ostrander.toml").read_text(encoding="utf-8")
    saved = wearer_of(text, "ostrander.toml")
    graph = Graph(Cache())
    typing, alone = Bodies(graph), Bodies(graph)

    def typed(bodies: Bodies, size: str) -> np.ndarray:
        shown = bodies.trial(tried(text, "waist_girth", {"both": [size]}, file="ostrander.toml"), saved)
        assert shown.found
        standing = shown.form.standing.vertices
        # The tape is run round the very body that is shown.
        assert np.array_equal(shown.standing.surface, standing)
        return standing

    for size in ("97.4 cm", "105.1 cm"):
        after = typed(typing, size)
    # Each search ends within what is seen of the one body that has these sizes.
    assert np.linalg.norm(after - typed(alone, "105.1 cm"), axis=1).max() < 2.0 * SEEN
    before = alone.saved(saved).form.standing.vertices
    assert np.linalg.norm(after - before, axis=1).max() > 1.0
    assert np.array_equal(typing.saved(saved).form.standing.vertices, before)


def test_a_body_is_shown_before_it_is_found_once_that_is_known_to_be_close(root: Path) -> None:
    text = (root / "wearers" / "ostrander.toml").read_text(encoding="utf-8")
    saved = wearer_of(text, "ostrander.toml")
    bodies = Bodies(Graph(Cache()))

    def typed(size: str, *, soon: bool = True, name: str = "waist_girth") -> ShownBody:
        person = tried(text, name, {"both": [size]}, file="ostrander.toml")
        return bodies.trial(person, saved, soon=soon)

    # Nobody knows yet how well a waist is foreseen; then it is looked at, while nobody waits.
    assert typed("101.9 cm").found
    bodies.look_back()
    for size in ("102.3 cm", "101.8 cm"):
        ahead = typed(size)
        assert not ahead.found
        assert np.array_equal(ahead.standing.surface, ahead.form.standing.vertices)
        found = typed(size, soon=False)
        assert found.found
        assert np.linalg.norm(ahead.standing.surface - found.standing.surface, axis=1).max() < CLOSE
    assert typed("106.1 cm").found, "from afar"
    assert typed("100.5 cm", name="hip_girth").found, "another measure"


def test_a_saved_body_begins_anew(root: Path) -> None:
    text = (root / "wearers" / "ostrander.toml").read_text(encoding="utf-8")
    saved = wearer_of(text, "ostrander.toml")
    bodies = Bodies(Graph(Cache()))
    bodies.trial(tried(text, "waist_girth", {"both": ["101.9 cm"]}, file="x"), saved, soon=True)
    bodies.look_back()
    other = tried(text, "waist_girth", {"both": ["101 cm"]}, file="x")
    assert bodies.trial(tried(text, "waist_girth", {"both": ["101.2 cm"]}, file="x"), other, soon=True).found

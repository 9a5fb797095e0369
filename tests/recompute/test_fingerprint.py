"""A key must tell different values apart and equal ones together, in any process."""

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.recompute.fingerprint import fingerprint, folder_fingerprint

plain = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text() | st.binary(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner) | st.tuples(inner, inner),
    max_leaves=8,
)


@given(plain, plain)
def test_keys_agree_exactly_when_values_do(a: object, b: object) -> None:
    # repr tells 1, 1.0 and True apart, which == does not; a mapping's order must not count.
    def ordered(value: object) -> object:
        if isinstance(value, dict):
            return sorted((key, repr(ordered(item))) for key, item in value.items()), "mapping"
        if isinstance(value, list | tuple):
            return [ordered(item) for item in value]
        return value

    assert (fingerprint(a) == fingerprint(b)) == (repr(ordered(a)) == repr(ordered(b)))


def test_neighbours_do_not_run_together() -> None:
    assert fingerprint("ab", "c") != fingerprint("a", "bc")
    assert fingerprint([1], [2]) != fingerprint([1, 2], [])
    assert fingerprint(np.zeros((2, 3))) != fingerprint(np.zeros((3, 2)))
    assert fingerprint(np.zeros(3)) != fingerprint(np.zeros(3, dtype=np.float32))


def test_a_mapping_has_no_order() -> None:
    assert fingerprint({"a": 1, "b": 2}) == fingerprint({"b": 2, "a": 1})


@dataclass(frozen=True)
class One:
    length: float


@dataclass(frozen=True)
class Other:
    length: float


def test_two_kinds_of_the_same_content_differ() -> None:
    assert fingerprint(One(1.0)) != fingerprint(Other(1.0))
    assert fingerprint(One(1.0)) == fingerprint(One(1.0))


def test_a_value_without_a_stable_key_is_refused() -> None:
    with pytest.raises(TypeError, match="no stable key"):
        fingerprint(object())
    with pytest.raises(TypeError, match="no stable key"):
        fingerprint(np.array([object()]))


def test_the_key_is_the_same_in_another_process() -> None:
    program = (
        "from layfigure.recompute.fingerprint import fingerprint as f; print(f({'x': {1, 'a'}, 'y': 2.5}))"
    )
    keys = {
        subprocess.run(
            [sys.executable, "-c", program],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(keys) == 1


def test_a_key_of_code_and_data_knows_nothing_of_what_is_being_compiled(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("kind.py", "part/seam.py", "part/data/sizes.json"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(name)
    before = folder_fingerprint(tmp_path)
    # Python writes what it compiled under a name that is gone a moment later (importlib, ``_write_atomic``).
    passing = tmp_path / "part" / "__pycache__" / "seam.cpython-311.pyc.140234567890"
    passing.parent.mkdir()
    passing.write_bytes(b"half")
    read = Path.read_bytes

    def vanishing(path: Path) -> bytes:
        passing.unlink(missing_ok=True)
        return read(path)

    monkeypatch.setattr(Path, "read_bytes", vanishing)
    assert folder_fingerprint(tmp_path) == before
    (tmp_path / "part" / "seam.py").write_text("another")
    changed = folder_fingerprint(tmp_path)
    assert changed != before
    (tmp_path / "part" / "seam.py").rename(tmp_path / "seam.py")
    assert folder_fingerprint(tmp_path) not in (before, changed)


@dataclass(frozen=True, slots=True, weakref_slot=True)
class Kept:
    length: float
    inside: tuple[float, ...] = ()


def test_what_is_read_once_has_the_key_of_its_content() -> None:
    kept = Kept(1.0, (2.0, 3.0))
    assert fingerprint([kept]) == fingerprint([kept]) == fingerprint([Kept(1.0, (2.0, 3.0))])
    assert len({fingerprint(Kept(1.0)), fingerprint(Kept(2.0)), fingerprint(kept)}) == 3


def test_subclasses_are_written_as_what_they_are() -> None:
    assert fingerprint(np.float64(1.5)) == fingerprint(1.5)
    assert fingerprint(np.int32(3)) == fingerprint(3)
    assert fingerprint(Path("a/b")) == fingerprint("a/b")
    assert fingerprint({1, 2}) == fingerprint(frozenset({2, 1})) != fingerprint((1, 2))
    assert fingerprint(One) != fingerprint(Other) != fingerprint(fingerprint)

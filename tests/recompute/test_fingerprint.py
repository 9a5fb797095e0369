"""A key must tell different values apart and equal ones together, in any process."""

import os
import subprocess
import sys
from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.recompute.fingerprint import fingerprint

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

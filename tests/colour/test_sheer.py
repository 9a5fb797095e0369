"""TRADE.md section 10: mixing formulas of Murray-Davies and Yule-Nielsen with its check values; geometry of
nets.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.colour.sheer import coverage_on_two_grounds, net_coverage, over, stretched_coverage

SHARES = st.floats(0.05, 0.95)


def test_the_published_mixtures() -> None:
    assert over(0.05, 0.40, 0.4) == pytest.approx(0.260)
    assert over(0.05, 0.40, 0.4, 2.0) == pytest.approx(0.220, abs=5e-4)


def test_a_square_net_and_the_same_net_stretched() -> None:
    assert net_coverage(0.25, 1.0) == pytest.approx(1.0 - 0.75**2)
    assert stretched_coverage(net_coverage(0.25, 1.0), 1.0, 1.0) == pytest.approx(net_coverage(0.25, 2.0))
    # One way only: rows of threads move apart, those along stay.
    assert stretched_coverage(net_coverage(0.25, 1.0), 1.0, 0.0) == pytest.approx(1.0 - 0.875 * 0.75)


@given(SHARES, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_stretching_opens_and_never_closes(share: float, across: float, along: float) -> None:
    stretched = float(stretched_coverage(share, across, along))
    assert 0.0 < stretched <= share + 1e-12


@given(SHARES, st.floats(0.02, 0.9), st.floats(0.02, 0.9), st.floats(1.0, 2.0))
def test_a_mixture_lies_between_and_darkens_with_spread_light(a: float, m: float, s: float, n: float) -> None:
    mixed = float(over(m, s, a, n))
    assert min(m, s) - 1e-12 <= mixed <= max(m, s) + 1e-12
    assert mixed <= float(over(m, s, a)) + 1e-12


@given(SHARES, st.floats(0.05, 0.9))
def test_two_grounds_give_back_the_coverage_and_the_threads(share: float, threads: float) -> None:
    light, dark, stuff = np.full(81, 0.85), np.full(81, 0.04), np.full(81, threads)
    found, seen = coverage_on_two_grounds(over(stuff, light, share), light, over(stuff, dark, share), dark)
    assert float(found) == pytest.approx(share, abs=1e-9)
    assert seen == pytest.approx(stuff, abs=1e-6)

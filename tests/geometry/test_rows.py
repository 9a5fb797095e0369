"""Vectors by the row, against numpy's own."""

from __future__ import annotations

import numpy as np
import pytest

from layfigure.geometry.rows import crosses, lengths, products, unit

U, V = np.random.default_rng(2).normal(size=(2, 40, 3))


def test_rows_are_multiplied_as_numpy_multiplies_them() -> None:
    assert products(U, V) == pytest.approx((U * V).sum(axis=1))
    assert lengths(U) == pytest.approx(np.linalg.norm(U, axis=1))
    assert crosses(U, V) == pytest.approx(np.cross(U, V))


def test_a_row_without_length_has_no_direction() -> None:
    rows = unit(np.vstack([U, np.zeros(3)]))
    assert np.linalg.norm(rows[:-1], axis=1) == pytest.approx(1.0)
    assert rows[-1].tolist() == [0.0, 0.0, 0.0]

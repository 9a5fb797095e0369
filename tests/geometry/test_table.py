"""Tables read many places or rows at once, against numpy's own reading of one column at a time."""

import numpy as np

from layfigure.geometry.table import read_columns, read_rows


def test_columns_are_read_as_one_by_one_and_held_beyond_the_ends() -> None:
    rng = np.random.default_rng(3)
    known = np.cumsum(rng.uniform(0.1, 2.0, 9))
    table = rng.normal(size=(9, 4, 2))
    at = np.concatenate([known, rng.uniform(-3.0, known[-1] + 3.0, 40)])
    read = read_columns(at, known, table)
    for i in range(4):
        for j in range(2):
            assert np.allclose(read[:, i, j], np.interp(at, known, table[:, i, j]), rtol=0.0, atol=1e-12)


def test_rows_are_read_each_at_its_own_places() -> None:
    rng = np.random.default_rng(5)
    steps = rng.uniform(0.1, 2.0, (6, 11))
    known = rng.uniform(-500.0, 500.0, (6, 1)) + np.cumsum(steps, axis=1)
    values, others = rng.normal(size=(6, 11)), rng.normal(size=(6, 11))
    at = np.concatenate([known[:, ::3], known[:, :1] + rng.uniform(-2.0, 14.0, (6, 30))], axis=1)
    read, beside = read_rows(at, known, values, others)
    for k in range(6):
        assert np.allclose(read[k], np.interp(at[k], known[k], values[k]), rtol=0.0, atol=1e-9)
        assert np.allclose(beside[k], np.interp(at[k], known[k], others[k]), rtol=0.0, atol=1e-9)


def test_places_may_be_the_same_of_every_row_and_entries_alike() -> None:
    known = np.array([[0.0, 1.0, 1.0, 3.0, 3.0], [-2.0, -2.0, 0.0, 0.5, 6.0]])
    values = np.array([[0.0, 2.0, 4.0, 8.0, 8.0], [1.0, 1.0, 3.0, 5.0, 7.0]])
    (read,) = read_rows(np.array([[-1.0, 0.5, 2.0, 9.0]]), known, values)
    expected = np.array([[0.0, 1.0, 6.0, 8.0], [2.0, 5.0, 5.0 + 2.0 * 1.5 / 5.5, 7.0]])
    assert np.allclose(read, expected, rtol=0.0, atol=1e-12)

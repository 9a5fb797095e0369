"""A place of least objective under many linear limits, for a few unknowns, shown to be as low as any.

A predictor-corrector interior point method (S. Mehrotra, "On the implementation of a primal-dual interior
point method", SIAM Journal on Optimization 2(4), 1992) finds which limits hold; their equations give the
place to rounding. Where a whole side of places is as good, it ends inside that side, not at one of its
corners as a general solver does. Written for the bands of a wrap and the reach of a dome, where a general
solver takes several times as long.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import lstsq
from scipy.linalg.lapack import dpotrf, dpotrs
from scipy.sparse import csc_matrix, csr_matrix

Reals = NDArray[np.float64]
Indices = NDArray[np.int64]

ROUNDS = 40
CLOSE = 1e-11
"""Mean product of room and price at which what holds is clear, nearly always."""
CLOSEST = 1e-14
"""The same where nothing becomes clearer."""
PAID = 1e-9
"""How far prices may be from adding up to the objective by then."""
ASTRAY = 1e6
"""The same product where there is no end to how low the objective goes."""
WITHIN = 1e-9
"""How far a place may pass a limit [mm], and a price fall short of none."""
UNCLEAR = 4
"""Limits of which it may stay unclear whether they hold."""


def least_place(objective: Reals, A: csr_matrix | Reals, limits: Reals, start: Reals) -> Reals | None:
    """A place x of least ``objective @ x`` with A x <= limits, (n,); None where this is not sure.

    objective : (n,). A : (m, n), sparse or dense. start : (n,) strictly within all limits. It is sure when
    the limits that hold there have prices, none negative, that add up to the objective: by complementary
    slackness no other place is lower.
    """
    for x, room, price in _interior(objective, A, limits, start):
        clear = int((price > room).sum())
        ranked = np.argsort(room / price, kind="stable")
        # A limit that costs nearly nothing still has more room than price at the end, and prices do not add
        # up without it; one passed by a hair's breadth has less, and does not meet where the others do.
        for more in sorted(range(-UNCLEAR, UNCLEAR + 1), key=abs):
            if 0 < clear + more <= limits.size:
                holding = np.sort(ranked[: clear + more])
                place = _where_they_meet(objective, A, limits, x, price, holding)
                if place is not None:
                    return place
    return None


def _where_they_meet(
    objective: Reals, A: csr_matrix | Reals, limits: Reals, x: Reals, price: Reals, holding: Indices
) -> Reals | None:
    """The place near x where limits meet, if it is shown to be the best by them."""
    rows = A[holding] if isinstance(A, np.ndarray) else A[holding].toarray()
    # The nearest prices that add up to the objective, and the nearest place where their limits meet.
    prices = price[holding] + _least_change(rows.T, -objective - rows.T @ price[holding])
    add_up = np.abs(rows.T @ prices + objective).max() < WITHIN and prices.min() > -WITHIN
    if not add_up:
        return None
    place: Reals = x + _least_change(rows, limits[holding] - rows @ x)
    met = np.abs(rows @ place - limits[holding]).max() < WITHIN
    return place if met and (A @ place - limits).max() < WITHIN else None


def _least_change(matrix: Reals, wanted: Reals) -> Reals:
    """The smallest x with matrix x = wanted, in the sense of least squares, by orthogonal factors (LAPACK's
    gelsy, several times as quick as singular values).
    """
    return np.asarray(lstsq(matrix, wanted, cond=1e-11, lapack_driver="gelsy", check_finite=False)[0])


def _interior(
    objective: Reals, A: csr_matrix | Reals, limits: Reals, start: Reals
) -> Iterator[tuple[Reals, Reals, Reals]]:
    """Place (n,), room under every limit (m,) and price of every limit (m,) near the best, then nearer to it.

    Every place on the way lies within all limits, as the first one does.
    """
    products = _products(A)
    transposed = A.T if isinstance(A, np.ndarray) else A.T.tocsr()
    x = start
    room = limits - A @ x
    price = (np.abs(objective).sum() / (1.0 / room).sum()) / room
    for _ in range(ROUNDS):
        mean = float(room @ price) / limits.size
        if mean > ASTRAY:
            break
        if mean < CLOSE and np.abs(objective + transposed @ price).max() < PAID:
            yield x, room, price
            if mean < CLOSEST:
                return
        weights = price / room
        factor, fault = dpotrf(products(weights))
        if fault:
            break
        # First a look straight ahead, to where room times price would be nothing and prices add up.
        d_room = -(A @ dpotrs(factor, -objective)[0])
        d_price = -price - weights * d_room
        ahead = (room + _reach(room, d_room) * d_room) @ (price + _reach(price, d_price) * d_price)
        centre = (float(ahead) / (limits.size * mean)) ** 3 * mean
        # Then to where it is the same everywhere, what the first change left out counted in.
        wanted = (centre - d_room * d_price) / room
        dx = dpotrs(factor, -objective - transposed @ wanted)[0]
        d_room = -(A @ dx)
        d_price = wanted - price - weights * d_room
        far, dear = 0.995 * _reach(room, d_room), 0.995 * _reach(price, d_price)
        x, room, price = x + far * dx, room + far * d_room, price + dear * d_price
    yield x, room, price


def _reach(values: Reals, change: Reals) -> float:
    """Share of a change, one at most, that leaves no value negative; all are positive."""
    fastest = -float((change / values).min())
    return 1.0 / max(1.0, fastest)


def _products(A: csr_matrix | Reals) -> Callable[[Reals], Reals]:
    """What takes weights w of the rows, (m,), to the upper triangle of A^T diag(w) A, (n, n)."""
    if isinstance(A, np.ndarray):
        dense = A
        return lambda weights: (dense.T * weights) @ dense
    n = A.shape[1]
    by_entries = _entries(A.sorted_indices())
    return lambda weights: np.asarray(by_entries @ weights).reshape(n, n)


def _entries(A: csr_matrix) -> csc_matrix:
    """Matrix (n², m) that takes weights w of the rows to the entries of A^T diag(w) A on and above its
    diagonal. The columns of A's entries stand in order in every row.
    """
    m, n = A.shape
    filled = np.diff(A.indptr)
    # Row after row, every entry with itself and those after it in its row.
    count = np.repeat(A.indptr[1:], filled) - np.arange(A.nnz)
    first = np.repeat(np.arange(A.nnz), count)
    second = np.arange(first.size) + np.repeat(np.arange(A.nnz) - np.cumsum(count) + count, count)
    at = A.indices[first] * n + A.indices[second]
    starts = np.concatenate([[0], np.cumsum(filled * (filled + 1) // 2)])
    return csc_matrix((A.data[first] * A.data[second], at, starts), shape=(n * n, m))

"""A place of least objective under many linear limits, for a few unknowns, shown to be as low as any.

A predictor-corrector interior point method (S. Mehrotra, "On the implementation of a primal-dual interior
point method", SIAM Journal on Optimization 2(4), 1992) finds which limits hold; their equations give the
place to rounding. Where a whole side of places is as good, it ends inside that side, not at one of its
corners as a general solver does. Written for the bands of a wrap and the reach of a dome, where a general
solver takes several times as long.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import LinAlgError, cho_factor, cho_solve
from scipy.sparse import csc_matrix, csr_matrix

Reals = NDArray[np.float64]
Indices = NDArray[np.int64]

ROUNDS = 40
CLOSE = 1e-11
"""Mean product of room and price at which what holds is clear."""
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
    x, room, price = _interior(objective, A, limits, start)
    clear = int((price > room).sum())
    if clear == 0:
        return None
    ranked = np.argsort(room / price, kind="stable")
    # A limit that costs nearly nothing still has more room than price at the end, and prices do not add up
    # without it: those next in rank are tried with the others.
    for unclear in range(min(UNCLEAR, limits.size - clear) + 1):
        place = _where_they_meet(objective, A, limits, x, price, np.sort(ranked[: clear + unclear]))
        if place is not None:
            return place
    return None


def _where_they_meet(
    objective: Reals, A: csr_matrix | Reals, limits: Reals, x: Reals, price: Reals, holding: Indices
) -> Reals | None:
    """The place near x where limits meet, if it is shown to be the best by them."""
    rows = A[holding] if isinstance(A, np.ndarray) else A[holding].toarray()
    # The nearest prices that add up to the objective, and the nearest place where their limits meet.
    prices = price[holding] + np.linalg.lstsq(rows.T, -objective - rows.T @ price[holding], rcond=1e-11)[0]
    add_up = np.abs(rows.T @ prices + objective).max() < WITHIN and prices.min() > -WITHIN
    if not add_up:
        return None
    place: Reals = x + np.linalg.lstsq(rows, limits[holding] - rows @ x, rcond=1e-11)[0]
    met = np.abs(rows @ place - limits[holding]).max() < WITHIN
    return place if met and (A @ place - limits).max() < WITHIN else None


def _interior(
    objective: Reals, A: csr_matrix | Reals, limits: Reals, start: Reals
) -> tuple[Reals, Reals, Reals]:
    """Place (n,), room under every limit (m,) and price of every limit (m,) near the best."""
    products = _products(A)
    transposed = A.T if isinstance(A, np.ndarray) else A.T.tocsr()
    x = start
    room = limits - A @ x
    price = (np.abs(objective).sum() / (1.0 / room).sum()) / room
    for _ in range(ROUNDS):
        unpaid = objective + transposed @ price
        missed = A @ x + room - limits
        mean = float(room @ price) / limits.size
        if mean > ASTRAY:
            break
        if mean < CLOSE and np.abs(unpaid).max() < PAID:
            break
        weights = price / room
        try:
            factor = cho_factor(products(weights), check_finite=False)
        except LinAlgError:
            break
        known = (A, transposed, factor, room, price, unpaid, missed)
        _, d_room, d_price = _step(-room * price, *known)
        ahead = (room + _reach(room, d_room) * d_room) @ (price + _reach(price, d_price) * d_price)
        centre = (float(ahead) / (limits.size * mean)) ** 3 * mean
        dx, d_room, d_price = _step(centre - room * price - d_room * d_price, *known)
        far, dear = 0.995 * _reach(room, d_room), 0.995 * _reach(price, d_price)
        x, room, price = x + far * dx, room + far * d_room, price + dear * d_price
    return x, room, price


def _step(
    wanted: Reals,
    A: csr_matrix | Reals,
    transposed: csr_matrix | Reals,
    factor: tuple[Reals, bool],
    room: Reals,
    price: Reals,
    unpaid: Reals,
    missed: Reals,
) -> tuple[Reals, Reals, Reals]:
    """Changes of place, room and price after which room times price has changed by ``wanted``, (m,)."""
    right = -unpaid - transposed @ ((wanted + price * missed) / room)
    change = cho_solve(factor, right, check_finite=False)
    d_room = -missed - A @ change
    return change, d_room, (wanted - price * d_room) / room


def _reach(values: Reals, change: Reals) -> float:
    """Share of a change, one at most, that leaves no value negative."""
    falling = change < 0.0
    return min(1.0, float((values[falling] / -change[falling]).min(initial=np.inf)))


def _products(A: csr_matrix | Reals) -> Callable[[Reals], Reals]:
    """What takes weights w of the rows, (m,), to A^T diag(w) A, (n, n)."""
    if isinstance(A, np.ndarray):
        dense = A
        return lambda weights: (dense.T * weights) @ dense
    n = A.shape[1]
    by_entries = _entries(A)
    return lambda weights: np.asarray(by_entries @ weights).reshape(n, n)


def _entries(A: csr_matrix) -> csc_matrix:
    """Matrix (n², m) that takes weights w of the rows to the entries of A^T diag(w) A."""
    m, n = A.shape
    filled = np.diff(A.indptr)
    row = np.repeat(np.arange(m), filled)
    count = filled[row]
    first = np.repeat(np.arange(A.nnz), count)
    # Row after row, every value with every other of its row: the columns of the answer in order.
    second = np.arange(first.size) + np.repeat(A.indptr[row] - np.cumsum(count) + count, count)
    at = A.indices[first] * n + A.indices[second]
    starts = np.concatenate([[0], np.cumsum(filled**2)])
    return csc_matrix((A.data[first] * A.data[second], at, starts), shape=(n * n, m))

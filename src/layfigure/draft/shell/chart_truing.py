"""Flat charts whose seams are equally long on both sides, side by side along every one of them.

Laid flat alone, two charts stretch their common seam differently. Every side of it gets the mean of what
both had. Each outline is then bent, with its sides' lengths kept, as near as it can close to where it was,
and the inside follows.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.arap import PanelStiffness, factored, solve_complex
from layfigure.draft.flatten.foldover import unfolded
from layfigure.draft.shell.chart import FlatChart, as_laid, is_clear

Complex = NDArray[np.complex128]
Points = NDArray[np.float64]
Indices = NDArray[np.int64]

BENDING_STEPS = 12
APART_STEPS = 40
APART = 0.1
"""What is kept between a corner and a side it would cross [mm]."""
NEAR = 3.0
"""A corner further than this from a side, on the wrong side of it, has not crossed it [mm]."""
APART_WEIGHT = 30.0
SETTLING_STEPS = 12


def true_charts(charts: Sequence[FlatChart]) -> list[FlatChart]:
    """Charts with equal mates."""
    loops = [laid.stiffness.loop for laid in charts]
    summed: dict[tuple[int, int], tuple[float, int]] = {}
    keys = []
    for laid, loop in zip(charts, loops, strict=True):
        origin = laid.chart.origin[loop]
        pairs = np.sort(np.column_stack([origin, np.roll(origin, -1)]), axis=1)
        own = [(int(a), int(b)) for a, b in pairs]
        lengths = np.abs(np.roll(laid.flat[loop], -1) - laid.flat[loop])
        for key, length in zip(own, lengths.tolist(), strict=True):
            total, count = summed.get(key, (0.0, 0))
            summed[key] = (total + length, count + 1)
        keys.append(own)
    trued = []
    for laid, loop, own in zip(charts, loops, keys, strict=True):
        lengths = np.array([summed[key][0] / summed[key][1] for key in own])
        outline = bent_outline(laid.flat[loop], lengths)
        trued.append(as_laid(laid.chart, laid.stiffness, _follow(laid.stiffness, laid.flat, loop, outline)))
    return trued


def bent_outline(places: Complex, lengths: Points) -> Complex:
    """A closed outline with given side lengths, as near as can be to places; both (b,).

    Where the places keep clear of each other, so does the outline: a narrow dart must not close over itself.
    Gauss-Newton in the headings of the sides, closing as a condition. Raises ValueError for lengths that
    no outline has, one longer than all the others together.
    """
    if 2.0 * lengths.max() >= lengths.sum():
        raise ValueError("a side is longer than all the others together")
    outline = _bent(places, lengths, apart=False)
    if is_clear(places) and not is_clear(outline):
        outline = _bent(places, lengths, apart=True)
    return outline


def _bent(places: Complex, lengths: Points, *, apart: bool) -> Complex:
    count = len(places)
    heading = np.angle(np.roll(places, -1) - places)
    goal = places - places.mean()
    damping = 1e-3 * float((lengths**2).mean()) * np.eye(count)
    for _ in range(APART_STEPS if apart else BENDING_STEPS):
        steps = lengths * np.exp(1j * heading)
        outline = np.concatenate([[0.0 + 0j], np.cumsum(steps)[:-1]])
        # Column k: how all later corners move when side k turns, their mean taken out.
        moves = np.tril(np.broadcast_to(1j * steps, (count, count)), -1)
        moves = moves - moves.mean(axis=0)
        miss = goal - (outline - outline.mean())
        jacobian = np.concatenate([moves.real, moves.imag])
        wanted = np.concatenate([miss.real, miss.imag])
        if apart:
            rows, gaps = _too_near(places, outline, moves)
            jacobian, wanted = np.concatenate([jacobian, rows]), np.concatenate([wanted, gaps])
        closing = np.stack([(1j * steps).real, (1j * steps).imag])
        gap = -np.array([steps.sum().real, steps.sum().imag])
        system = np.block([[jacobian.T @ jacobian + damping, closing.T], [closing, np.zeros((2, 2))]])
        right = np.concatenate([jacobian.T @ wanted, gap])
        change = np.linalg.solve(system, right)[:count]
        largest = float(np.abs(change).max())
        heading = heading + change * min(1.0, 0.3 / max(largest, 1e-12))
        if largest < 1e-9:
            break
    steps = lengths * np.exp(1j * heading)
    outline = np.concatenate([[0.0 + 0j], np.cumsum(steps)[:-1]])
    return np.asarray(outline - outline.mean() + places.mean())


def _too_near(places: Complex, outline: Complex, moves: Complex) -> tuple[Points, Points]:
    """What keeps corners off sides they come too near to, on the side of them where they were.

    places, outline : (b,). moves : (b, b) how corners move as sides turn. Returns (r, b) how the distances
    grow, weighted, and (r,) how much is missing.
    """
    count = len(places)
    after = np.roll(np.arange(count), -1)
    along = np.abs(outline[after] - outline)
    # A corner's place beside a side, as if that ran from 0 to the right.
    beside = (outline[:, None] - outline) / ((outline[after] - outline) / along)
    side = np.sign(((places[:, None] - places) / (places[after] - places)).imag)
    own = np.eye(count, dtype=bool) | np.eye(count, dtype=bool)[:, after]
    within = (beside.real > 0.0) & (beside.real < along) & (np.abs(beside.imag) < NEAR) & ~own
    corner, at = np.nonzero(within & (side * beside.imag < APART))
    share = beside.real[corner, at] / along[at]
    foot = (1.0 - share)[:, None] * moves[at] + share[:, None] * moves[after[at]]
    unit = (outline[after[at]] - outline[at]) / along[at]
    across = ((moves[corner] - foot) / unit[:, None]).imag * side[corner, at][:, None]
    missing = APART - side[corner, at] * beside.imag[corner, at]
    return APART_WEIGHT * across, APART_WEIGHT * missing


def _follow(stiffness: PanelStiffness, flat: Complex, loop: Indices, outline: Complex) -> Complex:
    """The chart inside a given outline, no face turned over where that can be had."""
    placed = flat.copy()
    placed[loop] = outline
    inner = stiffness.inner
    if inner.size:
        factor, coupling = factored(stiffness.between_inner()), stiffness.coupling()
        for _ in range(SETTLING_STEPS):
            pull = stiffness.sides @ stiffness.best_turns(placed)
            placed[inner] = solve_complex(factor, pull[inner] - coupling @ outline)
    straightened = unfolded(stiffness.rest, stiffness.faces, placed, loop)
    return placed if straightened is None else straightened

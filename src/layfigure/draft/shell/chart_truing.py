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
from layfigure.draft.shell.chart import FlatChart, as_laid

Complex = NDArray[np.complex128]
Points = NDArray[np.float64]
Indices = NDArray[np.int64]

BENDING_STEPS = 12
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

    Gauss-Newton in the headings of the sides, closing as a condition. Raises ValueError for lengths that
    no outline has, one longer than all the others together.
    """
    if 2.0 * lengths.max() >= lengths.sum():
        raise ValueError("a side is longer than all the others together")
    count = len(places)
    heading = np.angle(np.roll(places, -1) - places)
    goal = places - places.mean()
    for _ in range(BENDING_STEPS):
        steps = lengths * np.exp(1j * heading)
        outline = np.concatenate([[0.0 + 0j], np.cumsum(steps)[:-1]])
        # Column k: how all later corners move when side k turns, their mean taken out.
        moves = np.tril(np.broadcast_to(1j * steps, (count, count)), -1)
        moves = moves - moves.mean(axis=0)
        miss = goal - (outline - outline.mean())
        jacobian = np.concatenate([moves.real, moves.imag])
        closing = np.stack([(1j * steps).real, (1j * steps).imag])
        gap = -np.array([steps.sum().real, steps.sum().imag])
        damping = 1e-3 * float((lengths**2).mean()) * np.eye(count)
        system = np.block([[jacobian.T @ jacobian + damping, closing.T], [closing, np.zeros((2, 2))]])
        right = np.concatenate([jacobian.T @ np.concatenate([miss.real, miss.imag]), gap])
        change = np.linalg.solve(system, right)[:count]
        largest = float(np.abs(change).max())
        heading = heading + change * min(1.0, 0.3 / max(largest, 1e-12))
        if largest < 1e-9:
            break
    steps = lengths * np.exp(1j * heading)
    outline = np.concatenate([[0.0 + 0j], np.cumsum(steps)[:-1]])
    return np.asarray(outline - outline.mean() + places.mean())


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

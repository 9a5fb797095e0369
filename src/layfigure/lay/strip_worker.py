"""The process that searches strips: spyrrow and nothing else, so that it starts at once and may die alone.

A panic of the solver is a BaseException, and a crash takes a process with it: both end here.
"""

from __future__ import annotations

import os
import threading
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import Any

TICK = 0.1
"""How often what was found is passed on [s]."""

FEW_COPIES = 40
FEW_DEPTH, DEPTH = 1, 4
"""Depth of the tree that the solver seeks overlaps in. With 20 to 30 copies a flat one takes 0.6 to 0.9 of
the time to the same layout, with 64 it takes 1.3 of it (measured on instances of the ESICUP sets).
"""


@dataclass(frozen=True, slots=True)
class StripItem:
    """One outline to lay. turns : [deg], None for any."""

    name: str
    outline: tuple[tuple[float, float], ...]
    count: int
    turns: tuple[float, ...] | None


@dataclass(frozen=True, slots=True)
class StripRequest:
    """One search. exploring, compressing : seconds by the clock, at least 1 of each: for shorter strips by
    all threads, then for what one thread still takes out of the best. Whoever asked ends it on time.
    """

    width: float
    items: tuple[StripItem, ...]
    exploring: int
    compressing: int
    threads: int
    seed: int


@dataclass(frozen=True, slots=True)
class StripFound:
    """A layout. laid : (item, turn [deg], x, y) in any order. apart : whether the solver calls it free of
    overlap; else it is the best it could do at this length before it went on.
    """

    length: float
    laid: tuple[tuple[str, float, float, float], ...]
    apart: bool = True


@dataclass(frozen=True, slots=True)
class StripEnd:
    """The search is over. why : empty, or what went wrong."""

    why: str


def serve(request: StripRequest, connection: Connection) -> None:
    """Search and send every shorter layout as a ``StripFound``, and those it could not part, then one
    ``StripEnd``.
    """
    parent = os.getppid()
    # A panic prints its own report; the maker gets a sentence instead.
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 2)
    ended: list[str] = []
    found: list[Any] = []
    try:
        import spyrrow

        queue = spyrrow.ProgressQueue()
        instance = spyrrow.StripPackingInstance(
            "strip",
            # Pieces as wide as the cloth would not fit a strip of exactly that width.
            request.width * (1.0 + 1e-6),
            [spyrrow.Item(item.name, list(item.outline), item.count, item.turns) for item in request.items],
        )
        few = sum(item.count for item in request.items) <= FEW_COPIES
        config = spyrrow.StripPackingConfig(
            early_termination=False,
            total_computation_time=None,
            exploration_time=request.exploring,
            compression_time=request.compressing,
            num_workers=request.threads,
            quadtree_depth=FEW_DEPTH if few else DEPTH,
            seed=request.seed,
        )
    except BaseException as error:
        _send(connection, StripEnd(_named(error)))
        return

    def solve() -> None:
        try:
            found.append(instance.solve(config, queue))
            ended.append("")
        except BaseException as error:
            ended.append(_named(error))

    thread = threading.Thread(target=solve, daemon=True)
    thread.start()
    shortest = float("inf")
    while True:
        thread.join(TICK)
        over = not thread.is_alive()
        if os.getppid() != parent:
            # Nobody waits any more: the process that asked was killed.
            return
        reports = queue.drain()
        apart = (spyrrow.ReportType.ExplFeas, spyrrow.ReportType.CmprFeas, spyrrow.ReportType.Final)
        for place, (kind, solution) in enumerate(reports):
            length = float(solution.width)
            if kind in apart:
                if length >= shortest:
                    continue
                shortest = length
            elif place + 1 < len(reports) and float(reports[place + 1][1].width) == length:
                # It went on at the same length.
                continue
            if not _send(connection, StripFound(length, _places(solution), kind in apart)):
                return
        if over and found and float(found[0].width) < shortest:
            _send(connection, StripFound(float(found[0].width), _places(found[0])))
        if over:
            _send(connection, StripEnd(ended[0] if ended else "the solver stopped"))
            return


def _places(solution: Any) -> tuple[tuple[str, float, float, float], ...]:
    return tuple(
        (one.id, float(one.rotation), float(one.translation[0]), float(one.translation[1]))
        for one in solution.placed_items
    )


def _named(error: BaseException) -> str:
    return f"{type(error).__name__}: {str(error)[:200]}"


def _send(connection: Connection, message: object) -> bool:
    """Whether anybody is left to tell."""
    try:
        connection.send(message)
    except (BrokenPipeError, OSError):
        return False
    return True

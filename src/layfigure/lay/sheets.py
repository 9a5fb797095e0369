"""Parts laid on sheets and hides: what is at hand first, then as few as will do.

Our own placement does it, every place verified; other orders of the parts are tried while there is time.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely import Polygon

from layfigure.errors import LayError
from layfigure.lay.filling import Copy, Filled, Filler, Habit, copies_of
from layfigure.lay.ground import Ground
from layfigure.lay.layout import Section, Surface
from layfigure.lay.order_search import first_order
from layfigure.lay.part import Part
from layfigure.recompute.job import Job, QuietJob


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Board:
    """One size of sheet, or one hide.

    name : printed, such as ``at home 1`` or ``sheet``. width, length : across and along [mm]. count : how
    many
    there are, None for as many as are bought. surface : outline, flaws and zones of a hide. at_home : it
    costs nothing and is used up first. margin : kept free round a hide's edge and flaws [mm].
    """

    name: str
    width: float
    length: float
    count: int | None = None
    surface: Surface | None = None
    at_home: bool = False
    margin: float = 0.0

    @property
    def area(self) -> float:
        """Area of one [mm²], flaws counted in."""
        if self.surface is None:
            return self.width * self.length
        return float(Polygon(self.surface.outline).area)


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    fillings: tuple[tuple[Board, Filled], ...]
    lost: tuple[Copy, ...]

    def worth(self) -> tuple[int, float, float]:
        """Least is best: copies without room, area that is bought, how far into the last one they reach."""
        used = [(board, filled) for board, filled in self.fillings if filled.laid]
        bought = sum(board.area for board, _ in used if not board.at_home)
        last = used[-1][1].reach if used else 0.0
        return len(self.lost), bought, last


def lay_on_boards(
    parts: Sequence[Part],
    boards: Sequence[Board],
    *,
    seconds: float = 5.0,
    seed: int = 0,
    job: Job | None = None,
    said: Callable[[float], None] | None = None,
    rounds: int | None = None,
    must_all: bool = True,
    most: int = 60,
) -> tuple[list[Section], list[Copy]]:
    """Lay parts on boards: those at home first, then the fewest to buy. Returns sections and what has no
    room.

    rounds : most orders to try, for tests. must_all : raise LayError naming parts that no board holds;
    without
    it they are returned. most : boards of one size at most.
    """
    job = job or QuietJob()
    filler = Filler()
    random = np.random.default_rng(seed)
    begun = time.monotonic()
    order = _by_need(copies_of(parts))
    grounds = _Grounds()
    habit = Habit()
    best = now = _fill(filler, grounds, order, boards, most, habit)
    tried = 1
    while (
        len(order) > 1
        and time.monotonic() - begun < seconds
        and not job.cancelled()
        and (rounds is None or tried < rounds)
    ):
        if said is not None:
            said((time.monotonic() - begun) / max(seconds, 1e-9))
        other, way = list(order), habit
        if random.random() < 0.5:
            i, j = random.choice(len(other), size=2, replace=False).tolist()
            other.insert(j, other.pop(i))
        else:
            way = habit.changed(order, max(filler.turns_of(copy) for copy in order), random)
        found = _fill(filler, grounds, other, boards, most, way)
        tried += 1
        if found.worth() <= now.worth():
            order, habit, now = other, way, found
        if found.worth() < best.worth():
            best = found
    if best.lost and must_all:
        names = ", ".join(dict.fromkeys(copy.part.label for copy in best.lost))
        what = "hide" if boards and boards[0].surface is not None else "sheet"
        raise LayError(
            f"there is no room for {names}.",
            advice=f"Add a larger {what}, or divide the piece by a seam.",
        )
    return _sections(best, parts), list(best.lost)


def _by_need(copies: Sequence[Copy]) -> list[Copy]:
    """What wants the best leather first, then the largest."""
    return sorted(first_order(copies), key=lambda copy: copy.part.quality or 99)


class _Grounds:
    """One ground for every size of board, so that what is known of it is kept between orders."""

    def __init__(self) -> None:
        self._kept: dict[int, Ground] = {}

    def of(self, board: Board, which: int) -> Ground:
        """The ground of boards of one size; they are alike, so one serves for all."""
        if which not in self._kept:
            self._kept[which] = Ground(
                name=board.name,
                width=board.width,
                length=board.length,
                surface=board.surface,
                margin=board.margin,
            )
        return self._kept[which]


def _fill(
    filler: Filler,
    grounds: _Grounds,
    order: Sequence[Copy],
    boards: Sequence[Board],
    most: int,
    habit: Habit,
) -> _Found:
    opened: list[tuple[Board, Filled]] = []
    left = [board.count if board.count is not None else most for board in boards]
    lost: list[Copy] = []
    for copy in order:
        # What is at home first, opened or not; then sheets that are bought anyway; then another one.
        for at_home in (True, False):
            there = [filled for board, filled in opened if board.at_home == at_home]
            if filler.put(copy, there, habit):
                break
            fresh = _opened(filler, grounds, copy, boards, left, at_home, habit)
            if fresh is not None:
                opened.append(fresh)
                break
        else:
            lost.append(copy)
    return _Found(tuple(opened), tuple(lost))


def _opened(
    filler: Filler,
    grounds: _Grounds,
    copy: Copy,
    boards: Sequence[Board],
    left: list[int],
    at_home: bool,
    habit: Habit,
) -> tuple[Board, Filled] | None:
    """The first board not yet opened that has room for a copy, with the copy on it."""
    for which, board in enumerate(boards):
        if board.at_home != at_home or not left[which]:
            continue
        fresh = Filled(grounds.of(board, which))
        if filler.put(copy, [fresh], habit):
            left[which] -= 1
            return board, fresh
    return None


def _sections(found: _Found, parts: Sequence[Part]) -> list[Section]:
    """A section a board, its parts counted as they lie there and numbered anew."""
    by_slug = {part.slug: part for part in parts}
    sections = []
    numbers: dict[str, int] = {}
    for board, filled in found.fillings:
        slugs = list(dict.fromkeys(one.part for one in filled.laid))
        here = []
        laid = []
        for slug in slugs:
            copies = [one for one in filled.laid if one.part == slug]
            over = sum(one.mirrored for one in copies)
            here.append(replace(by_slug[slug], count=len(copies), mirrored=over))
            laid += [replace(one, copy=number) for number, one in enumerate(copies)]
        numbers[board.name] = numbers.get(board.name, 0) + 1
        several = board.count != 1
        sections.append(
            Section(
                kind="hide" if board.surface is not None else "sheet",
                name=f"{board.name} {numbers[board.name]}" if several else board.name,
                width=board.width,
                length=board.length,
                parts=tuple(here),
                laid=tuple(laid),
                surface=board.surface,
            )
        )
    return sections


def sheets_bound(parts: Sequence[Part], board: Board) -> int:
    """Fewest sheets that could hold the parts by their area."""
    area = sum(part.area * part.count for part in parts)
    return int(np.ceil(area / board.area - 1e-9))

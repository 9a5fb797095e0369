"""Parts laid on a roll: our own placement at once, then the strip solver in a process of its own.

What is returned has been verified; a solver that fails, dies or is stopped costs nothing that was found.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from layfigure.errors import LayError
from layfigure.lay.box_rows import box_rows
from layfigure.lay.clean import Points, covering, inset
from layfigure.lay.gathered import Gathered
from layfigure.lay.ground import Ground
from layfigure.lay.layout import Section, SectionKind, least_length
from layfigure.lay.order_search import search_order
from layfigure.lay.part import Part
from layfigure.lay.press import Press
from layfigure.lay.strip_search import StripSearch, search_threads
from layfigure.lay.strip_worker import StripItem, StripRequest
from layfigure.recompute.job import Job, QuietJob

FIRST_SHARE, FIRST_MOST = 0.1, 1.5
"""Share of the time, and most of it [s], in which our own placement makes a layout: of few copies, or where
the search is not asked or finds none.
"""

PLAINER = 0.1
"""How much larger outlines of many points may be for the solver [mm]; it takes as long as they have
points.
"""

DRAWN_IN = 2e-4
"""How far outlines are drawn in for the solver, a share of the width. It simplifies them outward by up
to a thousandth of their area and closes narrow gaps, so that pieces that just fit beside each other do not;
and it parts by single moves what pressing parts by one program. On five ESICUP garment instances with
60 s and three seeds: 2.6 points below the best known, 3.1 without.
"""

PRESSED_EVERY = 3.0
"""While the solver explores by all threads, how long until the newest layout is pressed again [s]: so that
there is always one that is sure.
"""

SURE_COPIES = 14
"""So few copies get one layout of our own however late it is: boxes in a row are no layout to compare
with.
"""

COMPRESSING = 0.18
"""Share of the time in which the solver compresses the shortest it found, by one thread."""

PRESSING = 0.01
"""Share of the time for what is left to press when the search has ended; most is pressed by then."""

STARTING = 0.5
"""A new process takes about as long until it searches [s]."""

LEAST_SEARCH = 2.2
"""Below this the solver is not asked: it would be over before it has begun [s]."""


def lay_roll(
    parts: Sequence[Part],
    width: float,
    *,
    kind: SectionKind = "single",
    name: str = "",
    repeat: tuple[float, float] = (0.0, 0.0),
    seconds: float = 10.0,
    seed: int = 0,
    threads: int | None = None,
    before: Section | None = None,
    job: Job | None = None,
    said: Callable[[float, float], None] | None = None,
    rounds: int | None = None,
    plainer: float = PLAINER,
) -> Section:
    """Lay parts on a stretch of roll, as short as the time allows.

    width : usable, half the roll on the fold [mm]. before : a layout of the same parts that is kept unless
    a shorter one is found. said : told the share of the time that is over and the length so far.
    Raises LayError when a part is wider than the cloth, before anything is searched.
    """
    job = job or QuietJob()
    section = Section(
        kind=kind, name=name, width=width, length=0.0, parts=tuple(parts), laid=(), repeat=repeat
    )
    if not parts:
        return section
    refuse_too_wide(parts, width, kind)
    own = _own_rules(section)
    copies = sum(part.count for part in parts)
    best = before
    if not own:
        length, laid = box_rows(parts, width)
        best = _shorter(best, replace(section, length=length, laid=laid))
    share = seconds if own else min(FIRST_SHARE * seconds, FIRST_MOST)
    searching = seconds - share if copies <= SURE_COPIES else seconds
    found = None
    if not own and copies > 1 and searching >= LEAST_SEARCH and not job.cancelled():
        found = _searched(section, best, searching, seed, threads or search_threads(), job, said, plainer)
    if found is None or copies <= SURE_COPIES:
        ground = Ground(
            name=name, width=width, length=_longest(parts, repeat), folded=kind == "fold", repeat=repeat
        )
        order = search_order(
            parts,
            ground,
            seconds=share,
            job=job,
            seed=seed,
            rounds=rounds,
            must=before is None and (own or copies <= SURE_COPIES),
            said=None if said is None or not own else lambda part: said(part, np.inf),
        )
        if order is not None:
            best = _shorter(best, replace(section, length=order.length, laid=order.laid))
    if found is not None:
        best = _shorter(best, found)
    if best is None:
        raise LayError(
            "no way was found to lay the pieces.",
            where=name,
            advice="Take wider cloth, or let more pieces be turned.",
        )
    return best


def refuse_too_wide(parts: Sequence[Part], width: float, kind: SectionKind = "single") -> None:
    """Raise LayError naming the parts that do not fit across the cloth as they may be turned."""
    wide = [part.label for part in parts if not np.isfinite(least_length(part, width))]
    if not wide:
        return
    names, verb = ", ".join(wide), "is" if len(wide) == 1 else "are"
    cloth = "folded cloth" if kind == "fold" else "cloth"
    raise LayError(
        f"{names} {verb} wider than the {cloth} as the grain lies.",
        advice="Take wider cloth, divide the piece by a seam, or turn its grain.",
    )


def _own_rules(section: Section) -> bool:
    """Whether the strip solver does not know the rules: parts on the fold or to a pattern."""
    matched = any(section.repeat) and any(part.match is not None for part in section.parts)
    return matched or any(part.on_fold for part in section.parts)


def _longest(parts: Sequence[Part], repeat: tuple[float, float]) -> float:
    """Room for all parts one after the other, whichever way they lie [mm]."""
    longest = [float(np.linalg.norm(np.ptp(part.outline, axis=0))) + repeat[0] for part in parts]
    return sum(long * part.count for long, part in zip(longest, parts, strict=True)) + 10.0


def _searched(
    section: Section,
    before: Section | None,
    seconds: float,
    seed: int,
    threads: int,
    job: Job,
    said: Callable[[float, float], None] | None,
    plainer: float,
) -> Section | None:
    """The best of what the strip solver finds, verified; None unless it is shorter than what was there."""
    begun = time.monotonic()
    press = Press(section.parts)
    by = _drawn_in(section) if press.worth else 0.0
    items, names = _items(section, plainer, by)
    searching = (1.0 - PRESSING) * seconds
    exploring = max(1, round(searching - STARTING - COMPRESSING * seconds))
    request = StripRequest(
        width=section.width,
        items=items,
        exploring=exploring,
        # It is ended on time.
        compressing=max(1, math.ceil(searching) - exploring),
        threads=threads,
        seed=seed,
    )
    gathered = Gathered(section, names, before, press=press, drawn_in=by > 0.0)
    pressed_last = begun

    def told() -> None:
        if said is not None:
            said(min((time.monotonic() - begun) / seconds, 1.0), gathered.length)

    def press_meanwhile(left: float) -> bool:
        nonlocal pressed_last
        now = time.monotonic()
        if now - begun < exploring + STARTING and (not by or now - pressed_last < PRESSED_EVERY):
            return False
        pressed_last = now
        return gathered.press_next(left)

    with StripSearch(request) as search:
        search.listen(job, gathered.take, seconds=searching, said=told, meanwhile=press_meanwhile)
    found = gathered.ended(seconds=PRESSING * seconds)
    return None if found is before else found


def _drawn_in(section: Section) -> float:
    """How far outlines are drawn in for the solver [mm]; 0 where one is too thin."""
    by = DRAWN_IN * section.width
    return by if all(inset(part.outline, by) is not None for part in section.parts) else 0.0


def _items(
    section: Section, plainer: float, by: float
) -> tuple[tuple[StripItem, ...], dict[str, tuple[Part, bool]]]:
    """What the solver is given, drawn in by so much [mm]; it cannot turn outlines over, so those are items of
    their own.
    """
    items: list[StripItem] = []
    names: dict[str, tuple[Part, bool]] = {}
    for part in section.parts:
        outline = _for_solver(part, section.width, plainer, by)
        for over, count in ((False, part.count - part.mirrored), (True, part.mirrored)):
            if not count:
                continue
            name = f"{part.slug}|over" if over else part.slug
            names[name] = (part, over)
            ring = (outline * [1.0, -1.0])[::-1] if over else outline
            points = tuple((float(x), float(y)) for x, y in ring)
            items.append(StripItem(name=name, outline=points, count=count, turns=part.turns))
    return tuple(items), names


def _for_solver(part: Part, width: float, plainer: float, by: float) -> Points:
    """A part's outline made plainer, if it still fits across the cloth, and drawn in."""
    for outline in (covering(part.outline, plainer), part.outline):
        smaller = inset(outline, by) if by else outline
        if smaller is not None and np.isfinite(least_length(replace(part, outline=outline), width)):
            return smaller
    return part.outline


def _shorter(before: Section | None, found: Section) -> Section:
    return before if before is not None and before.length <= found.length else found

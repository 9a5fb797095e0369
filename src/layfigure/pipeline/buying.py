"""From pieces to what to buy: laid, listed, priced, and another material tried."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from layfigure.design.costume import check_cloths
from layfigure.draft.registry import DraftResult
from layfigure.errors import DraftError
from layfigure.files.nearest import did_you_mean
from layfigure.lay.lay_all import lay_all
from layfigure.lay.settings import LaySettings
from layfigure.pipeline.laying import hides_of, lay_costume, stored_layouts
from layfigure.pipeline.work import Work, draft_all, plan
from layfigure.recompute.job import Job, QuietJob
from layfigure.recompute.pool import WorkerPool
from layfigure.shop.buying import Buying, buying_of
from layfigure.shop.instead import OneWay, one_way
from layfigure.shop.money_file import MONEY_FILE, Money, read_money, refuse_strangers


def costume_money(work: Work) -> Money:
    """What ``money.toml`` says; nothing where there is none. Raises FileError."""
    path = work.folder.root / MONEY_FILE
    if not path.is_file():
        return Money()
    money = read_money(path)
    slugs = frozenset(piece.slug for piece in work.folder.costume.pieces)
    refuse_strangers(money, slugs, frozenset(work.folder.cloths))
    return money


QUICK = 4.0
"""Search for all cloths together where nobody asked for more [s]: a list can wait for its last centimetre."""


def buy(work: Work, place: Path, job: Job | None = None, pool: WorkerPool | None = None) -> Buying:
    """Draft, lay and list. place : where layouts are kept; see ``bought``."""
    job = job or QuietJob()
    return bought(work, draft_all(work, job, pool), place, job)


def bought(work: Work, drafts: Mapping[str, DraftResult], place: Path, job: Job | None = None) -> Buying:
    """What drafted pieces take to buy.

    Layouts kept in ``place`` that still hold are used; the rest are laid quickly, and kept there. Raises
    FileError for a file of money or a traced hide that cannot be used.
    """
    money = costume_money(work)
    laid = lay_costume(work, place, LaySettings(seconds=QUICK), job, drafts=dict(drafts))
    return buying_of(work.chosen, drafts, laid, work.folder.stock, money)


def instead_of(
    work: Work, piece: str, material: str, place: Path, *, job: Job | None = None
) -> tuple[OneWay, OneWay]:
    """A piece as it is, and of another material: both drafted, laid and listed. Raises DraftError for a name.

    Only the piece and what lies over it are drafted again.
    """
    job = job or QuietJob()
    costume, stock = work.folder.costume, work.folder.stock
    by_slug = {statement.slug: statement for statement in costume.pieces}
    for name, known, what in ((piece, by_slug, "piece"), (material, stock.cloths, "material")):
        if name not in known:
            raise DraftError(f"there is no {what} {name!r}.", advice=did_you_mean(name, known))
    changed = replace(by_slug[piece], cloth=material)
    pieces = tuple(changed if statement.slug == piece else statement for statement in costume.pieces)
    other = replace(work.folder, costume=replace(costume, pieces=pieces))
    check_cloths(other.costume, other.cloths)
    then = plan(other, work.wearer, work.graph, only=[statement.slug for statement in work.chosen])
    money, before = costume_money(work), stored_layouts(place)
    ways = []
    for which in (work, then):
        drafts = draft_all(which, job)
        cut = {slug: result.pieces for slug, result in drafts.items()}
        # Not kept: what is only tried must not take the place of what she cuts by.
        laid = lay_all(
            cut, stock, LaySettings(seconds=QUICK), job, before=before, hides=hides_of(work.folder)
        )
        buying = buying_of(which.chosen, drafts, laid, stock, money)
        (statement,) = (one for one in which.chosen if one.slug == piece)
        ways.append(one_way(statement, drafts, buying.shopping, stock, money))
    return ways[0], ways[1]

"""From pieces to what to buy: laid, listed, priced, and another material tried."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from layfigure.design.costume import check_cloths
from layfigure.draft.registry import DraftResult
from layfigure.errors import DraftError
from layfigure.files.nearest import did_you_mean
from layfigure.lay.laid import AllLaid
from layfigure.lay.lay_all import lay_all
from layfigure.lay.layout import Layout, Surface
from layfigure.lay.settings import LaySettings
from layfigure.materials.stock import Stock
from layfigure.pipeline.folder import CostumeFolder
from layfigure.pipeline.kept_layouts import stored_layouts
from layfigure.pipeline.laying import hides_of
from layfigure.pipeline.work import Work, draft_all, keyed_drafts, plan
from layfigure.recompute.graph import Keyed
from layfigure.recompute.job import Job, QuietJob
from layfigure.recompute.pool import WorkerPool
from layfigure.shop.buying import Buying, buying_of
from layfigure.shop.instead import OneWay, one_way
from layfigure.shop.money_file import MONEY_FILE, Money, of_each_side, read_money, refuse_strangers
from layfigure.units import LengthUnit


def costume_money(folder: CostumeFolder) -> Money:
    """What ``money.toml`` says; nothing where there is none. Raises FileError."""
    path = folder.root / MONEY_FILE
    if not path.is_file():
        return Money()
    slugs = frozenset(piece.slug for piece in folder.costume.pieces)
    money = of_each_side(read_money(path), slugs)
    refuse_strangers(money, slugs, frozenset(folder.cloths))
    return money


FIRST = LaySettings(seconds=0.0, rounds=1)
"""A first layout and no search by the clock: the same input gives the same list. ``layfigure lay`` searches,
and what it keeps is used here."""


def buy(work: Work, place: Path, job: Job | None = None, pool: WorkerPool | None = None) -> Buying:
    """Draft, lay and list. place : where layouts are kept; see ``bought``."""
    return bought(work, draft_all(work, job or QuietJob(), pool), place)


def bought(work: Work, drafts: Mapping[str, DraftResult], place: Path) -> Buying:
    """What drafted pieces take to buy.

    Layouts kept in ``place`` that still hold are used; the rest get a first layout. Nothing is written.
    Raises FileError for a file of money or a traced hide that cannot be used.
    """
    money, stock = costume_money(work.folder), work.folder.stock
    laid = work.graph.node(
        run_lay,
        keyed_drafts(work, drafts),
        Keyed(stock, by=(stock.cloths, stock.supplies)),
        stored_layouts(place),
        hides_of(work.folder),
        work.wearer.unit,
    )
    return buying_of(work.chosen, drafts, laid.value(), stock, money)


def run_lay(
    drafts: Mapping[str, DraftResult],
    stock: Stock,
    before: Mapping[str, Layout],
    hides: Mapping[str, Sequence[Surface]],
    unit: LengthUnit,
) -> AllLaid:
    """The stage: every cloth with the layout that is kept, or else a first one."""
    pieces = {slug: result.pieces for slug, result in drafts.items()}
    return lay_all(pieces, stock, replace(FIRST, unit=unit), before=before, hides=hides)


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
    money, before = costume_money(work.folder), stored_layouts(place)
    ways = []
    for which in (work, then):
        drafts = draft_all(which, job)
        cut = {slug: result.pieces for slug, result in drafts.items()}
        # Not kept: what is only tried must not take the place of what she cuts by.
        first = replace(FIRST, unit=work.wearer.unit)
        laid = lay_all(cut, stock, first, job, before=before, hides=hides_of(work.folder))
        buying = buying_of(which.chosen, drafts, laid, stock, money)
        (statement,) = (one for one in which.chosen if one.slug == piece)
        ways.append(one_way(statement, drafts, buying.shopping, stock, money))
    return ways[0], ways[1]

"""One cloth before it is searched: its parts, what they are laid on, and a first layout of each way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from layfigure.errors import LayError
from layfigure.lay.amount import Amount, hide_amount, hide_estimate, roll_amount, sheet_amount
from layfigure.lay.filling import Copy
from layfigure.lay.laid import Alternative, ClothLaid
from layfigure.lay.layout import Layout, Section, Surface
from layfigure.lay.on_fold import plan_fold
from layfigure.lay.part import Part, pieces_cut
from layfigure.lay.parts import parts_of
from layfigure.lay.pattern_match import matched
from layfigure.lay.roll import lay_roll, refuse_too_wide
from layfigure.lay.settings import LaySettings, Way
from layfigure.lay.sheets import Board, lay_on_boards
from layfigure.lay.store import layout_key
from layfigure.materials.cloth import Cloth
from layfigure.materials.supply import Supply
from layfigure.piece.piece import Piece
from layfigure.piece.unseen import is_unseen
from layfigure.recompute.job import Job

HIDE_EDGE = 5.0
"""Kept free round the edge of a hide and round its flaws [mm]; common practice, no source."""

FIRST_MOST, FIRST_SHARE = 1.0, 0.03
"""Most time for a first layout of each way, to choose between them [s], and its share of all time."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClothPlan:
    """What one cloth's layout is searched for. surfaces : outlines of hides, if there are any."""

    cloth: Cloth
    supply: Supply
    parts: tuple[Part, ...]
    statements: tuple[str, ...]
    settings: LaySettings
    surfaces: tuple[Surface, ...] = ()

    @property
    def first_seconds(self) -> float:
        """Time for each layout that ways are compared by [s]."""
        return min(FIRST_MOST, FIRST_SHARE * self.settings.seconds)

    @property
    def on_roll(self) -> bool:
        """Whether it is laid as a strip; a sheet whose length nobody said is, too."""
        return self.supply.sold_as == "roll" or (
            self.supply.sold_as == "sheet" and self.supply.sheet_length <= 0.0
        )

    @property
    def sold_width(self) -> float:
        """Width of the roll as it is sold [mm]."""
        return self.settings.width or self.cloth.width

    @property
    def width(self) -> float:
        """Usable width once washed, selvedges off [mm]."""
        return self.sold_width * (1.0 - self.supply.shrinkage_across) - 2.0 * self.supply.selvedge

    @property
    def half_width(self) -> float:
        """The same of cloth folded lengthwise, whose fold has no selvedge [mm]."""
        return 0.5 * self.width

    @property
    def repeat(self) -> tuple[float, float]:
        """Repeat of the washed cloth's pattern, along and across [mm]."""
        supply = self.supply
        return (
            supply.repeat_along * (1.0 - supply.shrinkage_along),
            supply.repeat_across * (1.0 - supply.shrinkage_across),
        )

    @property
    def wanted(self) -> Mapping[str, int]:
        """How many of each piece."""
        return pieces_cut(self.parts)

    @property
    def key(self) -> str:
        """Key of all that decides what a layout of this cloth must be."""
        supply = self.supply
        ground = (supply.sold_as, self.sold_width, self.width, supply.sheet_length, self.repeat)
        shelf = [(left.length, left.width, left.count) for left in supply.on_shelf]
        hides = [
            (one.outline, list(one.flaws), [(zone.quality, zone.outline) for zone in one.zones])
            for one in self.surfaces
        ]
        return layout_key(list(self.parts), ground, shelf, hides, self.settings.way)


def plan_cloth(
    cloth: Cloth,
    supply: Supply,
    pieces: Sequence[Piece],
    statements: Sequence[str],
    settings: LaySettings,
    surfaces: Sequence[Surface] = (),
) -> ClothPlan:
    """State what is to be laid. Raises LayError for an outline that cannot be."""
    any_way = supply.sold_as != "roll"
    repeat = supply.repeat_along > 0.0 or supply.repeat_across > 0.0
    parts = parts_of(pieces, one_way=not any_way and (supply.nap or repeat), any_way=any_way)
    if supply.sold_as == "hide":
        owners = zip(parts, statements, strict=True)
        parts = [replace(part, quality=_quality(part.slug, owner, supply)) for part, owner in owners]
    elif repeat and not any_way:
        parts = matched(parts, pieces)
    return ClothPlan(
        cloth=cloth,
        supply=supply,
        parts=tuple(parts),
        statements=tuple(dict.fromkeys(statements)),
        settings=settings,
        surfaces=tuple(surfaces),
    )


def _quality(slug: str, statement: str, supply: Supply) -> int:
    """The poorest zone of a hide that a piece may touch: as the maker said, else any for what nobody sees."""
    said = supply.poorest_zone.get(slug, supply.poorest_zone.get(statement))
    if said is not None:
        return said
    return 0 if is_unseen(slug) else 1


def first_layout(plan: ClothPlan, job: Job) -> tuple[Layout, tuple[Alternative, ...]]:
    """A layout to start from, of the way that takes less cloth. Raises LayError."""
    if plan.supply.sold_as == "hide":
        return _on_hides(plan, plan.first_seconds, job), ()
    if not plan.on_roll:
        return _on_sheets(plan, plan.first_seconds, job), ()
    home, parts = _from_shelf(plan, job)
    ways: dict[Way, list[Section]] = {}
    if plan.settings.way != "fold" or any(plan.repeat):
        refuse_too_wide(parts, plan.width)
        ways["single"] = [_strip(plan, parts, plan.first_seconds, job)]
    if plan.settings.way != "single" and not any(plan.repeat) and plan.supply.sold_as == "roll":
        fold = plan_fold(parts, plan.half_width)
        if fold.folded or plan.settings.way == "fold":
            refuse_too_wide(fold.single, plan.width)
            folded = _strip(plan, fold.folded, plan.first_seconds, job, folded=True)
            ways["fold"] = [folded, _strip(plan, fold.single, plan.first_seconds, job)]
    best = min(ways, key=lambda way: sum(section.length for section in ways[way]))
    layouts = {way: _layout(plan, [*home, *sections]) for way, sections in ways.items()}
    alternatives = tuple(
        Alternative(
            way=way,
            width=plan.sold_width,
            length=sum(section.length for section in ways[way]),
            to_buy=roll_amount(layout, plan.supply, plan.sold_width).to_buy,
        )
        for way, layout in layouts.items()
    )
    return layouts[best], alternatives


def _strip(
    plan: ClothPlan, parts: Sequence[Part], seconds: float, job: Job, *, folded: bool = False
) -> Section:
    return lay_roll(
        parts,
        plan.half_width if folded else plan.width,
        kind="fold" if folded else "single",
        name="folded lengthwise" if folded else "single layer",
        repeat=plan.repeat,
        seconds=seconds,
        seed=plan.settings.seed,
        rounds=plan.settings.rounds,
        threads=plan.settings.threads,
        job=job,
    )


def _from_shelf(plan: ClothPlan, job: Job) -> tuple[list[Section], list[Part]]:
    """What leftovers at home give, and the parts they have no room for."""
    supply = plan.supply
    boards = [
        Board(
            name="at home",
            width=(left.width * (1.0 - supply.shrinkage_across) if left.width else plan.width),
            length=left.length * (1.0 - supply.shrinkage_along),
            count=left.count,
            at_home=True,
        )
        for left in supply.on_shelf
        if left.length > 0.0
    ]
    if not boards or any(plan.repeat):
        return [], list(plan.parts)
    boards.sort(key=lambda board: board.area)
    home, lost = lay_on_boards(
        plan.parts, boards, seconds=plan.first_seconds, rounds=plan.settings.rounds, job=job, must_all=False
    )
    named = [replace(section, name=f"at home {number}") for number, section in enumerate(home, 1)]
    return named, _still(plan.parts, lost)


def _still(parts: Sequence[Part], lost: Sequence[Copy]) -> list[Part]:
    """Parts counted as the copies that found no room."""
    left = []
    for part in parts:
        copies = [copy for copy in lost if copy.part.slug == part.slug]
        if copies:
            left.append(replace(part, count=len(copies), mirrored=sum(copy.mirrored for copy in copies)))
    return left


def _on_sheets(plan: ClothPlan, seconds: float, job: Job) -> Layout:
    supply = plan.supply
    home = [
        Board(
            name="at home",
            width=left.width or plan.sold_width,
            length=left.length or supply.sheet_length,
            count=left.count,
            at_home=True,
        )
        for left in supply.on_shelf
    ]
    home.sort(key=lambda board: board.area)
    sheet = Board(name="sheet", width=plan.sold_width, length=supply.sheet_length)
    sections, _ = lay_on_boards(
        plan.parts,
        [*home, sheet],
        seconds=seconds,
        seed=plan.settings.seed,
        rounds=plan.settings.rounds,
        job=job,
    )
    at_home = [section for section in sections if section.name.startswith("at home")]
    named = [replace(section, name=f"at home {number}") for number, section in enumerate(at_home, 1)]
    return _layout(plan, [*named, *(one for one in sections if one not in at_home)])


def _on_hides(plan: ClothPlan, seconds: float, job: Job) -> Layout:
    """A layout on the hides at hand; without any, or where they have no room, leather is estimated."""
    if not plan.surfaces:
        return _layout(plan, [])
    boards = [
        Board(
            name=one.name,
            width=float(one.outline[:, 1].max()),
            length=float(one.outline[:, 0].max()),
            count=1,
            surface=one,
            at_home=True,
            margin=HIDE_EDGE,
        )
        for one in plan.surfaces
    ]
    sections, lost = lay_on_boards(
        plan.parts,
        boards,
        seconds=seconds,
        seed=plan.settings.seed,
        rounds=plan.settings.rounds,
        job=job,
        must_all=False,
    )
    if lost:
        names = ", ".join(dict.fromkeys(copy.part.label for copy in lost))
        raise LayError(
            f"your hides have no room for {names}.",
            where=plan.cloth.slug,
            advice="Add the outline of another hide, mark fewer zones, or take the outlines out.",
        )
    return _layout(plan, sections)


def _layout(plan: ClothPlan, sections: Sequence[Section]) -> Layout:
    return Layout(
        cloth=plan.cloth.slug,
        sold_as="roll" if plan.on_roll else plan.supply.sold_as,
        roll_width=plan.width if plan.on_roll else 0.0,
        sections=tuple(section for section in sections if section.parts),
        fingerprint=plan.key,
    )


def searched_boards(plan: ClothPlan, seconds: float, job: Job) -> Layout:
    """Sheets or hides, searched anew for so long."""
    return _on_hides(plan, seconds, job) if plan.supply.sold_as == "hide" else _on_sheets(plan, seconds, job)


def laid_cloth(
    plan: ClothPlan, layout: Layout, alternatives: tuple[Alternative, ...], *, reused: bool = False
) -> ClothLaid:
    """The result, with what to buy."""
    if alternatives:
        # The chosen way has been searched since it was compared.
        alternatives = _renewed(plan, layout, alternatives)
    return ClothLaid(
        layout=layout,
        amount=_amount(plan, layout),
        statements=plan.statements,
        wanted=plan.wanted,
        alternatives=alternatives,
        reused=reused,
    )


def way_of(layout: Layout) -> Way:
    """Whether a roll was laid folded or single."""
    return "fold" if any(section.kind == "fold" for section in layout.sections) else "single"


def _renewed(
    plan: ClothPlan, layout: Layout, alternatives: tuple[Alternative, ...]
) -> tuple[Alternative, ...]:
    chosen = way_of(layout)
    length = sum(section.length for section in layout.sections if section.kind in ("single", "fold"))
    to_buy = roll_amount(layout, plan.supply, plan.sold_width, plan.settings.unit).to_buy
    return tuple(
        replace(one, length=length, to_buy=to_buy) if one.way == chosen else one for one in alternatives
    )


def _amount(plan: ClothPlan, layout: Layout) -> Amount:
    if plan.supply.sold_as == "hide":
        if layout.sections:
            return hide_amount(layout)
        areas = [part.area * part.count for part in plan.parts]
        return hide_estimate(sum(areas), max(part.area for part in plan.parts), plan.supply)
    if plan.on_roll:
        amount = roll_amount(layout, plan.supply, plan.sold_width, plan.settings.unit)
        if plan.supply.sold_as == "sheet":
            remark = f"{amount.remark}; say sheet_length to have sheets counted"
            return replace(amount, remark=remark)
        if plan.supply.on_shelf and any(plan.repeat):
            remark = f"{amount.remark}; leftovers are left out, since the pattern has to match"
            return replace(amount, remark=remark)
        return amount
    return sheet_amount(layout, plan.supply, plan.sold_width)

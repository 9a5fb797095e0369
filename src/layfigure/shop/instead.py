"""Another material for a piece: mass, cost, hours, stiffness and comfort, side by side."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from layfigure.design.design import PieceStatement
from layfigure.draft.registry import DraftResult
from layfigure.materials.overhang import flexural_rigidity
from layfigure.materials.price import format_money
from layfigure.materials.stock import Stock
from layfigure.materials.warmth import SUIT, insulation, sweat_words
from layfigure.shop.cost import piece_costs, piece_mass
from layfigure.shop.hours import hours_of, hours_words
from layfigure.shop.money_file import Hours, Money
from layfigure.shop.piece_area import worn_area
from layfigure.shop.shopping_list import ShoppingList


@dataclass(frozen=True, slots=True, kw_only=True)
class OneWay:
    """A piece in one material.

    material : slug. mass : [g]. cost : of its materials; unpriced : names without a price. total : of the
    whole shopping list. hours : None where unknown. rigidity : flexural rigidity per width [µN·m], None where
    no strip was tested. thickness : with its finish [mm]. feel : how it presses on the body, where the draft
    tells. failed : checks that fail. refused : why it cannot be made of this, empty where it can.
    """

    material: str
    name: str
    mass: float
    cost: float
    unpriced: tuple[str, ...]
    total: float
    hours: Hours | None
    rigidity: float | None
    thickness: float
    covered: float
    warmth: float | None
    sweat: str
    feel: tuple[str, ...]
    failed: tuple[str, ...]
    refused: str = ""


def one_way(
    statement: PieceStatement,
    drafts: Mapping[str, DraftResult],
    shopping: ShoppingList,
    stock: Stock,
    money: Money,
) -> OneWay:
    """The piece as these drafts make it. drafts, shopping : of the whole costume, with this piece so made."""
    draft = drafts[statement.slug]
    cloth, supply = stock.cloths[statement.cloth], stock.supply(statement.cloth)
    cost = piece_costs(drafts, shopping, stock)[statement.slug]
    failed = tuple(check.what for check in draft.checks if not check.passed)
    return OneWay(
        material=cloth.slug,
        name=cloth.name,
        mass=piece_mass(draft, stock),
        cost=cost.materials,
        unpriced=cost.unpriced,
        total=shopping.total,
        hours=hours_of(statement, money, cloth.slug),
        rigidity=None if supply.overhang is None else flexural_rigidity(supply.overhang, cloth.areal_mass),
        thickness=stock.finished_thickness(cloth.slug),
        covered=sum(piece.count * worn_area(piece) for piece in draft.pieces if piece.cloth == cloth.slug),
        warmth=insulation(cloth),
        sweat=sweat_words(cloth, finished=bool(supply.finish)),
        feel=tuple(check.what for check in draft.checks if check.unit == "kPa"),
        failed=failed if draft.pieces else (),
        refused="" if draft.pieces or not failed else failed[0],
    )


def way_rows(now: OneWay, then: OneWay, currency: str) -> list[tuple[str, str, str]]:
    """Both ways side by side, a row each of mass, cost, hours, thickness, stiffness, warmth and feel."""

    def both(what: str, say: Callable[[OneWay], str]) -> tuple[str, str, str]:
        return what, say(now), say(then)

    return [
        both("weighs", lambda way: f"{way.mass:.0f} g"),
        both("its materials", lambda way: _cost_words(way, currency)),
        both(
            "the whole list",
            lambda way: format_money(way.total, currency) + (", without those" if way.unpriced else ""),
        ),
        both("hours", lambda way: "not known" if way.hours is None else hours_words(way.hours)),
        both("thickness", lambda way: f"{way.thickness:.1f} mm" if way.thickness else "not known"),
        ("stiffness", "", stiffness_words(now, then)),
        both("warmth", _warmth_words),
        both("on the body", lambda way: "; ".join(way.feel) or "nothing is told"),
        both("to mind", lambda way: "; ".join(way.failed) or "all checks pass"),
    ]


def _cost_words(way: OneWay, currency: str) -> str:
    """What its materials come to, and which have no price: names hold commas of their own."""
    unpriced = f"no price for: {'; '.join(way.unpriced)}" if way.unpriced else ""
    if unpriced and not way.cost:
        return unpriced
    return "; ".join(filter(None, (format_money(way.cost, currency), unpriced)))


def stiffness_words(before: OneWay, after: OneWay) -> str:
    """How much stiffer, by tested strips; else what thickness alone tells."""
    if before.rigidity and after.rigidity:
        return _times(after.rigidity / before.rigidity, "stiff")
    if before.thickness > 0.0 and after.thickness > 0.0 and before.thickness != after.thickness:
        cube = (after.thickness / before.thickness) ** 3
        return (
            f"unknown: no strip of both was hung over a table edge; of the same stuff it would be "
            f"{_times(cube, 'stiff')} by its thickness"
        )
    return "unknown: hang a strip of both over a table edge and write their overhang"


def _warmth_words(way: OneWay) -> str:
    """How warm it is beside clothes everybody knows, on how much of the body, and whether sweat gets out."""
    warm = "not known how well it keeps heat in: write its thickness"
    if way.warmth is not None:
        warm = f"keeps heat in by about {way.warmth:.2f} clo where it lies ({SUIT})"
    side = 0.1 * way.covered**0.5
    covers = f"covers {way.covered * 1e-4:.0f} dm² of the body, as much as {side:.0f} × {side:.0f} cm"
    return f"{warm}; {covers}; {way.sweat}"


def _times(ratio: float, what: str) -> str:
    if 0.9 <= ratio <= 1.1:
        return f"about as {what}"
    if ratio < 0.1:
        return f"less than a tenth as {what}"
    return f"{ratio:.1f} times as {what}"

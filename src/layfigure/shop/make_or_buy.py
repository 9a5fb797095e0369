"""Whether a piece is worth making: its materials and the maker's hours, against what it costs ready made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from layfigure.design.design import PieceStatement
from layfigure.shop.cost import PieceCost
from layfigure.shop.hours import hours_of
from layfigure.shop.money_file import Hours, Money

Answer = Literal["make it", "buy it", "either", "cannot say"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MakeOrBuy:
    """One piece weighed up.

    materials : share of the shopping list. hours : that it takes, None where unknown. making : materials and
    hours at the maker's rate, from and to; None where hours or rate are unknown. buying : price ready made,
    None where nobody said. tools, skills : needed and not at hand. answer and why : in words.
    """

    slug: str
    label: str
    materials: float
    hours: Hours | None
    making: tuple[float, float] | None
    buying: float | None
    tools: tuple[str, ...]
    skills: tuple[str, ...]
    answer: Answer
    why: str


def weighed_up(
    statements: Sequence[PieceStatement], costs: Mapping[str, PieceCost], money: Money
) -> tuple[MakeOrBuy, ...]:
    """Every piece that has a cost, in the order of the costume."""
    return tuple(
        _weighed(statement, costs[statement.slug], money)
        for statement in statements
        if statement.slug in costs
    )


def _weighed(statement: PieceStatement, cost: PieceCost, money: Money) -> MakeOrBuy:
    said = money.pieces.get(statement.slug)
    hours = hours_of(statement, money)
    making = None
    if hours is not None and money.rate is not None:
        making = cost.materials + hours[0] * money.rate, cost.materials + hours[1] * money.rate
    buying = None if said is None else said.buy
    tools = () if said is None else tuple(t for t in said.tools if t.lower() not in money.tools)
    skills = () if said is None else tuple(s for s in said.skills if s.lower() not in money.skills)
    answer, why = _answer(making, buying, money, hours, tools, skills, cost.unpriced)
    return MakeOrBuy(
        slug=statement.slug,
        label=statement.called,
        materials=cost.materials,
        hours=hours,
        making=making,
        buying=buying,
        tools=tools,
        skills=skills,
        answer=answer,
        why=why,
    )


def _answer(
    making: tuple[float, float] | None,
    buying: float | None,
    money: Money,
    hours: Hours | None,
    tools: Sequence[str],
    skills: Sequence[str],
    unpriced: Sequence[str],
) -> tuple[Answer, str]:
    lacking = ", ".join([*tools, *skills])
    if buying is None:
        return "cannot say", "no price ready made is known" + (
            f"; you would need {lacking}" if lacking else ""
        )
    if hours is None:
        return "cannot say", "say how many hours it takes you"
    if money.rate is None or making is None:
        return "cannot say", "say what an hour of yours is worth to you (rate)"
    rest = f"; {', '.join(unpriced)} without a price not counted" if unpriced else ""
    if buying < making[0]:
        return "buy it", "ready made it costs less than the fewest hours and the materials"
    if unpriced:
        # Making could come out dearer than it looks, so that it is not said to be the cheaper.
        return "cannot say", f"some of what it needs has no price{rest}"
    if making[1] < buying:
        if lacking:
            return "either", f"making costs less, but you would need {lacking}"
        return "make it", "even with the most hours it costs less than ready made"
    return "either", "it depends on how many hours it takes you" + (
        f", and you need {lacking}" if lacking else ""
    )

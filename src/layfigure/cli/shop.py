"""``layfigure shop``: what to buy, where, and what it comes to."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from layfigure.cli.options import as_json, costume_folder, wearer_name
from layfigure.cli.show import print_json, print_remark, print_table, progress_shown

if TYPE_CHECKING:
    from layfigure.shop.instead import OneWay


@click.command("shop")
@costume_folder
@wearer_name
@click.option(
    "--instead",
    "instead",
    multiple=True,
    metavar="PIECE=MATERIAL",
    help="What another material for a piece would change; repeatable.",
)
@as_json
def command(folder: Path, wearer: str | None, instead: tuple[str, ...], as_json: bool) -> None:
    """List what to buy, by errand and seller, and weigh making against buying. Writes nothing."""
    from layfigure.pipeline.buying import buy, instead_of
    from layfigure.pipeline.folder import open_costume
    from layfigure.pipeline.kept_layouts import layouts_folder
    from layfigure.pipeline.work import disk_graph, helpers, plan
    from layfigure.report.buying_words import buying_words
    from layfigure.shop.as_data import buying_as_data, one_way_as_data

    costume = open_costume(folder)
    work = plan(costume, costume.wearer(wearer), disk_graph())
    place = layouts_folder(folder / "out", costume, wearer)
    with progress_shown() as job, helpers([work]) as pool:
        buying = buy(work, place, job, pool)
        ways = {text: instead_of(work, *_parted(text), place, job=job) for text in instead}
    if as_json:
        data = buying_as_data(buying)
        if ways:
            data["instead"] = {
                text: {"now": one_way_as_data(now), "then": one_way_as_data(then)}
                for text, (now, then) in ways.items()
            }
        print_json(data)
        return
    names = {piece.slug: piece.label for piece in costume.costume.pieces if piece.label}
    words = buying_words(buying, work.wearer.unit, names)
    for errand in words.errands:
        click.secho(errand.where + (f": {errand.seller}" if errand.seller else ""), bold=True)
        print_table(
            ("ask for", "of", "needed", "at home", "price", "for"),
            [
                (line.ask, line.name, line.needed, line.at_home, line.price, line.pieces)
                for line in errand.lines
            ],
        )
        for line in errand.lines:
            if line.remark:
                print_remark(f"{line.name}: {line.remark}")
        click.echo()
    click.secho(words.sum, bold=True)
    if words.at_home:
        print_remark(f"At home already: {', '.join(words.at_home)}.")
    for said in (*words.refused, *buying.cautions):
        print_remark(said)
    rows = [
        (piece.label, piece.mass, piece.materials, piece.hours, piece.making, piece.ready, piece.answer)
        for piece in words.pieces
    ]
    click.echo()
    print_table(("piece", "weighs", "materials", "hours", "made", "ready made", ""), rows)
    for text, (now, then) in ways.items():
        _say_instead(text, now, then, buying.shopping.currency)


def _parted(text: str) -> tuple[str, str]:
    piece, _, material = text.partition("=")
    if not piece or not material:
        raise click.BadParameter(f"{text!r} is not PIECE=MATERIAL.", param_hint="--instead")
    return piece.strip(), material.strip()


def _say_instead(text: str, now: OneWay, then: OneWay, currency: str) -> None:
    from layfigure.shop.instead import way_rows

    piece = text.partition("=")[0].replace("_", " ")
    click.echo()
    click.secho(f"{piece} of {then.name} instead of {now.name}", bold=True)
    if then.refused:
        print_remark(f"It cannot be made of it: {then.refused}")
        return
    print_table(("", now.name, then.name), way_rows(now, then, currency))

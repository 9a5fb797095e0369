"""``layfigure piece``: one piece now, from a few tapes."""

from __future__ import annotations

from pathlib import Path

import click

from layfigure.cli.show import counted, print_remark


@click.command("piece")
@click.argument("kind", required=False)
@click.option("--tape", "tapes", multiple=True, metavar="NAME=LENGTH", help='As in wrist_girth="16.2 cm".')
@click.option("--option", "options", multiple=True, metavar="NAME=VALUE", help="An option of the kind.")
@click.option("--point", default="0 mm", show_default=True, help="How far the top rises to a point in front.")
@click.option("--paper", type=click.Choice(["a4", "letter", "a0", "projector"]), help="Paper to print on.")
@click.option("--out", type=click.Path(path_type=Path), help="Where results go; ./KIND when not said.")
def command(
    kind: str | None,
    tapes: tuple[str, ...],
    options: tuple[str, ...],
    point: str,
    paper: str | None,
    out: Path | None,
) -> None:
    r"""One piece now, from a few tapes: no pictures, no costume. Without KIND, list what there is.

    \b
    layfigure piece forearm_guard --tape wrist_girth="16 cm" \
        --tape forearm_girth="26 cm" --tape forearm_length="24 cm"
    """
    if kind is None:
        from layfigure.draft.quick.piece import quick_recipes

        for name, (_, recipe) in quick_recipes().items():
            click.echo(f"{name}: {recipe.summary}")
            for tape, place in recipe.tapes.items():
                click.echo(f"    --tape {tape}=…    {place}")
        return
    from layfigure.draft.failed_check import failure_line
    from layfigure.pipeline.one_piece import make_one_piece
    from layfigure.told_lengths import unit_typed
    from layfigure.units import format_length, parse_length

    typed = dict(_pairs(tapes, "--tape"))
    sizes = {name: _private_length(name, size) for name, size in typed.items()}
    unit = unit_typed(typed.values())
    done = make_one_piece(
        kind,
        sizes,
        out or Path(kind),
        options=dict(_pairs(options, "--option")),
        point=parse_length(point),
        paper=paper or ("letter" if unit == "in" else "a4"),
        unit=unit,
    )
    for piece in done.result.pieces:
        click.echo(f"{piece.label}: cut {piece.count}")
    for item in done.result.items:
        length = "" if item.length is None else f", {format_length(item.length, unit)}"
        click.echo(f"get {item.count} x {item.name}{length}: {item.use}")
    click.echo(f"{counted(done.sheets, 'sheet')} of {done.paper}, in {done.folder}")
    for check in done.result.checks:
        if not check.passed:
            print_remark(failure_line(kind, check))


def _private_length(name: str, size: str) -> float:
    """A tape's length [mm]. Raises MeasureError that names the tape and never repeats its size."""
    from layfigure.errors import MeasureError, UnitError
    from layfigure.units import parse_length

    try:
        return parse_length(size)
    except UnitError:
        raise MeasureError(
            f"{name} is not one number with its unit.",
            where="--tape",
            advice=f'Write it like {name}="24 cm" or {name}="9 1/2 in".',
        ) from None


def _pairs(typed: tuple[str, ...], option: str) -> list[tuple[str, str]]:
    pairs = [item.partition("=") for item in typed]
    for name, equals, value in pairs:
        if not (name and equals and value):
            # What was typed is not repeated: it may be a size.
            raise click.BadParameter("it is written NAME=VALUE.", param_hint=option)
    names = [name.strip() for name, _, _ in pairs]
    for name in names:
        if names.count(name) > 1:
            raise click.BadParameter(f"{name} is given twice.", param_hint=option)
    return [(name.strip(), value.strip()) for name, _, value in pairs]

"""``layfigure piece``: one piece now, from a few tapes."""

from __future__ import annotations

from pathlib import Path

import click


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
    from layfigure.draft.quick_limb import QUICK_KINDS

    if kind is None:
        for name, quick in QUICK_KINDS.items():
            click.echo(f"{name}: {quick.summary}")
            for tape, place in quick.tapes.items():
                click.echo(f"    --tape {tape}=…    {place}")
        return
    from layfigure.pipeline.one_piece import make_one_piece
    from layfigure.units import parse_length

    sizes = {name: parse_length(size) for name, size in _pairs(tapes, "--tape")}
    inches = any("in" in size or '"' in size for _, size in _pairs(tapes, "--tape"))
    done = make_one_piece(
        kind,
        sizes,
        out or Path(kind),
        options=dict(_pairs(options, "--option")),
        point=parse_length(point),
        paper=paper or ("letter" if inches else "a4"),
    )
    for piece in done.result.pieces:
        click.echo(f"{piece.label}: cut {piece.count}")
    click.echo(f"{done.sheets} {'sheet' if done.sheets == 1 else 'sheets'} of {done.paper}, in {done.folder}")
    for check in done.result.checks:
        if not check.passed:
            click.echo(f"- {check.what} {check.advice}".rstrip())


def _pairs(typed: tuple[str, ...], option: str) -> list[tuple[str, str]]:
    pairs = [item.partition("=") for item in typed]
    for item, (name, equals, value) in zip(typed, pairs, strict=True):
        if not (name and equals and value):
            raise click.BadParameter(f"{item!r} is not NAME=VALUE.", param_hint=option)
    return [(name.strip(), value.strip()) for name, _, value in pairs]

"""``layfigure body``: the Form from the tape."""

from __future__ import annotations

from pathlib import Path

import click

from layfigure.cli.options import as_json, costume_folder, wearer_name
from layfigure.cli.show import counted, print_json, print_remark, print_table

CLOTHED = frozenset({"torso", "upper_arm", "forearm", "thigh", "shank"})
"""Regions whose guessed measures count when the next tape is advised: what most pieces lie on."""


@click.command("body")
@costume_folder
@wearer_name
@click.option("--all", "everything", is_flag=True, help="Also list what was guessed.")
@as_json
def command(folder: Path, wearer: str | None, everything: bool, as_json: bool) -> None:
    """Make the wearer's Form from tape measures, and say what was guessed.

    The sizes printed are private: they are shown to whoever ran the command and kept nowhere else.
    """
    from layfigure.body.measures import split_name
    from layfigure.body.prior import next_tape
    from layfigure.pipeline.folder import open_costume
    from layfigure.pipeline.stages import body_messages
    from layfigure.pipeline.work import disk_graph, plan
    from layfigure.units import format_length

    costume = open_costume(folder)
    person = costume.wearer(wearer)
    fit = plan(costume, person, disk_graph()).body.value()
    form = fit.form
    messages = body_messages(person, fit)
    clothed = [name for name in form.estimated if split_name(name)[0].region in CLOTHED]
    helpful = [name for name, _ in next_tape(person.standing_measures, clothed, person.sex)[:3]]
    rows = [
        (name, person.measures.get(name), value, form.spreads.get(name) if name in form.estimated else None)
        for name, value in form.measures.items()
    ]
    if as_json:
        print_json(
            {
                "wearer": person.name,
                "unit": "mm",
                "measures": {
                    name: {"on_the_form": value, "taken": taken, "guessed_to": spread}
                    for name, taken, value, spread in rows
                },
                "messages": list(messages),
                "next_tapes": helpful,
            }
        )
        return

    def shown(value: float | None) -> str:
        return "" if value is None else format_length(value, person.unit)

    lengths = [row for row in rows if split_name(row[0])[0].kind != "mass"]
    listed = [row for row in lengths if everything or row[1] is not None]
    print_table(
        ("measure", "taken", "on the Form", "guessed, sure to"),
        [
            (name.replace("_", " "), shown(taken), shown(value), shown(None if s is None else 2 * s))
            for name, taken, value, s in listed
        ],
    )
    if len(listed) < len(lengths):
        click.echo(f"{counted(len(lengths) - len(listed), 'more measure')} guessed; --all lists them.")
    for line in messages:
        print_remark(line)
    for name in helpful:
        print_remark(f"next: {name.replace('_', ' ')}, {split_name(name)[0].place}")

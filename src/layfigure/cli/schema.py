"""``layfigure schema``: the JSON Schema of a file."""

from __future__ import annotations

import click

from layfigure.cli.show import print_json


@click.command("schema")
@click.argument("name", required=False)
def command(name: str | None) -> None:
    """Print the JSON Schema of a file (costume, marks, wearer, materials, colours) or of a kind's options.

    Without NAME, list what there is.
    """
    from layfigure.pipeline.schemas import find_schema, schema_names

    if name is None:
        for known in schema_names():
            click.echo(known)
        return
    print_json(find_schema(name))

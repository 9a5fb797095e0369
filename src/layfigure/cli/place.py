"""``layfigure place``: every edge on the wearer."""

from __future__ import annotations

from pathlib import Path

import click

from layfigure.cli.options import as_json, costume_folder, wearer_name
from layfigure.cli.show import print_json


@click.command("place")
@costume_folder
@wearer_name
@as_json
def command(folder: Path, wearer: str | None, as_json: bool) -> None:
    """Carry every edge to the wearer: what a tape can check, and how sure."""
    from layfigure.pipeline.as_data import placement_as_data
    from layfigure.pipeline.folder import open_costume
    from layfigure.pipeline.work import disk_graph, plan
    from layfigure.place.check_words import check_lines, sureness
    from layfigure.units import format_length

    costume = open_costume(folder)
    person = costume.wearer(wearer)
    placement = plan(costume, person, disk_graph()).placed.value()
    data = placement_as_data(placement)
    if as_json:
        print_json(data)
        return
    unit = person.unit
    for number, (slug, placed) in enumerate(placement.edges.items(), start=1):
        sure = sureness(placed.checks, unit)
        click.secho(f"{number:3}  {slug.replace('_', ' ')}{', ' + sure if sure else ''}", bold=True)
        for line in check_lines(placed.checks, unit):
            click.echo(f"     {line}")
        off = data["edges"][slug].get("scaled_by_height_off")
        if off is not None:
            click.echo(f"     scaling the picture by height would miss by {format_length(off, unit)}")

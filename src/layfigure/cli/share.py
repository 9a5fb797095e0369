"""``layfigure share``: the design in one file to hand on."""

from __future__ import annotations

from pathlib import Path

import click

from layfigure.cli.options import costume_folder
from layfigure.cli.show import counted, print_remark


@click.command("share")
@costume_folder
@click.option("--out", type=click.Path(path_type=Path), help="The file; DIR.zip beside DIR when not said.")
@click.option("--wearers", is_flag=True, help="Pack the wearers' measures too. Ask them first.")
@click.option("--photographs", is_flag=True, help="Pack photographs of people too. Ask them first.")
def command(folder: Path, out: Path | None, wearers: bool, photographs: bool) -> None:
    """Pack the design into one zip file: costume, marks, materials and drawn references.

    Measures, photographs of people and results stay where they are unless asked for.
    """
    from layfigure.design.sharing import write_shared

    place = folder.resolve()
    target = out or place.with_name(f"{place.name}.zip")
    sharing = write_shared(folder, target, wearers=wearers, photographs=photographs)
    click.echo(f"{counted(len(sharing.included), 'file')} packed in {target}")
    for path, reason in sharing.left_out:
        print_remark(f"{path} stays: {reason}")

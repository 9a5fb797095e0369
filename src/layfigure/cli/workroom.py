"""``layfigure workroom``: the work in the browser."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("workroom")
@click.argument("folder", metavar="[DIR]", required=False, type=click.Path(path_type=Path))
@click.option("--port", default=0, show_default="any free one", type=click.IntRange(0, 65535))
@click.option("--no-browser", is_flag=True, help="Only print the address.")
@click.option("--lan", is_flag=True, help="Let other machines on the network in; needs a password.")
@click.option("--launcher", is_flag=True, help="Make a file to double-click that opens this costume.")
@click.option("--password", help="Asked for at the door with --lan; at least 8 characters.")
def command(
    folder: Path | None, port: int, no_browser: bool, lan: bool, launcher: bool, password: str | None
) -> None:
    """Look, measure, mark, cut and print in the browser. Nothing leaves this machine.

    Without DIR, the folder "costume" in the one you are in. A folder that does not exist yet is made.
    Stop it with Ctrl+C; everything is saved as you work.
    """
    from layfigure.pipeline.new_costume import start_costume
    from layfigure.workroom.serve import serve

    if lan and len(password or "") < 8:
        raise click.UsageError("--lan lets others in: choose a --password of at least 8 characters.")
    if password is not None and not lan:
        raise click.UsageError("--password is for --lan; without it nobody else can come in.")
    place = folder or Path("costume")
    if not place.exists():
        start_costume(place)
        click.echo(f"made {place}")
    if launcher:
        from layfigure.pipeline.folder import open_costume
        from layfigure.workroom.launcher import make_launcher

        made = make_launcher(place, open_costume(place).costume.name, home=Path.home())
        click.echo(f"wrote {made}: double-click it to open the workroom.")
        return
    click.echo("The workroom is open in your browser, or at the address below. Stop it with Ctrl+C.")
    serve(place, port=port, password=password, browser=not no_browser, tell=click.echo)

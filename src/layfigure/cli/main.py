"""The ``layfigure`` command. Commands are imported only when one runs, so that ``--help`` comes at once."""

from __future__ import annotations

import sys
from importlib import import_module

import click

from layfigure import __version__
from layfigure.errors import LayfigureError
from layfigure.recompute.threads import begin_with_one_thread

# name: (module, one line of help). The order is the order of the work.
COMMANDS: dict[str, tuple[str, str]] = {
    "new": ("new", "Start a costume: a folder of plain files to fill in."),
    "check": ("check", "Read every file and say what is missing or cannot be right."),
    "study": ("study", "Read the marks on the pictures: where each lies, and how sure."),
    "body": ("body", "Make the wearer's Form from tape measures."),
    "place": ("place", "Carry every edge to the wearer, with what a tape can check."),
    "draft": ("draft", "Draft the pieces and say how far each can be trusted."),
    "make": ("make", "Do it all: pieces on paper, exchange files, card and report."),
    "lay": ("lay", "Lay the pieces on their cloths: what to buy, and drawings to cut by."),
    "colour": ("colour", "Say which colours match, how surely, and under which lights."),
    "group": ("group", "The same for many wearers at once, on this machine or on a cluster."),
    "piece": ("piece", "One piece now, from a few tapes: no pictures, no costume."),
    "shop": ("shop", "What to buy, where, what it comes to, and whether to make or buy."),
    "pull-strip": ("pull_strip", "A page to pull a strip of cloth along and read its stretch."),
    "workroom": ("workroom", "Do all of it in the browser: look, measure, mark, cut, print."),
    "share": ("share", "Pack the design to hand on: no body and no person's photograph unasked."),
    "schema": ("schema", "Print the JSON Schema of a file."),
}


class LazyGroup(click.Group):
    """A group that knows its commands' names and summaries, and imports one only to run it."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command, imported now, or None when there is none of that name."""
        if cmd_name not in COMMANDS:
            return None
        module = import_module(f"layfigure.cli.{COMMANDS[cmd_name][0]}")
        command = module.command
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, summary) for name, (_, summary) in COMMANDS.items()])


@click.command(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="layfigure")
def layfigure() -> None:
    """Carry a fictional character's outfit from pictures to a real body, and cut it."""


def main() -> None:
    """Run the command line; an error meant for the maker is shown as one, without a traceback."""
    begin_with_one_thread()
    try:
        sys.exit(layfigure.main(standalone_mode=False) or 0)
    except LayfigureError as error:
        click.echo(f"layfigure: {error}", err=True)
        sys.exit(1)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except (KeyboardInterrupt, click.Abort):
        click.echo("layfigure: stopped. What was finished before is kept.", err=True)
        sys.exit(130)


if __name__ == "__main__":
    main()

"""``layfigure study``: where every mark lies on the character, and how sure."""

from __future__ import annotations

from pathlib import Path

import click

from layfigure.cli.options import as_json, costume_folder
from layfigure.cli.show import print_json, print_remark, print_table


@click.command("study")
@costume_folder
@as_json
def command(folder: Path, as_json: bool) -> None:
    """Read the marks on the pictures: where each edge lies on the character, and how sure."""
    from layfigure.errors import StudyError
    from layfigure.pipeline.folder import open_costume
    from layfigure.pipeline.stages import run_study
    from layfigure.pipeline.study_data import study_as_data
    from layfigure.pipeline.work import disk_graph

    costume = open_costume(folder)
    result = disk_graph().node(run_study, costume.marks).value()
    if result is None:
        raise StudyError("no edge is marked on a picture: the whole design is in words.", where=str(folder))
    data = study_as_data(result)
    if as_json:
        print_json(data)
        return
    print_table(
        ("edge", "regions", "marks", "sure to", "refused"),
        [
            (
                slug.replace("_", " "),
                ", ".join(edge["regions"]).replace("_", " "),
                str(len(edge["points"])),
                f"{200 * edge['spread']:.2f} % of stature" if edge["points"] else "",
                str(edge["refused"]),
            )
            for slug, edge in data["edges"].items()
        ],
    )
    for line in data["messages"]:
        print_remark(line)
    for line in data["next_clicks"][:3]:
        print_remark(f"next: {line['words']}")

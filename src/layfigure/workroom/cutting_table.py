"""The cutting table: the whole costume drafted for a wearer, what is cut, and all of it for a page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from threading import Lock
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from layfigure.design.costume import COSTUME_FILE
from layfigure.errors import DraftError, FileError
from layfigure.piece.draw import SIDE_WORDS, VERDICT_WORDS, Heading
from layfigure.piece.piece import Piece
from layfigure.piece.seam_book import SeamBook
from layfigure.pipeline.cut_file import SUFFIX, parse_cut
from layfigure.pipeline.cut_pieces import CutPiece, Standing, cut_piece, standing
from layfigure.units import format_length
from layfigure.workroom.drafted import Drafted

if TYPE_CHECKING:
    from layfigure.draft.registry import DraftResult
    from layfigure.recompute.job import Job
    from layfigure.workroom.room import Room

FELT = "kPa"
"""Unit of checks that say how tight a garment is."""

PAPER = Lock()
"""Sheets are laid out with fonts that all of them share: one print at a time."""


def draft_for(room: Room, wearer: str, job: Job) -> Drafted:
    """Draft the whole costume for a wearer and keep it. Raises as the stages do, and Cancelled."""
    from layfigure.pipeline.together import draft_together

    revisions = room.store.revisions()
    job.progress(0.0, "reading the files")
    work = room.work(wearer)
    job.progress(0.05, "placing the edges")
    results = draft_together(work, job, room.pool())
    pieces = [piece for result in results.values() for piece in result.pieces]
    cloths = {slug: cloth.name for slug, cloth in work.folder.cloths.items()}
    heading = Heading(
        costume=work.folder.costume.name,
        wearer=work.wearer.name,
        seams=SeamBook.of(pieces),
        cloths=cloths,
        unit=work.wearer.unit,
    )
    drafted = Drafted(
        wearer=wearer,
        unit=work.wearer.unit,
        results=results,
        heading=heading,
        as_cut={piece.slug: cut_piece(piece) for piece in pieces},
        revisions=revisions,
        work=work,
    )
    room.drafted[wearer] = drafted
    return drafted


def drafted_last(room: Room, wearer: str) -> Drafted:
    """What was drafted last. Raises DraftError where nothing was since the workroom was opened."""
    if wearer not in room.drafted:
        raise DraftError("nothing is drafted for this wearer yet.", advice="Open the cutting table again.")
    return room.drafted[wearer]


def cut_file(wearer: str) -> str:
    """Name of the file that holds what is cut for a wearer."""
    return f"wearers/{wearer}{SUFFIX}"


def read_cut(room: Room, wearer: str) -> dict[str, CutPiece]:
    """What is cut for a wearer. Raises FileError for a file that cannot be used."""
    return parse_cut(room.store.text(cut_file(wearer)), name=cut_file(wearer))


def table_as_data(room: Room, drafted: Drafted) -> dict[str, Any]:
    """Everything on the cutting table, for a page.

    cut_trouble : what is wrong with the file of cut pieces, or null: the table is shown all the same.
    """
    cut: Mapping[str, CutPiece] = {}
    trouble = None
    try:
        cut = read_cut(room, drafted.wearer)
    except FileError as error:
        trouble = {"what": error.what, "where": error.where, "advice": error.advice}
    pieces = drafted.pieces
    statements = {statement.slug: statement for statement in drafted.work.chosen}
    return {
        "wearer": drafted.wearer,
        "unit": drafted.unit,
        "statements": [
            {
                "slug": slug,
                "label": statements[slug].label or slug.replace("_", " "),
                "kind": statements[slug].kind,
                "layer": statements[slug].layer,
                "where": drafted.work.folder.costume.where.get(slug, COSTUME_FILE),
                **_result(slug, result),
                "pieces": [_piece(piece, drafted, cut) for piece in result.pieces],
            }
            for slug, result in drafted.results.items()
        ],
        "messages": list(drafted.work.messages()),
        "gone": [standing_as_data(standing(each, None)) for slug, each in cut.items() if slug not in pieces],
        "cut_trouble": trouble,
    }


def standing_as_data(stands: Standing) -> dict[str, Any]:
    """How a cut piece stands."""
    return asdict(stands)


def _result(slug: str, result: DraftResult) -> dict[str, Any]:
    from layfigure.draft.failed_check import failure_line

    passed = [check for check in result.checks if check.passed]
    return {
        "remarks": [failure_line(slug, check) for check in result.checks if not check.passed],
        "passed": [check.what for check in passed if check.unit != FELT],
        "tight": [check.what for check in passed if check.unit == FELT],
        "notes": list(result.notes),
        "items": [
            {"name": item.name, "count": item.count, "use": item.use, "source": item.source}
            for item in result.items
        ],
    }


def _piece(piece: Piece, drafted: Drafted, cut: Mapping[str, CutPiece]) -> dict[str, Any]:
    seams, cloths, now = drafted.heading.seams, drafted.heading.cloths, drafted.as_cut[piece.slug]
    mates = [
        {"mark": seams.mark(edge), "edge": edge.slug.replace("_", " "), "words": words}
        for edge in piece.edges
        if (words := seams.meets(piece, edge))
    ]
    return {
        "slug": piece.slug,
        "label": piece.label,
        "side": SIDE_WORDS[piece.side],
        "count": piece.count,
        "cloth": cloths.get(piece.cloth, piece.cloth.replace("_", " ")),
        "verdict": piece.verdict.level,
        "verdict_words": VERDICT_WORDS[piece.verdict.level].removeprefix("trust: "),
        "reasons": [{"why": reason.why, "lifted_by": reason.lifted_by} for reason in piece.verdict.reasons],
        "mates": mates,
        "totals": [
            {"what": total.what, "length": format_length(total.length, drafted.unit)}
            for total in piece.totals
        ],
        "note": list(piece.note),
        "cautions": list(piece.cautions),
        "shape": _shape(now),
        "fingerprint": now.fingerprint,
        "cut": standing_as_data(standing(cut[piece.slug], now)) if piece.slug in cut else None,
    }


def _shape(piece: CutPiece) -> dict[str, Any]:
    """The piece's outline and windows, simplified, as a path in mm with y down."""
    rings = [piece.outline, *piece.windows.values()]
    left, top = rings[0][:, 0].min(), rings[0][:, 1].max()
    path = []
    for ring in rings:
        simple = shapely.get_coordinates(shapely.simplify(shapely.LinearRing(ring), 0.4))
        places = (simple - [left, top]) * [1.0, -1.0]
        path.append("M" + " ".join(f"{x:.1f},{y:.1f}" for x, y in places.tolist()) + "Z")
    size = np.ptp(rings[0], axis=0)
    return {"path": "".join(path), "width": round(float(size[0]), 1), "height": round(float(size[1]), 1)}

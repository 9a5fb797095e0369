"""Layouts kept as JSON: a search cannot be repeated, so its result is written down."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, Field, ValidationError

from layfigure.errors import FileError, FileSyntaxError, FileVersionError
from layfigure.files.write import write_text
from layfigure.lay.layout import Laid, Layout, Section, Surface, Zone
from layfigure.lay.part import Match, Part
from layfigure.recompute.fingerprint import fingerprint

Points = NDArray[np.float64]
FORMAT = 1
Ring = Annotated[list[tuple[float, float]], Field(min_length=3, max_length=100_000)]


class _MatchFile(BaseModel, extra="forbid"):
    at: tuple[float, float]
    phase: tuple[float, float]


class _PartFile(BaseModel, extra="forbid"):
    slug: str
    label: str
    outline: Ring
    count: int
    mirrored: int = 0
    turns: list[float] | None
    quality: int = 0
    on_fold: bool = False
    match: _MatchFile | None = None
    cuts: list[str] = []


class _LaidFile(BaseModel, extra="forbid"):
    part: str
    copy_: Annotated[int, Field(alias="copy")]
    turn: float
    mirrored: bool
    x: float
    y: float


class _ZoneFile(BaseModel, extra="forbid"):
    quality: int
    outline: Ring


class _SurfaceFile(BaseModel, extra="forbid"):
    name: str
    outline: Ring
    flaws: list[Ring] = []
    zones: list[_ZoneFile] = []


class _SectionFile(BaseModel, extra="forbid"):
    kind: Literal["single", "fold", "sheet", "hide"]
    name: str
    width: float
    length: float
    repeat: tuple[float, float] = (0.0, 0.0)
    surface: _SurfaceFile | None = None
    parts: list[_PartFile]
    laid: list[_LaidFile]


class LayoutFile(BaseModel, extra="forbid"):
    """A stored layout."""

    format: int
    units: Literal["mm"] = "mm"
    cloth: str
    sold_as: Literal["roll", "sheet", "hide"]
    roll_width: float
    seconds: float
    fingerprint: str
    remarks: list[str] = []
    sections: list[_SectionFile]


def layout_key(parts: list[Part], *ground: object) -> str:
    """Key of parts and of what they are laid on: while it is the same, a stored layout holds."""
    told = [
        (
            part.slug,
            np.round(part.outline, 2),
            part.count,
            part.mirrored,
            part.turns,
            part.quality,
            part.on_fold,
            part.match,
            part.cuts,
        )
        for part in parts
    ]
    return fingerprint(FORMAT, told, *ground)


def save_layout(layout: Layout, path: Path) -> None:
    """Write a layout whole or not at all. Raises OutputError."""
    write_text(path, layout_as_json(layout))


def layout_as_json(layout: Layout) -> str:
    """A layout as a JSON document, millimetres and degrees."""
    data = {
        "format": FORMAT,
        "units": "mm",
        "cloth": layout.cloth,
        "sold_as": layout.sold_as,
        "roll_width": layout.roll_width,
        "seconds": round(layout.seconds, 1),
        "fingerprint": layout.fingerprint,
        "remarks": list(layout.remarks),
        "sections": [_section(section) for section in layout.sections],
    }
    return json.dumps(data, ensure_ascii=False) + "\n"


def read_layout(path: Path) -> Layout:
    """A stored layout. Raises FileError; what the file holds shows a wearer's sizes and is never repeated."""
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise FileError("the layout cannot be read.", where=path.name) from error
    except (ValueError, RecursionError):
        raise FileSyntaxError(
            "the layout cannot be read as JSON.", where=path.name, advice="Delete it, and lay again."
        ) from None
    stated = data.get("format") if isinstance(data, dict) else None
    if isinstance(stated, int) and stated > FORMAT:
        raise FileVersionError(
            f"the layout is in format {stated}; this layfigure reads {FORMAT}.",
            where=path.name,
            advice="Update layfigure, or delete it and lay again.",
        )
    try:
        typed = LayoutFile.model_validate(data)
    except ValidationError:
        raise FileError(
            "the layout is not one that layfigure wrote.", where=path.name, advice="Delete it, and lay again."
        ) from None
    return Layout(
        cloth=typed.cloth,
        sold_as=typed.sold_as,
        roll_width=typed.roll_width,
        sections=tuple(_section_from(section) for section in typed.sections),
        seconds=typed.seconds,
        fingerprint=typed.fingerprint,
        remarks=tuple(typed.remarks),
    )


def _ring(outline: Points) -> list[list[float]]:
    rounded: list[list[float]] = np.round(outline, 5).tolist()
    return rounded


def _section(section: Section) -> dict[str, object]:
    data: dict[str, object] = {
        "kind": section.kind,
        "name": section.name,
        "width": section.width,
        "length": section.length,
        "repeat": list(section.repeat),
        "parts": [_part(part) for part in section.parts],
        "laid": [
            {
                "part": one.part,
                "copy": one.copy,
                "turn": one.turn,
                "mirrored": one.mirrored,
                "x": one.x,
                "y": one.y,
            }
            for one in section.laid
        ],
    }
    if section.surface is not None:
        data["surface"] = {
            "name": section.surface.name,
            "outline": _ring(section.surface.outline),
            "flaws": [_ring(flaw) for flaw in section.surface.flaws],
            "zones": [
                {"quality": zone.quality, "outline": _ring(zone.outline)} for zone in section.surface.zones
            ],
        }
    return data


def _part(part: Part) -> dict[str, object]:
    return {
        "slug": part.slug,
        "label": part.label,
        "outline": _ring(part.outline),
        "count": part.count,
        "mirrored": part.mirrored,
        "turns": None if part.turns is None else list(part.turns),
        "quality": part.quality,
        "on_fold": part.on_fold,
        "match": None if part.match is None else {"at": list(part.match.at), "phase": list(part.match.phase)},
        "cuts": list(part.cuts),
    }


def _section_from(typed: _SectionFile) -> Section:
    surface = None
    if typed.surface is not None:
        surface = Surface(
            name=typed.surface.name,
            outline=np.array(typed.surface.outline),
            flaws=tuple(np.array(flaw) for flaw in typed.surface.flaws),
            zones=tuple(
                Zone(quality=zone.quality, outline=np.array(zone.outline)) for zone in typed.surface.zones
            ),
        )
    return Section(
        kind=typed.kind,
        name=typed.name,
        width=typed.width,
        length=typed.length,
        repeat=typed.repeat,
        surface=surface,
        parts=tuple(_part_from(part) for part in typed.parts),
        laid=tuple(
            Laid(part=one.part, copy=one.copy_, turn=one.turn, mirrored=one.mirrored, x=one.x, y=one.y)
            for one in typed.laid
        ),
    )


def _part_from(typed: _PartFile) -> Part:
    return Part(
        slug=typed.slug,
        label=typed.label,
        outline=np.array(typed.outline),
        count=typed.count,
        mirrored=typed.mirrored,
        turns=None if typed.turns is None else tuple(typed.turns),
        quality=typed.quality,
        on_fold=typed.on_fold,
        match=None if typed.match is None else Match(at=typed.match.at, phase=typed.match.phase),
        cuts=tuple(typed.cuts),
    )

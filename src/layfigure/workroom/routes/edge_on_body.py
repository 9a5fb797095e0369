"""The costume's edges on character and wearer in space, and one of them held and moved.

Nothing is written here: what the move comes to in words is saved as any other edit of an edge.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any

import numpy as np
from fastapi import APIRouter
from fastapi.responses import Response
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException

from layfigure.body.bent_skin import sitting_pose
from layfigure.workroom.body_data import DrawnLine, packed
from layfigure.workroom.moved_edge import Whose, held_edge, moved_edge, runs_on
from layfigure.workroom.routes.asked import OpenRoom, WearerSlug

router = APIRouter(prefix="/api/edge", tags=["costume"])

EdgeSlug = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=80)]
Coordinate = Annotated[float, Field(ge=-5000.0, le=5000.0, allow_inf_nan=False)]
Place = Annotated[list[Coordinate], Field(min_length=3, max_length=3)]


class Track(BaseModel, extra="forbid"):
    """Where a pointer came from and has come to on one body's skin [mm]."""

    body: Whose
    start: Place
    end: Place


class Move(BaseModel, extra="forbid"):
    """A grip moved. words : the edge's own when it was taken hold of. by : further down [mm], or for what
    moves round [share of the girth]; or a track instead.
    """

    words: Annotated[str, Field(min_length=1, max_length=300)]
    grip: Annotated[str, Field(pattern=r"^(line|first|last|top|bottom|lift \d{1,2}|slant [a-z]+)$")]
    by: Annotated[float, Field(ge=-3000.0, le=3000.0, allow_inf_nan=False)] | None = None
    track: Track | None = None


@router.get("/{wearer}/body/{whose}")
def body(room: OpenRoom, wearer: WearerSlug, whose: Whose, sitting: bool = False) -> Response:
    """A body with every edge on it, see ``body_data``; 404 for a character that no picture shows.

    sitting : the wearer as on a chair. The header tells her ``posture``.
    """
    work = room.work(wearer)
    placed = work.placed.value()
    if whose == "wearer":
        form = work.body.value().form
        skin, charts = form.standing, form.charts
    else:
        surface, study = room.character.surface(work), work.study.value()
        if surface is None or study is None:
            raise HTTPException(404)
        skin, charts = surface, study.charts
    lines = [
        DrawnLine(slug, "edge", run, closed=edge.edge.closed and len(edge.curves) == 1)
        for slug, edge in placed.edges.items()
        for run in runs_on(edge, charts)
    ]
    vertices = skin.vertices
    if sitting and whose == "wearer":
        pose = sitting_pose(work.body.value().form)
        vertices = pose(vertices)
        lines = [replace(line, points=pose(line.points)) for line in lines]
    told = {"posture": work.wearer.posture}
    return Response(packed(vertices, lines, told), media_type="application/octet-stream")


@router.get("/{wearer}/held/{slug}")
def held(room: OpenRoom, wearer: WearerSlug, slug: EdgeSlug) -> dict[str, Any]:
    """An edge, its words and where it can be held. Raises PlacementError for one that is not there."""
    return held_edge(room.work(wearer), slug)


@router.post("/{wearer}/held/{slug}")
def move(room: OpenRoom, wearer: WearerSlug, slug: EdgeSlug, wanted: Move) -> dict[str, Any]:
    """The edge as it would be with a grip moved. Raises PlacementError where words cannot follow."""
    if (wanted.by is None) == (wanted.track is None):
        raise HTTPException(422, "say how far, or where from and where to.")
    track = wanted.track
    on = None if track is None else (track.body, np.array([track.start, track.end]))
    return moved_edge(room.work(wearer), slug, wanted.words, wanted.grip, by=wanted.by, track=on)

"""Edits of ``marks.json``: a picture added, marked anew, turned or taken out. All others stay as they are."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from layfigure.design.marks import Marks, PictureMarks, View
from layfigure.design.marks_file import MarksFile, PictureFile, marks_text, parse_marks
from layfigure.errors import MarkError
from layfigure.files.formats import CURRENT
from layfigure.files.nearest import did_you_mean


def marks_of(text: str) -> Marks:
    """The marks of a file's text; none for an empty one. Raises FileError or MarkError."""
    return parse_marks(text) if text.strip() else Marks(pictures=())


def picture_of(marks: Marks, name: str) -> PictureMarks:
    """One picture's marks. Raises MarkError for a name that no picture has."""
    for picture in marks.pictures:
        if picture.name == name:
            return picture
    raise MarkError(
        f"there is no picture {name!r}.",
        advice=did_you_mean(name, [picture.name for picture in marks.pictures])
        or "It may have been taken out; go back to the pictures.",
    )


def with_picture(text: str, picture: PictureMarks) -> str:
    """A picture more, at the end."""
    marks = marks_of(text)
    return marks_text(Marks(pictures=(*marks.pictures, picture)))


def with_marks(text: str, typed: PictureFile, edges: Collection[str] | None) -> str:
    """One picture's landmarks, outlines and edges replaced by others; what it is stays.

    typed : the marks under the picture's name. edges : slugs the costume has, None for not looking. Raises
    MarkError for marks that make no sense, or a name that no picture has.
    """
    marks = marks_of(text)
    old = picture_of(marks, typed.name)
    marked = typed.model_copy(update={"view": old.view, "size": old.size, "file": "", "yaw": None})
    alone = MarksFile(pictures=[marked]).model_dump_json()
    checked = parse_marks(f'{{"format": {CURRENT["marks"]}, {alone[1:]}', edges=edges).pictures[0]
    new = replace(
        old,
        landmarks=checked.landmarks,
        unseen=checked.unseen,
        outlines=checked.outlines,
        edges=checked.edges,
    )
    return _with(marks, new)


def with_view(text: str, name: str, *, view: View, yaw: float | None, photograph: bool) -> str:
    """What one picture shows. yaw : of a free view [degrees], None to have it worked out.

    Raises MarkError for a yaw of a straight view, or a name that no picture has.
    """
    marks = marks_of(text)
    if yaw is not None and view != "free":
        raise MarkError(
            "how far round the picture is taken goes with a view in between only.",
            where=name,
            advice="Leave it out, or say that the view is in between.",
        )
    return _with(marks, replace(picture_of(marks, name), view=view, yaw=yaw, photograph=photograph))


def without_picture(text: str, name: str) -> str | None:
    """One picture less, with all that is marked on it; None when it was the last."""
    marks = marks_of(text)
    gone = picture_of(marks, name)
    left = tuple(picture for picture in marks.pictures if picture is not gone)
    return marks_text(Marks(pictures=left)) if left else None


def _with(marks: Marks, new: PictureMarks) -> str:
    return marks_text(
        Marks(pictures=tuple(new if picture.name == new.name else picture for picture in marks.pictures))
    )


def without_line(text: str, slug: str) -> str | None:
    """The marks without one of the costume's lines, both its sides; None where it is marked nowhere."""
    marks = marks_of(text)
    names = {slug, f"{slug}_left", f"{slug}_right"}
    if not any(edge.slug in names for picture in marks.pictures for edge in picture.edges):
        return None
    kept = [
        replace(picture, edges=tuple(edge for edge in picture.edges if edge.slug not in names))
        for picture in marks.pictures
    ]
    return marks_text(Marks(pictures=tuple(kept)))

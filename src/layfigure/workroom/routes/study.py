"""What the marks say: the figure over every picture, and how sure each line is."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter

from layfigure.design.costume import MARKS_FILE
from layfigure.design.marks import Marks
from layfigure.workroom.background import Task
from layfigure.workroom.edits.marks import marks_of
from layfigure.workroom.routes.asked import OpenRoom

router = APIRouter(prefix="/api/study", tags=["study"])


@router.post("")
def study(room: OpenRoom) -> dict[str, Any]:
    """Read the marks as they are now; a task whose result is ``workroom.study_shown``'s.

    ``problem`` in its result says what the marks do not determine yet, or is null.
    """

    def work(task: Task) -> dict[str, Any]:
        from layfigure.errors import StudyError
        from layfigure.pipeline.stages import run_study
        from layfigure.workroom.background import error_as_data
        from layfigure.workroom.study_shown import study_shown

        task.progress(0.1, "reading the marks")
        found: Marks = marks_of(room.store.text(MARKS_FILE))
        try:
            result = room.graph.node(run_study, found if found.pictures else None).value()
        except StudyError as error:
            return {**study_shown(None, found), "problem": error_as_data(error)}
        task.progress(0.8, "drawing the figure")
        return {**study_shown(result, found), "problem": None}

    return room.background.begin("read the marks", work, group="study").as_data()

"""The character's skin, kept ready: it follows the marks alone, whoever wears the costume."""

from __future__ import annotations

from threading import Lock
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from layfigure.geometry.mesh import TriangleMesh
    from layfigure.pipeline.work import Work


class Character:
    """The last character's surface. Safe to use from several threads."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._kept: tuple[str, TriangleMesh] | None = None

    def surface(self, work: Work) -> TriangleMesh | None:
        """Her skin with the faces of every body; None where nothing is marked on pictures."""
        from layfigure.pipeline.stages import neutral_body
        from layfigure.study.figure_surface import figure_surface

        study = work.study.value()
        if study is None:
            return None
        with self._lock:
            if self._kept is None or self._kept[0] != work.study.key:
                self._kept = (work.study.key, figure_surface(study.charts, neutral_body()))
            return self._kept[1]

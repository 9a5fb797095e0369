"""One open costume: its files, what was computed from them, and the work going on."""

from __future__ import annotations

from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from layfigure.pipeline.folder import CostumeFolder, open_costume
from layfigure.pipeline.work import Work, disk_graph, drafting_pool, plan
from layfigure.workroom.background import Background
from layfigure.workroom.bodies import Bodies
from layfigure.workroom.character import Character
from layfigure.workroom.store import Store

if TYPE_CHECKING:
    from layfigure.recompute.graph import Graph
    from layfigure.recompute.pool import WorkerPool
    from layfigure.workroom.drafted import Drafted


class Room:
    """What every page asks. The files are read again whenever one of them changes, by whomever."""

    def __init__(self, root: Path, *, graph: Graph | None = None) -> None:
        self.store = Store(root)
        self.background = Background()
        self.drafted: dict[str, Drafted] = {}
        """What was drafted last, by wearer, for drawings and paper."""
        self.graph = graph if graph is not None else disk_graph()
        self.bodies = Bodies(self.graph)
        self.character = Character()
        self._opened: tuple[dict[str, str], CostumeFolder] | None = None
        self._planned: dict[str | None, Work] = {}
        self._pool: WorkerPool | None = None
        self._lock = Lock()

    def costume(self) -> CostumeFolder:
        """The costume as its files say now. Raises FileError and others for a file that cannot be used."""
        revisions = self.store.revisions()
        with self._lock:
            if self._opened is None or self._opened[0] != revisions:
                self._opened = (revisions, open_costume(self.store.root))
                self._planned.clear()
            return self._opened[1]

    def work(self, wearer: str | None, *, only: tuple[str, ...] = ()) -> Work:
        """The stages for one wearer, nothing run yet. Raises as ``costume`` and for an unknown wearer."""
        costume = self.costume()
        if only:
            return plan(costume, costume.wearer(wearer), self.graph, only=only)
        with self._lock:
            known = self._planned.get(wearer)
        # Asked for again and again while something is dragged; the files are read and told apart once.
        if known is None or known.folder is not costume:
            known = plan(costume, costume.wearer(wearer), self.graph)
            with self._lock:
                self._planned[wearer] = known
        return known

    def pool(self) -> WorkerPool | None:
        """Workers for drafting, kept warm; None on a machine without room for any."""
        with self._lock:
            if self._pool is None:
                self._pool = drafting_pool(self.graph)
                if self._pool is not None:
                    self._pool.start()
            return self._pool

    def close(self) -> None:
        """Let the workers go."""
        self.background.close()
        if self._pool is not None:
            self._pool.close()

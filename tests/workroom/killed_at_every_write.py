"""Edits of a costume through the workroom's requests, the process killed at every change of the disk in turn.

Forks a child for every place to die; the child tells, after each answer, that the edit was confirmed. After
its death the folder must open, and hold the last confirmed edit or the one under way, whole. Prints how many
places there were. Also run with one argument: a folder to work in.
"""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from let_in import let_in
from workroom_edits import EDITS

from layfigure.pipeline.folder import open_costume
from layfigure.pipeline.new_costume import start_costume
from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph
from layfigure.workroom.room import Room

KILLED = 9
DONE = 0


def files_of(root: Path) -> dict[str, bytes]:
    """Everything the maker owns; temporary files of ours that a killed write left are no harm."""
    return {
        str(path.relative_to(root)): path.read_bytes()
        for path in sorted(root.rglob("*"))
        if path.is_file() and not path.name.startswith(".")
    }


def dying(function: Callable[..., Any], count: list[int], at: int) -> Callable[..., Any]:
    """The function, or death in its place, or half of it and death."""

    def counted(*arguments: Any, **named: Any) -> Any:
        count[0] += 1
        if count[0] == at:
            if function is os.fsync:
                # Killed before what was written is safe: half of it is lost.
                os.ftruncate(arguments[0], os.fstat(arguments[0]).st_size // 2)
            os._exit(KILLED)
        return function(*arguments, **named)

    return counted


def run(root: Path, at: int, tell: int) -> int:
    """The recorded edits, dying at one change of the disk. Returns how many there were."""
    count = [0]
    for owner, name in ((os, "fsync"), (os, "replace"), (os, "unlink"), (os, "mkdir"), (os, "rename")):
        setattr(owner, name, dying(getattr(owner, name), count, at))
    with let_in(Room(root, graph=Graph(Cache()))) as client:
        for edit in EDITS:
            edit(client)
            os.write(tell, b"+")
    return count[0]


def states(root: Path) -> list[dict[str, bytes]]:
    """The folder after every edit, with nobody killed."""
    found = [files_of(root)]
    with let_in(Room(root, graph=Graph(Cache()))) as client:
        for edit in EDITS:
            edit(client)
            found.append(files_of(root))
    return found


def child(work: Callable[[int], int]) -> tuple[int, bytes]:
    """What a forked child's exit said, and what it told before."""
    reading, writing = os.pipe()
    process = os.fork()
    if process == 0:
        os.close(reading)
        code = 1
        try:
            code = work(writing)
        finally:
            os._exit(code)
    os.close(writing)
    told = b""
    while part := os.read(reading, 4096):
        told += part
    os.close(reading)
    return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1]), told


def main(folder: Path) -> int:
    """Die everywhere once. Returns the exit status."""
    begun = folder / "begun"
    start_costume(begun)
    shutil.copytree(begun, folder / "whole")

    def record(tell: int) -> int:
        import pickle

        os.write(tell, pickle.dumps(states(folder / "whole")))
        return DONE

    code, told = child(record)
    assert code == DONE, "the edits fail with nobody killed"
    import pickle

    wanted = pickle.loads(told)
    assert len({str(sorted(state.items())) for state in wanted}) > len(EDITS) // 2, "the edits change nothing"
    at = 0
    while True:
        at += 1
        root = folder / f"at_{at}"
        shutil.copytree(begun, root)

        def die(tell: int, root: Path = root, at: int = at) -> int:
            run(root, at, tell)
            return DONE

        code, told = child(die)
        found = files_of(root)
        confirmed = len(told)
        allowed = wanted[confirmed : confirmed + 2]
        torn = [name for name in found if all(found[name] != state.get(name) for state in allowed)]
        assert not torn, f"killed at {at}: {torn} hold neither the edit before nor the one after"
        lost = [
            name
            for name in wanted[confirmed]
            if name not in found and all(name in state for state in allowed)
        ]
        assert not lost, f"killed at {at}: {lost} are lost"
        open_costume(root)
        shutil.rmtree(root)
        if code == DONE:
            assert confirmed == len(EDITS)
            break
        assert code == KILLED, f"the child ended with {code}"
    sys.stdout.write(f"{at - 1} places to die\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))

"""No search for garbage while a stage runs.

Stages make arrays, which go when nobody holds them, and hardly any rings of objects. Python counts what they
make all the same, and now and then looks through all that the process keeps - the template, every mesh of
the design - which takes as long as drafting a glove.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock

_LOCK = Lock()
_RUNNING = {"stages": 0, "searched": False}


@contextmanager
def unsearched() -> Iterator[None]:
    """Put the search off, in all threads, until the last stage that runs is done; one switched off by the
    program stays off.
    """
    with _LOCK:
        if not _RUNNING["stages"]:
            _RUNNING["searched"] = gc.isenabled()
            gc.disable()
        _RUNNING["stages"] += 1
    try:
        yield
    finally:
        with _LOCK:
            _RUNNING["stages"] -= 1
            if not _RUNNING["stages"] and _RUNNING["searched"]:
                gc.enable()

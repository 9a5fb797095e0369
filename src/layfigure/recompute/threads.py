"""One linear-algebra thread in every process that works.

Our matrices are small: what a second thread would win is lost in waking it, and while it waits for more it
keeps a whole core from the process that drafts beside this one.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping, MutableMapping
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from threadpoolctl import ThreadpoolController

ONE_THREAD: Mapping[str, str] = dict.fromkeys(
    ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"
)
"""What linear-algebra libraries read from the environment as they are loaded."""


def begin_with_one_thread(environment: MutableMapping[str, str] | None = None) -> None:
    """Ask for one thread of the libraries that this process has not loaded yet, unless its user asked for
    another number. For programs; a library leaves the environment alone.
    """
    environment = os.environ if environment is None else environment
    for name, value in ONE_THREAD.items():
        environment.setdefault(name, value)


_BRINGING = ("numpy", "scipy.linalg")
"""Modules that each bring a linear-algebra library of their own."""


_FOUND: dict[frozenset[str], ThreadpoolController] = {}
"""Libraries by which of those modules were loaded when they were looked for: that takes ten milliseconds."""


@contextmanager
def one_thread() -> Iterator[None]:
    """One thread of what is loaded already, in a process that is not ours to begin: a notebook, a server."""
    loaded = frozenset(name for name in _BRINGING if name in sys.modules)
    if loaded not in _FOUND:
        from threadpoolctl import ThreadpoolController

        _FOUND[loaded] = ThreadpoolController()
    with _FOUND[loaded].limit(limits=1, user_api="blas"):
        yield

"""Which known name a mistyped one was probably meant to be."""

from __future__ import annotations

from collections.abc import Iterable


def typing_slips(first: str, second: str) -> int:
    """Letters added, dropped, changed or swapped with their neighbour to turn one word into the other.

    Source: optimal string alignment, the restricted edit distance of Damerau, Communications of the ACM
    7(3), 1964 (from memory).
    """
    before: list[int] = []
    row = list(range(len(second) + 1))
    for i, a in enumerate(first, start=1):
        current = [i]
        for j, b in enumerate(second, start=1):
            cost = min(row[j] + 1, current[j - 1] + 1, row[j - 1] + (a != b))
            if i > 1 and j > 1 and a == second[j - 2] and first[i - 2] == b:
                cost = min(cost, before[j - 2] + 1)
            current.append(cost)
        before, row = row, current
    return row[-1]


def nearest_names(name: str, known: Iterable[str], *, most: int = 3) -> tuple[str, ...]:
    """Known names within a third of the word's length in typing slips, nearest first, at most ``most``.

    Only names as near as the nearest are offered: more would confuse.
    """
    limit = max(1, len(name) // 3)
    scored = sorted((typing_slips(name.lower(), other.lower()), other) for other in set(known))
    near = [(slips, other) for slips, other in scored if slips <= limit]
    return tuple(other for slips, other in near if slips <= near[0][0])[:most]


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """``Did you mean 'waist'?``, or every known name when none is near and they are few."""
    names = tuple(dict.fromkeys(known))
    near = nearest_names(name, names)
    if near:
        return f"Did you mean {' or '.join(repr(other) for other in near)}?"
    return f"Known: {', '.join(names)}." if 0 < len(names) <= 20 else ""

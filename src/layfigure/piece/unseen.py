"""Pieces that nobody sees when the costume is worn, by their names."""

from __future__ import annotations

UNSEEN = ("lining", "facing", "backing", "interfacing", "keeper")
"""Words in the name of a piece."""


def is_unseen(slug: str) -> bool:
    """Whether it lies inside or beneath."""
    return any(word in slug for word in UNSEEN)

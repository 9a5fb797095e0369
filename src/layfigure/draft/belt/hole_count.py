"""How many holes a buckled belt or strap may have."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field


def _odd(holes: int) -> int:
    if holes % 2 == 0:
        raise ValueError("give an odd number of holes, so that one is in the middle")
    return holes


HoleCount = Annotated[
    int, Field(ge=1, le=15, description="holes for the buckle, an odd number"), AfterValidator(_odd)
]

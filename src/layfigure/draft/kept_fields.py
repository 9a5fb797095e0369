"""Fields of cloth that were worked out while drafting, for they cost next to nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from layfigure.body.form import Form
from layfigure.draft.registry import Working
from layfigure.piece.cloth_field import ClothField


@dataclass(frozen=True, slots=True, eq=False)
class KeptFields:
    """By the slug of the piece."""

    fields: Mapping[str, tuple[ClothField, ...]]

    def over(self, _form: Form) -> Mapping[str, tuple[ClothField, ...]]:
        """The fields."""
        return self.fields


def all_kept(parts: Iterable[Working | None], form: Form) -> KeptFields:
    """Fields of several drafts that become one."""
    return KeptFields(
        {slug: fields for part in parts if part is not None for slug, fields in part.over(form).items()}
    )

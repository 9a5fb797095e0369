"""Fields of cloth that were worked out while drafting, and fields of several drafts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from layfigure.body.form import Form
from layfigure.draft.registry import Working
from layfigure.piece.cloth_field import ClothField


@dataclass(frozen=True, slots=True, eq=False)
class KeptFields:
    """They cost next to nothing. fields : by the slug of the piece."""

    fields: Mapping[str, tuple[ClothField, ...]]

    def over(self, _form: Form) -> Mapping[str, tuple[ClothField, ...]]:
        """The fields."""
        return self.fields


@dataclass(frozen=True, slots=True, eq=False)
class JoinedFields:
    """Of several drafts that became one; each still waits until it is asked."""

    parts: tuple[Working, ...]

    def over(self, form: Form) -> Mapping[str, tuple[ClothField, ...]]:
        """The fields of all."""
        return {slug: fields for part in self.parts for slug, fields in part.over(form).items()}


def joined_fields(parts: Iterable[Working | None]) -> JoinedFields:
    """Fields of several drafts that become one."""
    return JoinedFields(tuple(part for part in parts if part is not None))

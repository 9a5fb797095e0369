"""A check that failed, as one line for the maker."""

from __future__ import annotations

from layfigure.draft.registry import Check


def failure_line(slug: str, check: Check) -> str:
    """``shin guard left: how far it slides down the limb. The limb stops it after 80 mm, which shows: …``

    slug : of the piece statement. A check that begins with the piece's own label does not say it twice:
    ``banner`` is named in ``Back banner``.
    """
    name = slug.replace("_", " ")
    label, colon, rest = check.what.partition(": ")
    what = check.what
    if colon and name.startswith(label.lower()):
        what = rest
    elif colon and set(name.split()) <= set(label.lower().replace(",", "").split()):
        name, what = label, rest
    return f"{name}: {what.rstrip('.')}. {check.advice}".rstrip()

"""What goes along when a design is shared: the design, never a body, never a person's photograph unasked."""

from __future__ import annotations

import io
import zipfile
from dataclasses import dataclass
from pathlib import Path

from layfigure.design.costume import COSTUME_FILE, MARKS_FILE, MATERIALS_FILE
from layfigure.design.costume_file import read_costume
from layfigure.design.marks_file import read_marks
from layfigure.files.write import write_bytes

_DESIGN_FILES = (COSTUME_FILE, MARKS_FILE, MATERIALS_FILE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sharing:
    """Paths relative to the costume's folder. left_out : with the reason, in words."""

    included: tuple[Path, ...]
    left_out: tuple[tuple[Path, str], ...]


def what_to_share(folder: Path, *, wearers: bool = False, photographs: bool = False) -> Sharing:
    """Which files of a costume go along when it is shared.

    wearers, photographs : only when the maker asks. Anything that is no part of the design stays: results
    show the wearer's sizes, and a picture nobody listed may be of anybody. Raises FileError where the
    costume or its marks cannot be read.
    """
    references = _references(folder)
    included: list[Path] = []
    left_out: list[tuple[Path, str]] = []
    for path in sorted(
        p.relative_to(folder) for p in folder.rglob("*") if p.is_file() and not p.is_symlink()
    ):
        reason = _reason(path, references, wearers=wearers, photographs=photographs)
        if reason:
            left_out.append((path, reason))
        else:
            included.append(path)
    return Sharing(included=tuple(included), left_out=tuple(left_out))


def write_shared(folder: Path, target: Path, *, wearers: bool = False, photographs: bool = False) -> Sharing:
    """Pack what is shared into one zip file, written whole or not at all. Raises OutputError, FileError."""
    sharing = what_to_share(folder, wearers=wearers, photographs=photographs)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sharing.included:
            # A fixed date: when somebody worked on a costume is nobody's business either.
            entry = zipfile.ZipInfo(path.as_posix(), date_time=(1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, (folder / path).read_bytes())
    write_bytes(target, packed.getvalue())
    return sharing


def _references(folder: Path) -> dict[Path, bool]:
    """Pictures the costume or its marks list, and whether each is a photograph."""
    listed: dict[Path, bool] = {}
    for reference in read_costume(folder).references:
        listed[Path(reference.file)] = reference.photograph
    if (folder / MARKS_FILE).is_file():
        for picture in read_marks(folder / MARKS_FILE).pictures:
            if picture.file:
                path = Path(picture.file)
                listed[path] = picture.photograph or listed.get(path, False)
    return listed


def _reason(path: Path, references: dict[Path, bool], *, wearers: bool, photographs: bool) -> str:
    """Why a file stays, or nothing when it goes."""
    if path.as_posix() in _DESIGN_FILES:
        return ""
    if path.parts[0] == "wearers" and len(path.parts) > 1:
        return "" if wearers and path.suffix == ".toml" else "a wearer's measures are private"
    if path in references:
        return "a photograph of a person" if references[path] and not photographs else ""
    if path.as_posix() == "colours.toml":
        return "it may tell the colour of a wearer's skin"
    if path.parts[0] == "references":
        return "not listed in the costume or its marks, so it may show anybody"
    return "not part of the design"

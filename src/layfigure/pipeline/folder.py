"""A costume's folder, read and held together: the design, the marks, the wearers, the materials."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from layfigure.body.wearer import Wearer
from layfigure.body.wearer_file import find_wearers, read_wearer
from layfigure.design.costume import COSTUME_FILE, MARKS_FILE, MATERIALS_FILE, Costume, check_cloths
from layfigure.design.costume_file import costume_from_toml, read_costume
from layfigure.design.design import Trace
from layfigure.design.marks import Marks
from layfigure.design.marks_file import parse_marks, read_marks
from layfigure.errors import FileError, MeasureMissing
from layfigure.files.nearest import did_you_mean
from layfigure.files.toml import parse_toml
from layfigure.materials.cloth import Cloth
from layfigure.materials.material_file import read_stock
from layfigure.materials.starter import starter_stock
from layfigure.materials.stock import Stock

MESH_FILES = frozenset({".obj", ".stl", ".ply", ".glb"})


@dataclass(frozen=True, slots=True, kw_only=True)
class CostumeFolder:
    """Everything the maker wrote.

    marks : None when no edge is marked on a picture. stock : materials and all else that is bought, the
    starter set and the maker's own over it.
    wearers : name to file; a wearer is read only when asked for.
    """

    root: Path
    costume: Costume
    marks: Marks | None
    stock: Stock
    wearers: Mapping[str, Path]

    @property
    def cloths(self) -> Mapping[str, Cloth]:
        """What pieces are cut from, by slug: what of the stock a draft may read."""
        return self.stock.cloths

    def wearer(self, name: str | None = None) -> Wearer:
        """One wearer by the name of her file, or the only one. Raises FileError listing those there are."""
        if not self.wearers:
            raise FileError(
                "there is no wearer.", where=str(self.root / "wearers"), advice="Write wearers/NAME.toml."
            )
        if name is None:
            if len(self.wearers) > 1:
                raise FileError(
                    "there are several wearers.", advice=f"Say which: --wearer {'|'.join(self.wearers)}"
                )
            (path,) = self.wearers.values()
            return _measured(path)
        if name not in self.wearers:
            raise FileError(
                f"there is no wearer {name!r}.",
                where=str(self.root / "wearers"),
                advice=did_you_mean(name, self.wearers) or f"Wearers: {', '.join(self.wearers)}.",
            )
        return _measured(self.wearers[name])


def _measured(path: Path) -> Wearer:
    """The wearer of a file, refused when no tape was taken at all: her Form would be somebody else's."""
    wearer = read_wearer(path)
    if not wearer.measures:
        raise MeasureMissing(
            "there is not one measure: nothing here tells this wearer from anybody else.",
            where=path.name,
            advice='Take the stature first, and write stature = "168 cm" under [measures].',
        )
    return wearer


def _with_tracings(costume: Costume, root: Path) -> Costume:
    """The costume with the outlines and meshes that its pieces start from. Raises FileError for a bad one."""
    pieces = tuple(
        piece if piece.trace is None else replace(piece, trace=_read(piece.trace, root))
        for piece in costume.pieces
    )
    return replace(costume, pieces=pieces)


def _read(trace: Trace, root: Path) -> Trace:
    """What the file of a tracing holds."""
    path = root / trace.file
    if path.suffix.lower() in MESH_FILES:
        from layfigure.geometry.mesh_read import read_mesh

        return replace(trace, mesh=read_mesh(path))
    from layfigure.files.traced import read_traced

    return replace(trace, lines=read_traced(path))


def open_costume(root: Path, *, text: str | None = None, marked: str | None = None) -> CostumeFolder:
    """Read a costume's files and hold them against each other.

    text : of a ``costume.toml`` that is not written yet, to be held against the other files; None for the
    one that is there. marked : of a ``marks.json`` that is not written yet, likewise.
    Raises FileError, MarkError or PlacementError for the first thing that cannot be used.
    """
    if text is None and not (root / COSTUME_FILE).is_file():
        raise FileError(
            f"there is no {COSTUME_FILE}.", where=str(root), advice="Start one with: layfigure new DIR"
        )
    if text is None:
        costume = read_costume(root)
    else:
        costume = costume_from_toml(parse_toml(text, name=COSTUME_FILE), folder=root)
    costume = _with_tracings(costume, root)
    slugs = costume.marked_slugs()
    marks = _marks(root, slugs, marked)
    if marks is None and slugs:
        raise FileError(
            f"{'1 edge is' if len(slugs) == 1 else f'{len(slugs)} edges are'} to be marked on pictures, "
            f"and there is no {MARKS_FILE}.",
            where=str(root),
            advice='Mark them, or say them in words: words = "halfway from hip to knee".',
        )
    materials = root / MATERIALS_FILE
    stock = read_stock(materials) if materials.is_file() else starter_stock()
    check_cloths(costume, stock.cloths)
    return CostumeFolder(root=root, costume=costume, marks=marks, stock=stock, wearers=find_wearers(root))


def _marks(root: Path, slugs: Collection[str], marked: str | None) -> Marks | None:
    if marked is not None:
        return parse_marks(marked, folder=root, edges=slugs)
    path = root / MARKS_FILE
    return read_marks(path, edges=slugs) if path.is_file() else None

"""Errors a maker can act on: each says what is wrong, where, and what to do about it.

The whole tree::

    LayfigureError
    ├── UnitError            a length, mass or share typed without or with the wrong unit
    ├── FileError            a costume, marks, wearer, material or picture file
    │   ├── FileSyntaxError      the file cannot be parsed at all
    │   ├── UnknownKeyError      a key we do not know (a typing slip, mostly)
    │   ├── FileVersionError     written by a newer layfigure, or by none
    │   ├── FileChanged          changed on disk since it was read
    │   └── OutputError          a folder that cannot be written, or is full
    ├── MeasureError         a tape measure
    │   ├── MeasureMissing       needed and not given
    │   └── MeasureContradiction two tapes that cannot both be right
    ├── MarkError            a mark on a picture
    ├── StudyError           the pictures and marks do not determine a figure
    ├── PlacementError       a placement in words or marks that has no meaning on a body
    ├── DraftError           a piece that cannot be drafted as asked
    ├── LayError             pieces that cannot be laid on the cloth as asked
    ├── PaperError           a paper nobody knows
    └── Cancelled            the maker stopped a job

Messages never contain a value of a wearer's measures: bodies are private, and messages are
pasted into public forums. Name the measure and the file instead.
"""

from __future__ import annotations


class LayfigureError(Exception):
    """Base of every error meant for the maker.

    what : one sentence, what is wrong.
    where : file, line, key, picture or piece it concerns; may be empty.
    advice : what to do about it, as an instruction; may be empty.
    """

    def __init__(self, what: str, *, where: str = "", advice: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.where = where
        self.advice = advice

    def __str__(self) -> str:
        text = f"{self.where}: {self.what}" if self.where else self.what
        return f"{text} {self.advice}" if self.advice else text

    def __reduce__(self) -> tuple[object, ...]:
        # Keyword-only arguments are lost by the default pickling, and jobs run in spawned workers.
        return (_rebuild, (type(self), self.what, self.where, self.advice))


def _rebuild(kind: type[LayfigureError], what: str, where: str, advice: str) -> LayfigureError:
    return kind(what, where=where, advice=advice)


class UnitError(LayfigureError):
    """A quantity without a unit, or with one that does not fit."""


class FileError(LayfigureError):
    """A file of the maker's that cannot be used as it stands."""


class FileSyntaxError(FileError):
    """The file cannot be parsed."""


class UnknownKeyError(FileError):
    """A key that is not part of the format."""


class FileVersionError(FileError):
    """The file states a format this version does not read."""


class FileChanged(FileError):
    """The file was changed by somebody else since it was read; an edit of it was not written."""


class OutputError(FileError):
    """Results cannot be written."""


class MeasureError(LayfigureError):
    """A tape measure that cannot be used."""


class MeasureMissing(MeasureError):
    """A measure that is needed and was not given."""


class MeasureContradiction(MeasureError):
    """Two measures that cannot both be right."""


class MarkError(LayfigureError):
    """A mark on a picture that cannot be used."""


class StudyError(LayfigureError):
    """Pictures and marks that do not determine a figure."""


class PlacementError(LayfigureError):
    """A placement that has no meaning on a body."""


class DraftError(LayfigureError):
    """A piece that cannot be drafted as asked."""


class LayError(LayfigureError):
    """Pieces that cannot be laid on the cloth as asked."""


class Cancelled(LayfigureError):
    """The maker stopped the job."""

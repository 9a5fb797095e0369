"""``colours.toml``: samples, photographs, and which of them must match."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import BaseModel, Field, FiniteFloat, model_validator

from layfigure.colour.colours import (
    COLOURS_FILE,
    ChartInPicture,
    ChartTable,
    Colours,
    GreyCard,
    OnTwoGrounds,
    Pair,
    Photograph,
    Ranking,
    Sample,
    Sheer,
    Sight,
)
from layfigure.colour.light import LIGHTS, LightName, White
from layfigure.colour.sheer import net_coverage
from layfigure.colour.sheer_cloth import with_cloths_coverage
from layfigure.colour.table_file import lab_as_in_daylight
from layfigure.errors import FileError
from layfigure.files.formats import up_to_date
from layfigure.files.inside import refuse_outside
from layfigure.files.nearest import did_you_mean
from layfigure.files.quantities import Length, Share
from layfigure.files.toml import TomlFile, parse_toml, read_toml
from layfigure.files.validation import validated

Slug = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]
FileName = Annotated[str, Field(min_length=1, max_length=300)]
Pixel = Annotated[int, Field(ge=0, le=100_000)]
Side = Annotated[int, Field(ge=1, le=100_000)]
Box = tuple[Pixel, Pixel, Side, Side]
Name = Annotated[str, Field(max_length=120)]


class ChartFile(BaseModel, extra="forbid"):
    """A chart's colours, measured once: CGATS text or a table with commas."""

    file: FileName
    illuminant: White | None = None


class GreyFile(BaseModel, extra="forbid"):
    """A grey card or patch. at : x, y, width, height of a rectangle well inside it [pixels]."""

    at: Box
    reflectance: Share


class ChartInPictureFile(BaseModel, extra="forbid"):
    """Where a chart lies. corners : of its field of patches, upper left, upper right, lower right, lower
    left.
    """

    of: Slug
    corners: Annotated[list[tuple[FiniteFloat, FiniteFloat]], Field(min_length=4, max_length=4)] | None = None
    columns: Annotated[int, Field(ge=1, le=100)] | None = None
    rows: Annotated[int, Field(ge=1, le=100)] | None = None
    patches: Annotated[dict[str, Box], Field(max_length=2000)] = {}

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        grid = (self.corners is not None, self.columns is not None, self.rows is not None)
        if any(grid) != all(grid) or any(grid) == bool(self.patches):
            raise ValueError("write corners, columns and rows, or a rectangle for each of the patches")
        return self


class PhotographFile(BaseModel, extra="forbid"):
    """One photograph with what is known in it."""

    file: FileName
    light: LightName = "daylight"
    greys: Annotated[list[GreyFile], Field(max_length=50)] = []
    sheet: Annotated[list[Box], Field(max_length=50)] = []
    chart: ChartInPictureFile | None = None


class SightFile(BaseModel, extra="forbid"):
    """A thing in a photograph. at : one rectangle, or several of the same thing."""

    photograph: Slug
    at: Box | Annotated[list[Box], Field(min_length=1, max_length=50)]


class SampleFile(BaseModel, extra="forbid"):
    """A cloth, a paint or skin."""

    name: Name = ""
    skin: bool = False
    painted: bool = False
    material: Slug | Literal[""] = ""
    lab: tuple[FiniteFloat, FiniteFloat, FiniteFloat] | None = None
    illuminant: White | None = None
    sure_to: Annotated[float, Field(gt=0, le=20)] = 0.5
    spectrum: FileName | None = None
    photograph: Slug | None = None
    at: Box | Annotated[list[Box], Field(min_length=1, max_length=50)] | None = None
    seen: Annotated[list[SightFile], Field(max_length=20)] = []

    @model_validator(mode="after")
    def _one_source(self) -> Self:
        if (self.photograph is None) != (self.at is None):
            raise ValueError("photograph and at belong together")
        given = (
            self.lab is not None,
            self.spectrum is not None,
            self.photograph is not None or bool(self.seen),
        )
        if sum(given) != 1:
            raise ValueError("say its colour in one way: photograph and at, or lab, or spectrum")
        if self.lab is not None and self.illuminant is None:
            raise ValueError('lab needs illuminant = "D65" or "D50", as the instrument says')
        return self


class NetFile(BaseModel, extra="forbid"):
    """A square net at rest: how thick its threads are, and from middle to middle of two."""

    thread: Length
    pitch: Length


class GroundsFile(BaseModel, extra="forbid"):
    """Samples: the sheer over something light and over something dark, and both bare."""

    over_light: Slug
    light: Slug
    over_dark: Slug
    dark: Slug


class SheerFile(BaseModel, extra="forbid"):
    """A sheer cloth over something else, usually skin."""

    name: Name = ""
    over: Slug
    threads: Slug | None = None
    coverage: Share | None = None
    material: Slug | None = None
    net: NetFile | None = None
    grounds: GroundsFile | None = None
    stretch: tuple[Share, Share] = (0.0, 0.0)

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        ways = (self.coverage, self.material, self.net, self.grounds)
        if sum(given is not None for given in ways) != 1:
            raise ValueError("say how much it covers in one way: coverage, material, net, or grounds")
        if self.grounds is None and self.threads is None:
            raise ValueError("threads must name a sample of the sheer folded until nothing shows through")
        return self


class PairFile(BaseModel, extra="forbid"):
    """Two that must match."""

    match: tuple[Slug, Slug]
    dye: Slug | None = None


class RankingFile(BaseModel, extra="forbid"):
    """Cloths to choose from."""

    target: Slug
    cloths: Annotated[list[Slug], Field(min_length=1, max_length=200)]
    dye: bool = False


class ColoursFile(BaseModel, extra="forbid"):
    """The whole of ``colours.toml`` but its ``format``."""

    lights: Annotated[list[LightName], Field(min_length=1)] = list(LIGHTS)
    charts: dict[Slug, ChartFile] = {}
    photographs: dict[Slug, PhotographFile] = {}
    samples: dict[Slug, SampleFile] = {}
    sheers: dict[Slug, SheerFile] = {}
    pairs: list[PairFile] = []
    rankings: dict[Slug, RankingFile] = {}


def read_colours(folder: Path) -> Colours:
    """The colours of a costume's folder. Raises FileError with file, line and what to write instead."""
    path = folder / COLOURS_FILE
    if not path.is_file():
        raise FileError(
            f"there is no {COLOURS_FILE}.",
            where=str(folder),
            advice="Write one: docs/colour.md begins with the shortest.",
        )
    return with_cloths_coverage(colours_from_toml(read_toml(path, what="the file of colours")), folder)


def parse_colours(text: str, *, name: str = COLOURS_FILE) -> Colours:
    """Colours from the text of a file; raises as ``read_colours``."""
    return colours_from_toml(parse_toml(text, name=name))


def colours_from_toml(file: TomlFile) -> Colours:
    """Colours from a parsed file; raises as ``read_colours``."""
    data = up_to_date(file.data, "colours", where=file.where("format"))
    typed = validated(ColoursFile, data, where=file.where)
    both = set(typed.samples) & set(typed.sheers)
    if both:
        name = min(both)
        raise FileError(
            f"{name!r} is a sample and a sheer.", where=file.where("sheers", name), advice="Rename one."
        )
    charts = {}
    for slug, chart in typed.charts.items():
        where = file.where("charts", slug, "file")
        refuse_outside(chart.file, where=where)
        charts[slug] = ChartTable(file=chart.file, illuminant=chart.illuminant, where=where)
    photographs = {slug: _photograph(slug, each, typed, file) for slug, each in typed.photographs.items()}
    samples = {slug: _sample(slug, each, typed, file) for slug, each in typed.samples.items()}
    sheers = {slug: _sheer(slug, each, typed, file) for slug, each in typed.sheers.items()}
    things = (*samples, *sheers)
    pairs = []
    for k, pair in enumerate(typed.pairs):
        where = file.where("pairs", k)
        for slug in pair.match:
            _known(slug, things, "sample or sheer", file.where("pairs", k, "match"))
        if pair.match[0] == pair.match[1]:
            raise FileError(f"{pair.match[0]!r} always matches itself.", where=where, advice="Name two.")
        if pair.dye is not None:
            _known(pair.dye, pair.match, "one of the pair", file.where("pairs", k, "dye"))
        pairs.append(Pair(first=pair.match[0], second=pair.match[1], dye=pair.dye or "", where=where))
    rankings = []
    for slug, ranking in typed.rankings.items():
        where = file.where("rankings", slug)
        for name in (ranking.target, *ranking.cloths):
            _known(name, things, "sample or sheer", where)
        rankings.append(
            Ranking(
                slug=slug, target=ranking.target, cloths=tuple(ranking.cloths), dye=ranking.dye, where=where
            )
        )
    return Colours(
        charts=charts,
        photographs=photographs,
        samples=samples,
        sheers=sheers,
        pairs=tuple(pairs),
        rankings=tuple(rankings),
        lights=tuple(dict.fromkeys(typed.lights)),
    )


def _known(name: str, known: Iterable[str], what: str, where: str) -> None:
    names = tuple(known)
    if name not in names:
        raise FileError(
            f"{name!r} is no {what}." if not what.startswith("one") else f"{name!r} is not {what}.",
            where=where,
            advice=did_you_mean(name, names),
        )


def _photograph(slug: str, typed: PhotographFile, whole: ColoursFile, file: TomlFile) -> Photograph:
    where = file.where("photographs", slug)
    refuse_outside(typed.file, where=file.where("photographs", slug, "file"))
    for grey in typed.greys:
        if not 0.01 <= grey.reflectance <= 1.0:
            raise FileError(
                "a grey card returns between 1 % and 100 % of the light.",
                where=file.where("photographs", slug, "greys"),
                advice='Write reflectance = "18 %".',
            )
    chart = None
    if typed.chart is not None:
        _known(typed.chart.of, whole.charts, "chart", file.where("photographs", slug, "chart", "of"))
        corners = typed.chart.corners
        chart = ChartInPicture(
            of=typed.chart.of,
            corners=None if corners is None else (corners[0], corners[1], corners[2], corners[3]),
            columns=typed.chart.columns or 0,
            rows=typed.chart.rows or 0,
            patches=typed.chart.patches,
        )
    return Photograph(
        slug=slug,
        file=typed.file,
        light=typed.light,
        greys=tuple(GreyCard(at=grey.at, reflectance=grey.reflectance) for grey in typed.greys),
        sheet=tuple(typed.sheet),
        chart=chart,
        where=where,
    )


def _sample(slug: str, typed: SampleFile, whole: ColoursFile, file: TomlFile) -> Sample:
    where = file.where("samples", slug)
    sights = list(typed.seen)
    if typed.photograph is not None and typed.at is not None:
        sights.insert(0, SightFile(photograph=typed.photograph, at=typed.at))
    for sight in sights:
        _known(sight.photograph, whole.photographs, "photograph", file.where("samples", slug, "photograph"))
    if typed.spectrum is not None:
        refuse_outside(typed.spectrum, where=file.where("samples", slug, "spectrum"))
    lab = None
    if typed.lab is not None and typed.illuminant is not None:
        values = lab_as_in_daylight(typed.lab, typed.illuminant, file.where("samples", slug, "lab"))
        lab = (float(values[0]), float(values[1]), float(values[2]))
    return Sample(
        slug=slug,
        name=typed.name or slug.replace("_", " "),
        skin=typed.skin,
        painted=typed.painted,
        material=typed.material,
        lab=lab,
        sure_to=typed.sure_to,
        spectrum=typed.spectrum or "",
        sights=tuple(
            Sight(
                photograph=sight.photograph,
                at=tuple(sight.at) if isinstance(sight.at, list) else (sight.at,),
                where=where,
            )
            for sight in sights
        ),
        where=where,
    )


def _sheer(slug: str, typed: SheerFile, whole: ColoursFile, file: TomlFile) -> Sheer:
    where = file.where("sheers", slug)
    names = [typed.over, *([typed.threads] if typed.threads else [])]
    grounds = None
    if typed.grounds is not None:
        names += list(typed.grounds.model_dump().values())
        grounds = OnTwoGrounds(**typed.grounds.model_dump())
    for name in names:
        _known(name, whole.samples, "sample", where)
    coverage = typed.coverage
    if typed.net is not None:
        if not 0.0 < typed.net.thread < typed.net.pitch:
            raise FileError(
                "threads cannot be as thick as they lie apart.",
                where=file.where("sheers", slug, "net"),
                advice="pitch runs from the middle of one thread to the middle of the next.",
            )
        coverage = net_coverage(typed.net.thread, typed.net.pitch)
    if coverage is not None and not 0.0 < coverage < 1.0:
        raise FileError("a sheer covers more than 0 % and less than 100 %.", where=where)
    if min(typed.stretch) < 0.0 or max(typed.stretch) > 2.0:
        raise FileError(
            "the stretch is not that of a worn cloth.", where=file.where("sheers", slug, "stretch")
        )
    return Sheer(
        slug=slug,
        name=typed.name or slug.replace("_", " "),
        over=typed.over,
        threads=typed.threads or "",
        coverage=coverage,
        material=typed.material or "",
        grounds=grounds,
        stretch=typed.stretch,
        where=where,
    )

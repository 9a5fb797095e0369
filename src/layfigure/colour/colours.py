"""What a maker says about her colours, before any photograph is opened."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from layfigure.colour.area import Rectangle
from layfigure.colour.light import LightName, White

COLOURS_FILE = "colours.toml"

Place = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class GreyCard:
    """A grey card or patch in a photograph. reflectance : share of the light, as its maker says."""

    at: Rectangle
    reflectance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartInPicture:
    """A chart in a photograph: corners of its field of patches with columns and rows, or a rectangle a
    patch.
    """

    of: str
    corners: tuple[Place, Place, Place, Place] | None = None
    columns: int = 0
    rows: int = 0
    patches: Mapping[str, Rectangle] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Photograph:
    """One photograph. sheet : places of one plain sheet of unknown colour, for uneven light."""

    slug: str
    file: str
    light: LightName = "daylight"
    greys: tuple[GreyCard, ...] = ()
    sheet: tuple[Rectangle, ...] = ()
    chart: ChartInPicture | None = None
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartTable:
    """A chart's colours, in a file of the maker's."""

    file: str
    illuminant: White | None = None
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """A thing seen in a photograph, at one or more places."""

    photograph: str
    at: tuple[Rectangle, ...]
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """A cloth, a paint or skin. Exactly one of lab, spectrum and sights says its colour.

    lab : CIELAB as in D65; sure_to : of it, CIEDE2000 that 95 of 100 errors keep. material : slug of
    ``materials.toml``; samples of one material change alike with the light.
    """

    slug: str
    name: str
    skin: bool = False
    painted: bool = False
    material: str = ""
    lab: tuple[float, float, float] | None = None
    sure_to: float = 0.5
    spectrum: str = ""
    sights: tuple[Sight, ...] = ()
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OnTwoGrounds:
    """A sheer photographed over a light and a dark ground, and both grounds bare: slugs of samples."""

    over_light: str
    light: str
    over_dark: str
    dark: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheer:
    """A sheer cloth over something else.

    threads : sample of its closed stuff (folded until nothing shows through); empty where two grounds tell
    it. over : the sample beneath. coverage : covered share at rest; None where two grounds tell it.
    material : slug of the material whose coverage it has, empty where it has its own. stretch : shares,
    across and along, as worn.
    """

    slug: str
    name: str
    over: str
    threads: str = ""
    coverage: float | None = None
    material: str = ""
    grounds: OnTwoGrounds | None = None
    stretch: tuple[float, float] = (0.0, 0.0)
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two samples or sheers that must match. dye : which of them may be dyed; empty for neither."""

    first: str
    second: str
    dye: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranking:
    """Cloths to choose from for one target."""

    slug: str
    target: str
    cloths: tuple[str, ...]
    dye: bool = False
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Colours:
    """The whole file, by slug. lights : to judge under."""

    charts: Mapping[str, ChartTable]
    photographs: Mapping[str, Photograph]
    samples: Mapping[str, Sample]
    sheers: Mapping[str, Sheer]
    pairs: tuple[Pair, ...]
    rankings: tuple[Ranking, ...]
    lights: tuple[LightName, ...]

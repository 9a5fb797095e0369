"""Placement in words, as makers speak: ``halfway from hip to knee``, ``30 % from wrist to elbow``.

What can be said, with ``,`` between the parts::

    a level line right round        at the waist · halfway from hip to knee · 30 % from wrist to elbow
                                    a third of the way from knee to ankle · 5 cm above the knee
    a point in it                   …, pointing up 4 cm at the outside · …, pointing down 3 cm at the front
    a slant                         …, 3 cm higher at the outside · …, 2 cm lower at the back
    only part of the way round      …, from 20 % to 60 % round · …, from front to outside
    a line along a limb             along the outside from hip to ankle · along the back from nape to waist
                                    along 30 % round from 4 cm below the hip to 10 cm above the ankle

Words stay a rule until a wearer is known: five centimetres are another share of another leg
(``design.words_on_body``).
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from layfigure.body.levels import Side
from layfigure.errors import PlacementError, UnitError
from layfigure.files.nearest import did_you_mean, nearest_names
from layfigure.units import parse_length, parse_share

EXAMPLES = (
    "'at the waist', 'halfway from hip to knee', '30 % from wrist to elbow', '5 cm above the knee', "
    "'along the outside from hip to ankle'"
)

CHAINS: Mapping[str, tuple[tuple[str, str], ...]] = MappingProxyType(
    {
        "leg": (
            ("torso", "nape"),
            ("torso", "bust"),
            ("torso", "under_bust"),
            ("torso", "waist"),
            ("torso", "hip"),
            ("torso", "crotch"),
            ("thigh", "knee"),
            ("shank", "ankle"),
        ),
        "arm": (
            ("upper_arm", "shoulder_point"),
            ("upper_arm", "elbow"),
            ("forearm", "wrist"),
            ("hand", "knuckles"),
            ("hand", "fingertip"),
        ),
        "foot": (("foot", "ankle"), ("foot", "instep"), ("foot", "ball"), ("foot", "toe_tip")),
        "head": (("head", "crown"), ("head", "brow"), ("head", "chin")),
        "neck": (("neck", "under_chin"), ("neck", "neck_base")),
    }
)
"""Levels in order down each way a tape can run: the region that ends at the level, and the level."""

SPOKEN: Mapping[str, str] = MappingProxyType(
    {
        "chest": "bust",
        "underbust": "under_bust",
        "seat": "hip",
        "hips": "hip",
        "bust line": "bust",
        "kneecap": "knee",
        "shoulder": "shoulder_point",
        "shoulder point": "shoulder_point",
        "ankle bone": "ankle",
        "neck base": "neck_base",
        "base of the neck": "neck_base",
        "chin": "chin",
        "under the chin": "under_chin",
        "top of the head": "crown",
        "toes": "toe_tip",
        "toe": "toe_tip",
        "fingertips": "fingertip",
        "ball of the foot": "ball",
    }
)
"""Everyday words for levels."""

MIDDLES: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "thigh": ("crotch", "knee"),
        "shin": ("knee", "ankle"),
        "calf": ("knee", "ankle"),
        "shank": ("knee", "ankle"),
        "forearm": ("elbow", "wrist"),
        "upper arm": ("shoulder_point", "elbow"),
    }
)
"""``mid-thigh`` and the like: halfway between two levels."""

ROUND: Mapping[str, float] = MappingProxyType(
    {"front": 0.0, "outside": 0.25, "left": 0.25, "back": 0.5, "inside": 0.75, "right": 0.75}
)
"""Directions as the way round a section: quarters of its girth from the front, or from biceps and thumb."""

ALONG = re.compile(
    r"(?P<how>down|up|along) (?:the (?P<way>\w+)(?: side)?|(?P<share>.+?) round)"
    r" from (?P<first>.+?) to (?P<last>.+)",
    re.IGNORECASE,
)
"""A line down a limb, at one way round it."""

FRACTIONS: Mapping[str, float] = MappingProxyType(
    {
        "halfway": 1 / 2,
        "half way": 1 / 2,
        "midway": 1 / 2,
        "half": 1 / 2,
        "a third": 1 / 3,
        "one third": 1 / 3,
        "two thirds": 2 / 3,
        "a quarter": 1 / 4,
        "one quarter": 1 / 4,
        "three quarters": 3 / 4,
        "a fifth": 1 / 5,
        "two fifths": 2 / 5,
        "three fifths": 3 / 5,
        "four fifths": 4 / 5,
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Height:
    """Where on the way down: a share of the way between two levels, and a length on from there.

    chain : which way (a key of ``CHAINS``). first, last : levels. share : of the way from first to last.
    below : further down [mm], negative for up.
    """

    chain: str
    first: str
    last: str
    share: float = 0.0
    below: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """What departs from a level line.

    at : way round. up : [mm], negative down. sharp : a point with straight sides, else a smooth slant.
    """

    at: float
    up: float
    sharp: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WordEdge:
    """An edge said in words, before a wearer is known.

    top : the level line, or the upper end of a line along a limb. bottom : its lower end, None for a
    level line. around : the way round of a line along. span : first and last way of a part, None right
    round.
    """

    slug: str
    text: str
    side: Side
    top: Height
    bottom: Height | None = None
    around: float = 0.0
    span: tuple[float, float] | None = None
    lifts: tuple[Lift, ...] = ()

    @property
    def closed(self) -> bool:
        """Runs right round."""
        return self.bottom is None and self.span is None


def parse_words(
    text: str, *, slug: str = "", side: Side = "middle", where: str = "", others: Collection[str] = ()
) -> WordEdge:
    """Read a placement in words. Raises PlacementError with what could be said instead.

    side : of the body, for what has a left and a right; ``middle`` for the trunk, neck and head. others :
    names of edges that might have been meant by a word that is no level.
    """
    place = where or (f"edge {slug}" if slug else "")
    try:
        edge = _parsed(text, slug, side)
        _check_side(edge)
    except (PlacementError, UnitError) as error:
        meant = re.match(r"'(.+)' is not a level", error.what)
        advice = error.advice or f"Say, for example, {EXAMPLES}."
        near = nearest_names(meant[1].replace(" ", "_"), others) if meant else ()
        if near:
            advice = f"Did you mean the edge {near[0]!r}? {advice}"
        raise PlacementError(error.what, where=place, advice=advice) from None
    return edge


def _parsed(text: str, slug: str, side: Side) -> WordEdge:
    parts = parts_of(text)
    along = ALONG.fullmatch(parts[0])
    if along is None:
        span, lifts = modifiers(parts[1:], side)
        return WordEdge(slug=slug, text=text, side=side, top=height_of(parts[0]), span=span, lifts=lifts)
    if parts[1:]:
        raise PlacementError(f"{parts[1]!r} goes with a level line only.", advice="Leave it out.")
    top, bottom = ends_along(along["first"], along["last"])
    around = parse_share(along["share"]) % 1.0 if along["share"] else _direction(along["way"], side)
    return WordEdge(slug=slug, text=text, side=side, top=top, bottom=bottom, around=around)


def ends_along(first: str, last: str) -> tuple[Height, Height]:
    """Both ends of a line along a limb, the upper one first: levels, or lengths from one."""
    ends = [height_of(first), height_of(last)]
    if ends[0].last != ends[1].last:
        chain, _ = _one_chain(ends[0].last, ends[1].last)
        ends = [replace(end, chain=chain) for end in ends]
    names = [name for _, name in CHAINS[ends[0].chain]]
    downs = []
    for end in ends:
        start, to = names.index(end.first), names.index(end.last)
        downs.append((start + end.share * (to - start), end.below))
    if downs[0] == downs[1]:
        raise PlacementError("the two levels are the same.", advice="Name two different levels.")
    return (ends[0], ends[1]) if downs[0] < downs[1] else (ends[1], ends[0])


def parts_of(text: str) -> list[str]:
    """The text between commas, lower case, single spaces."""
    plain = re.sub(r"\s+", " ", text.strip().lower())
    return [part.strip() for part in re.split(r",(?!\d)", plain)]


def is_level(name: str) -> bool:
    """Whether a name is a word for a level of the body."""
    spoken = name.replace("_", " ")
    return spoken in SPOKEN or any(
        spoken == level.replace("_", " ") for c in CHAINS.values() for _, level in c
    )


def height_of(text: str) -> Height:
    """A level line: at a level, between two, or a length from one."""
    at = re.fullmatch(r"(?:at |on |level with )?(?:the )?(.+)", text)
    off = re.fullmatch(r"(.+?) (above|below|over|under) (?:the )?(.+)", text)
    between = re.fullmatch(
        r"(.+?) (?:of the way )?(?:from|between) (?:the )?(.+?) (?:to|and) (?:the )?(.+)", text
    )
    if between:
        share = share_of(between[1])
        (chain, (first, last)) = _one_chain(_level(between[2]), _level(between[3]), keep_order=True)
        return Height(chain=chain, first=first, last=last, share=share)
    if off and any(letter.isdigit() or letter in "½¼¾" for letter in off[1]):
        level = _level(off[3])
        length = parse_length(off[1])
        return Height(
            chain=_chain_of(level),
            first=level,
            last=level,
            below=length if off[2] in ("below", "under") else -length,
        )
    if at is None:
        raise PlacementError("no place is said.")
    middle = re.fullmatch(r"mid[- ]?(.+)", at[1])
    if middle and middle[1] in MIDDLES:
        first, last = MIDDLES[middle[1]]
        return Height(chain=_chain_of(last), first=first, last=last, share=0.5)
    level = _level(at[1])
    return Height(chain=_chain_of(level), first=level, last=level)


def share_of(text: str) -> float:
    """A fraction of the way: ``30 %``, ``a third``, ``2/3``."""
    bare = text.removesuffix(" of the way").removesuffix(" way").strip()
    if bare in FRACTIONS:
        return FRACTIONS[bare]
    fraction = re.fullmatch(r"(\d+)\s*/\s*(\d+)", bare)
    if fraction and int(fraction[2]):
        share = int(fraction[1]) / int(fraction[2])
    elif "%" in bare or "percent" in bare:
        share = parse_share(bare)
    else:
        raise PlacementError(
            f"{text!r} is not a share of the way.", advice="Say 'halfway', 'a third of the way' or '30 %'."
        )
    if not 0.0 <= share <= 1.0:
        raise PlacementError(
            f"{text!r} lies outside the two levels.", advice="Say a share from 0 % to 100 %."
        )
    return share


def _level(text: str) -> str:
    """The level meant."""
    bare = text.strip().removeprefix("the ").removesuffix(" level").removesuffix(" line").strip()
    known = {level.replace("_", " "): level for steps in CHAINS.values() for _, level in steps}
    name = SPOKEN.get(bare) or known.get(bare.replace("_", " ").replace("-", " "))
    if name is None:
        raise PlacementError(
            f"{bare!r} is not a level of the body.",
            advice=did_you_mean(bare, [*known, *SPOKEN]) or f"Levels: {', '.join(known)}.",
        )
    return name


def _chain_of(level: str) -> str:
    return next(chain for chain, steps in CHAINS.items() if level in [name for _, name in steps])


def _one_chain(first: str, last: str, *, keep_order: bool = False) -> tuple[str, tuple[str, str]]:
    """The way both levels lie on, and the two in the order said, or downward."""
    for chain, steps in CHAINS.items():
        names = [name for _, name in steps]
        if first in names and last in names:
            if first == last:
                raise PlacementError("the two levels are the same.", advice="Name two different levels.")
            down = names.index(first) < names.index(last)
            return chain, (first, last) if down or keep_order else (last, first)
    raise PlacementError(
        f"{first.replace('_', ' ')} and {last.replace('_', ' ')} do not lie on one limb.",
        advice="Name two levels of the trunk and leg, or two of the arm.",
    )


def modifiers(parts: list[str], side: Side) -> tuple[tuple[float, float] | None, tuple[Lift, ...]]:
    """What follows a level line: the part of the way round it runs, and its points and slants."""
    span: tuple[float, float] | None = None
    lifts: list[Lift] = []
    for part in parts:
        point = re.fullmatch(r"(?:pointing|with a point) (up|down) (.+?) (?:at|on) the (\w+)(?: side)?", part)
        slant = re.fullmatch(r"(.+?) (higher|lower) (?:at|on|in) the (\w+)(?: side)?", part)
        stretch = re.fullmatch(r"(?:only )?from (?:the )?(.+?) to (?:the )?(.+?)(?: round)?", part)
        if point:
            up = parse_length(point[2]) * (1.0 if point[1] == "up" else -1.0)
            lifts.append(Lift(at=_direction(point[3], side), up=up, sharp=True))
        elif slant:
            up = parse_length(slant[1]) * (1.0 if slant[2] == "higher" else -1.0)
            lifts.append(Lift(at=_direction(slant[3], side), up=up, sharp=False))
        elif stretch and span is None:
            first, last = (_way_round(end, side) for end in stretch.groups())
            span = (first, last if last > first else last + 1.0)
        else:
            raise PlacementError(
                f"{part!r} is not understood.",
                advice="Say 'pointing up 4 cm at the outside', '3 cm higher at the back' or "
                "'from 20 % to 60 % round'.",
            )
    return span, tuple(lifts)


def _way_round(text: str, side: Side) -> float:
    if "%" in text or "percent" in text:
        return parse_share(text) % 1.0
    return _direction(text.removesuffix(" side"), side)


def _direction(word: str, side: Side) -> float:
    """Way round of a direction. Left and right are the wearer's, and belong to the trunk, neck and head."""
    if word not in ROUND:
        raise PlacementError(
            f"{word!r} is not a direction.", advice=did_you_mean(word, ROUND) or "Say front, back or outside."
        )
    if side != "middle" and word in ("left", "right"):
        raise PlacementError(
            f"{word!r} is not clear on a limb.", advice="Say 'outside' or 'inside', 'front' or 'back'."
        )
    return ROUND[word]


def _check_side(edge: WordEdge) -> None:
    """What has a left and a right needs one; what has none must not have one."""
    paired = edge.top.chain in ("arm", "foot") or {"knee", "ankle"} & {
        edge.top.first,
        edge.top.last,
        *((edge.bottom.first,) if edge.bottom else ()),
    }
    if paired and edge.side == "middle":
        raise PlacementError(
            "the words lie on a limb, and the edge has no side.",
            advice='Write side = "left", "right" or "both".',
        )
    if not paired and edge.side != "middle" and edge.bottom is None and edge.top.below == 0.0:
        raise PlacementError("the words lie on the trunk, which has no sides.", advice="Leave the side out.")

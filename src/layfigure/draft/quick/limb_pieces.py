"""Pieces that a few tapes are enough for: which tapes, where they run, and what is assumed of the limb."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType


@dataclass(frozen=True, slots=True, kw_only=True)
class Girth:
    """A girth of the limb.

    station : where. tape : which tape gives it. share : of that tape; other than 1 is an assumption.
    flat : breadth over depth of the section there (across the body over front to back), an assumption.
    """

    station: float
    tape: str
    share: float = 1.0
    flat: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LimbPiece:
    """A piece that a few tapes are enough for.

    kind : the registered kind that drafts it. region : without side. tapes : name to where the tape runs;
    ``length_tape`` spans stations ``first`` to ``last``. girths : along the region.
    keep_top, keep_bottom : left free at either end of that length [mm]. assumed : said in the verdict.
    """

    name: str
    summary: str
    kind: str
    region: str
    tapes: Mapping[str, str]
    length_tape: str | None
    first: float
    last: float
    girths: tuple[Girth, ...]
    keep_top: float
    keep_bottom: float
    assumed: tuple[str, ...]
    options: Mapping[str, str] = field(default_factory=dict)


_OVAL = "the section of the limb is taken for an oval, which it is not quite"

LIMB_PIECES: Mapping[str, LimbPiece] = MappingProxyType(
    {
        kind.name: kind
        for kind in (
            LimbPiece(
                name="forearm_guard",
                summary="a guard round the forearm, wrist to below the elbow",
                kind="wrap",
                region="forearm",
                tapes={
                    "wrist_girth": "round the wrist over the bone",
                    "forearm_girth": "round the forearm where it is fullest",
                    "forearm_length": "from the elbow's point to the wrist bone, arm bent",
                },
                length_tape="forearm_length",
                first=0.0,
                last=1.0,
                girths=(
                    Girth(station=0.0, tape="forearm_girth", share=0.96, flat=1.0),
                    Girth(station=0.25, tape="forearm_girth", flat=1.05),
                    Girth(station=1.0, tape="wrist_girth", flat=0.72),
                ),
                keep_top=35.0,
                keep_bottom=5.0,
                assumed=(_OVAL, "the forearm is taken to be fullest a quarter of the way from the elbow"),
            ),
            LimbPiece(
                name="upper_arm_band",
                summary="a band round the upper arm",
                kind="wrap",
                region="upper_arm",
                tapes={
                    "upper_girth": "round the arm where the band's top edge will lie",
                    "lower_girth": "round the arm where its bottom edge will lie",
                    "band_height": "from one to the other",
                },
                length_tape="band_height",
                first=0.45,
                last=0.8,
                girths=(
                    Girth(station=0.45, tape="upper_girth", flat=0.9),
                    Girth(station=0.8, tape="lower_girth", flat=0.9),
                ),
                keep_top=0.0,
                keep_bottom=0.0,
                assumed=(_OVAL, "the arm is taken to run straight between the two tapes"),
            ),
            LimbPiece(
                name="thigh_band",
                summary="a band round the thigh",
                kind="wrap",
                region="thigh",
                tapes={
                    "upper_girth": "round the thigh where the band's top edge will lie",
                    "lower_girth": "round the thigh where its bottom edge will lie",
                    "band_height": "from one to the other",
                },
                length_tape="band_height",
                first=0.3,
                last=0.7,
                girths=(
                    Girth(station=0.3, tape="upper_girth", flat=0.95),
                    Girth(station=0.7, tape="lower_girth", flat=0.95),
                ),
                keep_top=0.0,
                keep_bottom=0.0,
                assumed=(_OVAL, "the thigh is taken to run straight between the two tapes"),
            ),
            LimbPiece(
                name="shin_guard",
                summary="a guard round the lower leg, ankle to below the knee",
                kind="wrap",
                region="shank",
                tapes={
                    "ankle_girth": "round the leg where it is narrowest above the ankle bones",
                    "calf_girth": "round the calf where it is fullest",
                    "shin_length": "from the middle of the kneecap to the ankle bone",
                },
                length_tape="shin_length",
                first=0.0,
                last=1.0,
                girths=(
                    Girth(station=0.0, tape="calf_girth", share=0.98, flat=0.95),
                    Girth(station=0.33, tape="calf_girth", flat=0.95),
                    Girth(station=0.88, tape="ankle_girth", flat=0.85),
                    Girth(station=1.0, tape="ankle_girth", share=1.06, flat=0.8),
                ),
                keep_top=55.0,
                keep_bottom=45.0,
                assumed=(
                    _OVAL,
                    "the calf is taken to be fullest a third of the way from knee to ankle",
                    "the shin is taken to stand in the middle of the leg, though the calf lies behind it",
                ),
            ),
            LimbPiece(
                name="belt",
                summary="a straight or shaped belt",
                kind="belt",
                region="torso",
                tapes={
                    "upper_girth": "round the body, over the costume, 5 cm above the belt's middle",
                    "belt_girth": "round the body, over the costume, where the belt's middle will lie",
                    "lower_girth": "round the body, over the costume, 5 cm below the belt's middle",
                },
                length_tape=None,
                first=3.0,
                last=4.0,
                girths=(
                    Girth(station=3.0, tape="upper_girth", flat=1.35),
                    Girth(station=3.5, tape="belt_girth", flat=1.35),
                    Girth(station=4.0, tape="lower_girth", flat=1.35),
                ),
                keep_top=0.0,
                keep_bottom=0.0,
                assumed=("the body's section is taken for an oval",),
            ),
        )
    }
)
"""Pieces that can be drafted with no costume and no picture. Shares, places and ovals are common practice,
no source."""

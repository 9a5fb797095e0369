"""Horns: tapered tubes with flat sides along a curve, cut as strips that unroll exactly."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.registry import Check, DraftRequest, DraftResult
from layfigure.draft.sheet_practice import cautions_for, sheet_practice
from layfigure.draft.shell.cap import Cap
from layfigure.draft.shell.gore_pieces import PieceWords
from layfigure.draft.shell.head_place import MEASURES, place_head
from layfigure.draft.shell.horn_curve import STEP, along_line, root_on, spiral, tightest_bend
from layfigure.draft.shell.horn_strips import Horn, horn_strips
from layfigure.draft.shell.horn_through import curve_through, growth_factor, start_of
from layfigure.draft.shell.note import joining_words, mass_words
from layfigure.draft.shell.options import ShellOptions
from layfigure.draft.shell.shell_checks import join_check, mass_of, outline_check
from layfigure.draft.shell.shell_windows import horn_sheets
from layfigure.draft.verdict import governing_measures, wrap_verdict
from layfigure.draft.window.cut_out import with_windows
from layfigure.errors import DraftError
from layfigure.geometry.transport import transport_frames
from layfigure.geometry.tube import circumscribed, rows_mesh, tube_rings
from layfigure.materials.cloth import Cloth
from layfigure.piece.item import Item
from layfigure.piece.piece import Verdict
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

BLUNT = 2.0
"""A tip thinner than this, at its neutral surface, is brought to a point [mm]."""

CAUTION = (
    "A horn reaches other people's eyes: round and pad its tip, keep it clear of doors and crowds, and let "
    "it come off under a pull."
)


def make_horn(curve: Points, thick: Points, sides: int, first: Points) -> Horn:
    """Rings along a curve. thick : (m,) of the neutral surface, or its two ends [mm]. first : direction of
    corner 0.

    Raises DraftError where the curve bends more tightly than the horn is thick.
    """
    along = np.linspace(0.0, 1.0, len(curve))
    radius = 0.5 * np.interp(along, np.linspace(0.0, 1.0, len(thick)), thick)
    if (tightest_bend(curve) < 1.1 * radius).any():
        raise DraftError(
            "the horn bends more tightly than it is thick.",
            advice="Make it thinner, or its curve wider: fewer turns, less curl, more length.",
        )
    frames = transport_frames(curve, first)
    return Horn(rings=tube_rings(curve, frames, circumscribed(radius, sides), sides))


def standing_on(horn: Horn, cap: Cap) -> Horn:
    """The horn with its root cut to a cap's surface: each line runs straight on until it meets it.

    Rings that a line would have to run back through are left out. Raises DraftError where it does not meet.
    """
    rings = horn.rings
    for start in range(1, len(rings) // 2):
        way = rings[start] - rings[start + 1]
        way /= np.linalg.norm(way, axis=1, keepdims=True)
        if (_height(cap, rings[start]) < 1.0).any():
            continue
        reach = np.linspace(0.0, 3.0 * np.linalg.norm(rings[0, 0] - rings[0, len(rings[0]) // 2]), 240)
        along = rings[start][:, None] + reach[None, :, None] * way[:, None]
        height = _height(cap, along.reshape(-1, 3)).reshape(len(way), -1)
        if not (height < 0.0).any(axis=1).all():
            break
        hit = (height < 0.0).argmax(axis=1)
        row = np.arange(len(way))
        share = height[row, hit - 1] / (height[row, hit - 1] - height[row, hit])
        foot = rings[start] + (reach[hit - 1] + share * (reach[hit] - reach[hit - 1]))[:, None] * way
        return Horn(rings=np.concatenate([foot[None], rings[start:]]))
    raise DraftError(
        "the horn's root does not meet the helm.",
        advice="Let it lean less, make its base thinner, or place it nearer the crown.",
    )


def _height(cap: Cap, places: Points) -> Points:
    """Distance beyond the cap's surface along the line of sight from its centre, (m,) [mm]."""
    azimuth, polar, distance = cap.frame.angles(places)
    return distance - cap.reach.radius(azimuth, polar)


def draft_horn(request: DraftRequest, options: ShellOptions, cloth: Cloth, label: str) -> DraftResult:
    """A horn's strips, and what holds it."""
    inner = (1.0 - sheet_practice(cloth).neutral_share) * cloth.thickness
    base, tip = options.base - 2.0 * inner, options.tip - 2.0 * inner
    tip = tip if tip > BLUNT else 0.0
    if base < 6.0:
        raise DraftError("the horn is thinner than its sheet bends.", advice="Make its base thicker.")
    ends = np.array([base, tip])
    line = request.placement.edges.get(request.statement.edges.get("line", ""))
    measures: tuple[str, ...] = MEASURES
    spread = 0.0
    if line is None:
        head = place_head(request.form, options, request.stack + options.padding + options.hair)
        root = root_on(head.cap, options.root_around, options.root_up)
        if options.through:
            curve, ends = _through(request, options, root.place, inner)
        else:
            curve = spiral(root, options)
        horn = standing_on(make_horn(curve, ends, options.sides, root.back), head.cap)
    else:
        upright = np.array([0.0, 0.0, 1.0])
        if options.through:
            curve, ends = _through(request, options, start_of(request.form, line, request.stack), inner)
            # A first direction along the curve would tell nothing.
            way = np.abs(curve[1] - curve[0])
            upright = np.eye(3)[int(way.argmin())]
        else:
            curve = along_line(request.form, line, request.stack, options)
        horn = make_horn(curve, ends, options.sides, upright)
        measures = tuple(
            name
            for at in (line.at[0], line.at[-1])
            for name in governing_measures(at.region, at.station, at.station)
        )
        spread = float(np.max(line.spread)) if len(line.spread) else 0.0
    blank = PieceWords(verdict=Verdict(level="paper"), note=(), cautions=(*cautions_for(cloth), CAUTION))
    strips = horn_strips(request, cloth, blank, horn, label)
    drawn = [strip.piece for strip in strips]
    worn = rows_mesh(horn.rings[:: max(1, len(horn.rings) // 110)], closed=True)
    mass = mass_of(worn, cloth)
    checks = (join_check(drawn), outline_check(drawn), clear_of_itself(horn))
    verdict = wrap_verdict(checks, form=request.form, cloth=cloth, measures=measures, spread=spread)
    item = Item(
        slug="bolt_m5",
        name="Bolt M5 with wing nut and two wide washers",
        count=2,
        use="through a disc of the same sheet glued inside the root and through what it stands on, so that "
        "the horn comes off for travel.",
    )
    note = (
        *_horn_note(cloth, options, len(drawn) // options.sides),
        f"{item.name}: {item.use}",
        mass_words(mass),
        *(check.advice for check in checks if check.advice),
        "Tape it up in card first and hold it in place in front of a mirror.",
    )
    drawn = [replace(piece, verdict=verdict, note=note) for piece in drawn]
    cut = with_windows(request, drawn, lambda: horn_sheets(strips, request.form))
    return DraftResult(
        pieces=cut.pieces,
        checks=(*(replace(check, what=f"{label}: {check.what}") for check in checks), *cut.checks),
        items=(item,),
        worn=(WornSurface(name=request.statement.slug, mesh=worn, cloth=cloth.slug),),
    )


def _through(
    request: DraftRequest, options: ShellOptions, root: Points, inner: float
) -> tuple[Points, Points]:
    """The curve through the places said, and the thickness of the neutral surface along it."""
    side = request.statement.side
    factor = growth_factor(request.form, options.grows_with, options.made_for, side)
    found = curve_through(
        root,
        options.through,
        base=options.base,
        tip=options.tip,
        mirrored=side == "right",
        factor=factor,
        step=STEP,
    )
    thick = found.thick - 2.0 * inner
    if thick[:-1].min() < 0.5 * BLUNT:
        thick = np.maximum(thick, np.linspace(BLUNT, 0.0, len(thick)))
    thick[-1] = thick[-1] if thick[-1] > BLUNT else 0.0
    return found.curve, thick


def clear_of_itself(horn: Horn) -> Check:
    """Whether turns of a spiral keep clear of one another."""
    middle = horn.rings.mean(axis=1)
    radius = np.linalg.norm(horn.rings - middle[:, None], axis=2).max(axis=1)
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(middle, axis=0), axis=1))])
    apart = np.abs(run[:, None] - run[None]) > 2.5 * (radius[:, None] + radius[None])
    gap = np.linalg.norm(middle[:, None] - middle[None], axis=2) - radius[:, None] - radius[None]
    overlap = max(0.0, float(-gap[apart].min())) if apart.any() else 0.0
    passed = overlap <= 0.0
    return Check(
        what="how far its turns run into one another",
        value=overlap,
        limit=0.0,
        unit="mm",
        passed=passed,
        advice="" if passed else "Give it fewer turns, a wider coil, or a thinner base.",
    )


def _horn_note(cloth: Cloth, options: ShellOptions, parts: int) -> tuple[str, ...]:
    lines = [
        f"Cut {options.sides} strips from {cloth.name}; they unroll exactly. The drawing is the outside.",
        "They are numbered counter-clockwise seen from the tip, strip 1 beside the line that faces back.",
    ]
    if parts > 1:
        lines.append(f"Join the {parts} parts of each strip end to end first, a to b and on.")
    lines += [
        f"Join each right edge to the left edge of the next strip, from the root up: {joining_words(cloth)}.",
        "Close the last join over the hand or a stick from the root, and bevel as written along the edges.",
        "The root is cut to the helm: turn it until it sits without a gap.",
    ]
    return tuple(lines)

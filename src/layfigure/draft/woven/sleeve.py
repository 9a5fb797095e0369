"""Set-in sleeves as pieces, and how they lie on the arm."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.knit.garment import placed_edge
from layfigure.draft.registry import DraftRequest
from layfigure.draft.woven.bodice import BodicePlan, Halves
from layfigure.draft.woven.bodice_edges import mirrored_edges, mirrored_lines
from layfigure.draft.woven.options import WovenOptions
from layfigure.draft.woven.reaching import reaching
from layfigure.draft.woven.sleeve_flat import Armhole, SleeveFlat, sleeve_flat
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.piece.piece import Grainline, InnerLine, Notch, Piece, PieceEdge, Total

Points = NDArray[np.float64]
Side = Literal["left", "right"]
Sleeves = dict[Side, SleeveFlat]

HAND_ROOM = 25.0
"""A sleeve's hem is this much wider than the hand with the thumb tucked in [mm] (common practice)."""
HAND_OVER_WRIST = 1.42
"""Girth of a hand with the thumb tucked in over the wrist's, where it was not measured (from memory)."""


def sleeves_on(request: DraftRequest, options: WovenOptions, halves: Halves, *, alike: bool) -> Sleeves:
    """Both sleeves by side. alike : whether the wearer's sides are."""
    left = sleeve_on(request, options, halves, "left")
    same = alike and not {"cuff_left", "cuff_right"} & set(request.statement.edges)
    return {"left": left, "right": left if same else sleeve_on(request, options, halves, "right")}


def sleeve_on(request: DraftRequest, options: WovenOptions, halves: Halves, side: Side) -> SleeveFlat:
    """The sleeve of one side. Raises DraftError as ``sleeve_flat``."""
    form, stack = request.form, request.stack
    front, back = halves["front", side], halves["back", side]
    arm = form.charts[f"upper_arm_{side}"]
    girth = float(arm.girth(float(arm.stations[0]) + 0.1)) + 2.0 * np.pi * stack
    room = reaching(form)
    # A wider sleeve has a lower cap, which lets the arm swing forward.
    width = girth + options.ease.arm + 0.5 * room.back
    below, end = sleeve_end(form, request, side)
    wrist = float(form.charts[f"forearm_{side}"].girth(0.97))
    hand = form.measures.get(f"hand_with_thumb_girth_{side}", HAND_OVER_WRIST * wrist)
    hem = options.sleeve_hem or min(max(hand + HAND_ROOM, end + 0.7 * options.ease.arm), 0.95 * width)
    return sleeve_flat(
        Armhole(
            front=front.edge_length("armhole"),
            back=back.edge_length("armhole"),
            front_notch=front.armhole_notch,
            back_notch=back.armhole_notch,
        ),
        ease=options.cap_ease,
        width=width,
        below=below,
        hem=hem,
        where=f"piece {request.statement.slug}",
        upper=float(
            np.linalg.norm(form.landmarks[f"elbow_{side}"] - form.landmarks[f"shoulder_point_{side}"])
        ),
        elbow_ease=room.elbow[side],
    )


def sleeve_end(form: Form, request: DraftRequest, side: Side) -> tuple[float, float]:
    """Length from the shoulder point to the sleeve's end, and the girth of the arm there [mm]."""
    shoulder, elbow, wrist = (
        form.landmarks[f"{name}_{side}"] for name in ("shoulder_point", "elbow", "wrist")
    )
    placed = placed_edge(request, f"cuff_{side}") or placed_edge(request, "cuff")
    upper = float(np.linalg.norm(elbow - shoulder))
    if placed is None:
        return upper + float(np.linalg.norm(wrist - elbow)), 0.0
    (curve, *_) = placed.curves
    part = curve.region.rpartition("_")[0]
    if part not in ("upper_arm", "forearm"):
        raise DraftError(
            "the sleeve's end does not lie on the arm.",
            where=f"piece {request.statement.slug}",
            advice="Place it between shoulder and wrist.",
        )
    # The other arm carries the same stations.
    chart, station = form.charts[f"{part}_{side}"], float(curve.station.mean())
    middle = chart.section(station).mean(axis=0)
    whole = chart.section(float(chart.stations[-1])).mean(axis=0)
    last = elbow if part == "upper_arm" else wrist
    short = float(np.linalg.norm(whole - middle))
    upto = upper if part == "upper_arm" else upper + float(np.linalg.norm(last - elbow))
    return upto - short, float(chart.girth(station))


def sleeve_piece(flat: SleeveFlat, plan: BodicePlan, side: Side, note: Sequence[str]) -> Piece:
    """One sleeve as a piece, seen from outside: on the left arm its front is at the left."""
    options, prefix = plan.options, plan.prefix + plan.suffix
    allowance = min(options.seam_allowance, 12.0)
    underarm = f"{prefix}_underarm_{side}"

    def cap(part: str, which: str) -> PieceEdge:
        curve = flat.cap[f"{part}_{which}"]
        # The back runs up to the top, the front down from it.
        curve = curve if part == "back" else curve[::-1]
        seam = f"{prefix}_armhole_{part}_{which}_{side}"
        eased = (flat.front_ease if part == "front" else flat.back_ease) if which == "upper" else 0.0
        notch = Notch(
            name=f"{seam} notch",
            distance=length(curve) if part == "back" else 0.0,
            count=1 if part == "front" else 2,
        )
        return PieceEdge(
            slug=f"cap_{part}_{which}",
            curve=curve,
            role="seam",
            allowance=allowance,
            seam=seam,
            against=part == "front",
            notches=(notch,) if which == "lower" else (),
            eased=eased,
        )

    def seam(part: str, runs: Sequence[Points], *, against: bool) -> list[PieceEdge]:
        """One edge, or three where the middle one is eased over the elbow; runs from the underarm down."""
        names = ("",) if len(runs) == 1 else ("_upper", "_elbow", "_lower")
        found = [
            PieceEdge(
                slug=f"underarm_{part}{name}",
                curve=run if against else run[::-1],
                role="seam",
                allowance=options.seam_allowance,
                seam=underarm + name,
                against=against,
                # Halfway down: the elbow, near enough for a fitter.
                notches=(Notch(name=f"{underarm}{name} middle", distance=0.5 * length(run)),)
                if name != "_elbow"
                else (),
                eased=flat.elbow_ease if (part, name) == ("back", "_elbow") else 0.0,
            )
            for name, run in zip(names, runs, strict=True)
        ]
        return found if against else found[::-1]

    hem = 0.5 * options.hem_allowance if plan.suffix else options.hem_allowance
    edges = [
        PieceEdge(slug="hem", curve=flat.hem, role="hem", allowance=hem),
        *seam("back", flat.back_runs, against=False),
        cap("back", "lower"),
        cap("back", "upper"),
        cap("front", "upper"),
        cap("front", "lower"),
        *seam("front", flat.front_runs, against=True),
    ]
    low = float(flat.hem[0, 1])
    bent = flat.elbow_ease > 0.0 and flat.elbow is not None
    elbow = flat.elbow if bent else 0.5 * low
    middle = np.array([[0.0, low], [0.0, flat.height]])
    if bent:
        middle = np.vstack([flat.hem.mean(axis=0), [[0.0, elbow], [0.0, flat.height]]])
    lines = [
        InnerLine(
            kind="balance",
            curve=np.array([flat.front_seam[0] + (6.0, 0.0), flat.back_seam[0] - (6.0, 0.0)]),
            label="underarm",
        ),
        InnerLine(
            kind="centre",
            curve=middle,
            label="middle of the sleeve, to the shoulder seam",
        ),
        InnerLine(
            kind="balance",
            curve=np.array([[-0.3 * flat.width, elbow], [0.3 * flat.width, elbow]]),
            label="elbow",
        ),
    ]
    x = 0.18 * flat.width
    if side == "right":
        edges, lines, x = mirrored_edges(edges), mirrored_lines(lines), -x
    statement = plan.request.statement
    label = statement.label or statement.slug.replace("_", " ")
    return Piece(
        slug=f"{statement.slug}_sleeve_{side}{plan.suffix}",
        label=f"{label}, sleeve {side}{', lining' if plan.suffix else ''}",
        kind=statement.kind,
        cloth=plan.cloth,
        edges=tuple(edges),
        grainline=Grainline(start=(x, 0.85 * low), end=(x, 0.1 * low), kind="grain"),
        totals=(
            Total(what="cap, underarm to underarm", length=sum(length(curve) for curve in flat.cap.values())),
            Total(what="width at the underarm", length=flat.width),
            Total(what="underarm seam", length=length(flat.front_seam)),
        ),
        verdict=plan.verdict,
        side=side,
        lines=tuple(lines),
        note=tuple(note),
        layer=statement.layer,
        edition=plan.request.edition,
    )


def sleeve_note(eased: float, elbow: float = 0.0) -> tuple[str, ...]:
    """How a set-in sleeve goes in. eased : of its cap. elbow : of its back seam over the elbow [mm]."""
    underarm = (
        f"Sew the underarm seam; between the corners at the elbow {elbow:.0f} mm of the back are eased in."
        if elbow > 0.0
        else "Sew the underarm seam."
    )
    return (
        f"{underarm} Run two rows of long stitches round the cap between the notches.",
        (
            "Set the cap into the armhole: single notch in front, double behind, middle line to the "
            f"shoulder seam. Below the notches both are equal; above them {eased:.0f} mm are eased in."
        ),
        "Shrink the ease with steam over a ham before you sew; there must be no pucker on the seam line.",
    )

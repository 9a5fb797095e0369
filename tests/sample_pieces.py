"""Invented pieces for tests of what is drawn: a rolled guard, a pair of leg panels, a panel with a window."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.piece.piece import (
    Grainline,
    InnerLine,
    Notch,
    Piece,
    PieceEdge,
    Reason,
    Total,
    Verdict,
    Window,
)

Points = NDArray[np.float64]
PAPER = Verdict(level="paper", reasons=(Reason(why="wrist girth is a guess", lifted_by="measure the wrist"),))
GOOD = Verdict(level="good material")


def arc(centre: tuple[float, float], radius: float, start: float, end: float, count: int = 181) -> Points:
    """Points on a circle from one angle to another [deg]."""
    t = np.radians(np.linspace(start, end, count))
    return np.column_stack([centre[0] + radius * np.cos(t), centre[1] + radius * np.sin(t)])


def bent(start: tuple[float, float], end: tuple[float, float], sag: float, count: int = 161) -> Points:
    """A curve from start to end that swings ``sag`` to its right in the middle."""
    a, b = np.array(start, dtype=float), np.array(end, dtype=float)
    t = np.linspace(0.0, 1.0, count)[:, None]
    along = b - a
    right = np.array([along[1], -along[0]]) / np.linalg.norm(along)
    return a + t * along + sag * np.sin(np.pi * t) ** 2 * right


def evenly(distance: float, names: str, *, against: bool, prefix: str) -> tuple[Notch, ...]:
    """Notches at equal parts of a seam, the same places counted from either end."""
    count = len(names)
    share = np.arange(1, count + 1) / (count + 1)
    places = [(1.0 - s if against else s) * distance for s in share]
    notches = [
        Notch(name=f"{prefix}{name}", distance=float(p), count=2 if i == 0 else 1)
        for i, (name, p) in enumerate(zip(names, places, strict=True))
    ]
    return tuple(sorted(notches, key=lambda notch: notch.distance))


def closed(slug: str, curves: list[Points], details: list[dict[str, object]]) -> tuple[PieceEdge, ...]:
    return tuple(
        PieceEdge(curve=curve, **detail)  # type: ignore[arg-type]
        for curve, detail in zip(curves, details, strict=True)
    )


def frustum_guard(slug: str = "forearm_guard_left", *, inner: float = 280.0, outer: float = 520.0) -> Piece:
    """A cone's band unrolled: two arcs and two straight edges that meet each other."""
    start, end = -108.0, -72.0
    low, high = arc((0, 0), outer, start, end), arc((0, 0), inner, end, start)
    right, left = np.array([low[-1], high[0]]), np.array([high[-1], low[0]])
    reach = outer - inner
    edges = closed(
        slug,
        [low, right, high, left],
        [
            {"slug": "elbow_edge", "role": "hem", "allowance": 0.0},
            {
                "slug": "back_edge",
                "role": "butt",
                "allowance": 0.0,
                "seam": f"{slug}_back",
                "notches": evenly(reach, "ab", against=False, prefix="k"),
            },
            {"slug": "wrist_edge", "role": "hem", "allowance": 0.0},
            {
                "slug": "front_edge",
                "role": "butt",
                "allowance": 0.0,
                "seam": f"{slug}_back",
                "against": True,
                "notches": evenly(reach, "ab", against=True, prefix="k"),
            },
        ],
    )
    return Piece(
        slug=slug,
        label="Forearm guard",
        kind="wrap",
        cloth="foam_5",
        edges=edges,
        grainline=Grainline(start=(0.0, -480.0), end=(0.0, -330.0), kind="any"),
        totals=(
            Total(what="elbow edge", length=edges[0].length),
            Total(what="wrist edge", length=edges[2].length),
            Total(what="back edge", length=edges[1].length),
        ),
        verdict=PAPER,
        side="left",
        lines=(
            InnerLine(kind="balance", curve=arc((0, 0), 400.0, start, end, 61), label="fullest forearm"),
            InnerLine(kind="centre", curve=np.array([[0.0, -519.0], [0.0, -281.0]])),
        ),
        note=("Heat, bend round the arm, glue edge to edge.",),
        cautions=("Contact cement: open air, no flame, read the label.",),
        layer=1,
        thickness=5.0,
    )


def leg_panel(slug: str, *, mirrored: bool = False) -> Piece:
    """Half a legging: two curved seams of 10 mm, a hem of 25 mm, an opening at the top.

    ``mirrored`` gives the mate: the same seams run the other way, so both outlines stay counter-clockwise.
    """
    waist, ankle = 820.0, 0.0
    corners = [(-75.0, ankle), (75.0, ankle), (165.0, waist), (-165.0, waist + 20.0)]
    inner = bent(corners[1], corners[2], 28.0)
    outer = bent(corners[3], corners[0], 18.0)
    hem, top = np.array([corners[0], corners[1]]), bent(corners[2], corners[3], -12.0, 61)
    curves = {"hem": hem, "inner_side": inner, "top": top, "outer_side": outer}
    if mirrored:
        curves = {name: (curve * [-1.0, 1.0])[::-1] for name, curve in curves.items()}
        order = ["hem", "outer_side", "top", "inner_side"]
    else:
        order = ["hem", "inner_side", "top", "outer_side"]
    lengths = {
        name: float(np.linalg.norm(np.diff(curve, axis=0), axis=1).sum()) for name, curve in curves.items()
    }
    details: dict[str, dict[str, object]] = {
        "hem": {"role": "hem", "allowance": 25.0},
        "top": {"role": "opening", "allowance": 15.0},
    }
    for name, prefix in (("inner_side", "i"), ("outer_side", "o")):
        details[name] = {
            "role": "seam",
            "allowance": 10.0,
            "seam": f"leg_{name}",
            "against": mirrored,
            "notches": evenly(lengths[name], "123", against=mirrored, prefix=prefix),
        }
    edges = closed(slug, [curves[name] for name in order], [{"slug": name} | details[name] for name in order])
    return Piece(
        slug=slug,
        label="Leg back" if mirrored else "Leg front",
        kind="knit",
        cloth="knit_black",
        edges=edges,
        grainline=Grainline(start=(-60.0, 300.0), end=(60.0, 300.0), kind="stretch"),
        totals=(
            Total(what="inner side", length=lengths["inner_side"]),
            Total(what="outer side", length=lengths["outer_side"]),
            Total(what="hem", length=lengths["hem"]),
        ),
        verdict=GOOD,
        side="both",
        count=2,
        lines=(InnerLine(kind="balance", curve=np.array([[-118.0, 420.0], [118.0, 420.0]]), label="knee"),),
    )


def lens(centre: tuple[float, float], length: float, width: float, turn: float) -> Points:
    """A lens-shaped opening, pointed at both ends, counter-clockwise."""
    t = np.linspace(-1.0, 1.0, 61)
    half = 0.5 * width * np.cos(0.5 * np.pi * t)
    low, high = np.column_stack([0.5 * length * t, -half]), np.column_stack([0.5 * length * t, half])
    ring = np.vstack([low, high[-2:0:-1]])
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    return ring @ np.array([[c, s], [-s, c]]) + np.array(centre)


def windowed_front() -> Piece:
    """Half a top, cut on the fold, with two windows and a backing."""
    corners = [(0.0, 0.0), (210.0, 15.0), (235.0, 330.0), (0.0, 300.0)]
    edges = closed(
        "top_front",
        [
            bent(corners[0], corners[1], 4.0, 61),
            bent(corners[1], corners[2], -14.0),
            bent(corners[2], corners[3], -30.0, 81),
            np.array([corners[3], corners[0]]),
        ],
        [
            {"slug": "hem", "role": "hem", "allowance": 20.0},
            {"slug": "side", "role": "seam", "allowance": 10.0, "seam": "top_side"},
            {"slug": "neck_and_shoulder", "role": "opening", "allowance": 8.0},
            {"slug": "centre_front", "role": "fold", "allowance": 0.0},
        ],
    )
    return Piece(
        slug="top_front",
        label="Top front",
        kind="knit",
        cloth="knit_black",
        edges=edges,
        grainline=Grainline(start=(30.0, 60.0), end=(30.0, 200.0), kind="grain"),
        totals=(Total(what="side", length=edges[1].length),),
        verdict=Verdict(level="scrap"),
        windows=(
            Window(slug="lens_1", curve=lens((130.0, 200.0), 110.0, 36.0, 35.0), backing="top_backing"),
            Window(slug="lens_2", curve=lens((110.0, 90.0), 90.0, 28.0, 35.0), backing="top_backing"),
        ),
    )


def top_back() -> Piece:
    """The mate of ``windowed_front``: its mirror image without windows."""
    front = windowed_front()
    edges = tuple(
        replace(edge, curve=(edge.curve * [-1.0, 1.0])[::-1], against=not edge.against)
        for edge in reversed(front.edges)
    )
    return replace(
        front,
        slug="top_back",
        label="Top back",
        edges=edges,
        windows=(),
        grainline=Grainline(start=(-30.0, 60.0), end=(-30.0, 200.0), kind="grain"),
    )


def small_tab() -> Piece:
    """A piece too small to write on."""
    corners = [(0.0, 0.0), (34.0, 0.0), (34.0, 16.0), (0.0, 16.0)]
    names = ["end", "long_side", "tip", "other_side"]
    edges = tuple(
        PieceEdge(
            slug=name,
            curve=np.array([corners[i], corners[(i + 1) % 4]]),
            role="closure" if i == 0 else "hem",
            allowance=5.0,
        )
        for i, name in enumerate(names)
    )
    return Piece(
        slug="tab",
        label="Closing tab",
        kind="belt",
        cloth="leather_2",
        edges=edges,
        grainline=Grainline(start=(8.0, 8.0), end=(26.0, 8.0), kind="any"),
        totals=(Total(what="long side", length=34.0),),
        verdict=GOOD,
        count=4,
    )


def all_samples() -> tuple[Piece, ...]:
    return (
        frustum_guard(),
        leg_panel("leg_front"),
        leg_panel("leg_back", mirrored=True),
        windowed_front(),
        top_back(),
        small_tab(),
    )


def relabelled(piece: Piece, slug: str, label: str) -> Piece:
    return replace(piece, slug=slug, label=label)

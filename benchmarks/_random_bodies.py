"""Random bodies to draft a kind on, and a count of what is refused, fails its checks, and how long it takes.

Bodies are the template's own shape modes drawn at random about both presets, as in ``wrap.py``, with hands,
arms and shoulders that differ from their average too.
"""

import argparse
import collections
import json
import re
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.body.pose import standing_pose
from layfigure.body.seated_pose import seated_form
from layfigure.body.shape import form_of
from layfigure.body.tape_measures import read_points
from layfigure.body.template import load_template
from layfigure.design.design import DesignEdge, EdgePoint, PieceStatement, Trace
from layfigure.draft.registry import Check, DraftRequest, DraftResult, PieceKind, validated_options
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

LOCAL = ("hand-scale", "hand-fingers", "upperarm", "lowerarm", "wrist", "shoulder-dist", "torso-scale")


def random_shapes(count: int, seed: int, *, local: bool = True) -> Iterator[NDArray[np.float64]]:
    """Shapes of bodies, women and men by turns. local : single parts vary too, beside the whole body."""
    template = load_template()
    draw = np.random.default_rng(seed)
    varied = [k for k, name in enumerate(template.local_names) if name.startswith(LOCAL)]
    for body in range(count):
        shape = template.presets["woman" if body % 2 else "man"].copy()
        shape[: template.mode_count] += 0.6 * draw.normal(size=template.mode_count)
        if local:
            shape[template.mode_count + np.array(varied)] += 0.3 * draw.normal(size=len(varied))
        yield shape


def random_form(number: int, seed: int, *, seated: bool = False, local: bool = True) -> Form:
    """The body of that number among :func:`random_forms`, without the ones before it."""
    *_, shape = random_shapes(number + 1, seed, local=local)
    return _form(shape, seated=seated)


def random_forms(
    count: int, seed: int, *, seated: bool = False, local: bool = True, measured: bool = False
) -> Iterator[Form]:
    """Bodies of :func:`random_shapes`; sitting ones, or ones with all that a tape reads, on request."""
    for shape in random_shapes(count, seed, local=local):
        yield _form(shape, seated=seated, measured=measured)


def _form(shape: NDArray[np.float64], *, seated: bool, measured: bool = False) -> Form:
    template = load_template()
    form = form_of(template, shape, wearer="benchmark")
    if measured:
        standing = standing_pose(template).apply(template.points(shape))
        form = replace(form, measures=read_points(template, standing))
    return seated_form(form, template, template.points(shape)) if seated else form


def placed_line(
    slug: str,
    region: str,
    station: float,
    *,
    first: float = 0.0,
    last: float = 1.0,
    wave: float = 0.0,
    point: float = 0.0,
) -> DesignEdge:
    """A line right round a region, or from one share of its girth to another.

    wave : how far it rises and falls along the region. point : how far it rises to a sharp point in front.
    """
    closed = last - first >= 1.0
    shares = np.arange(16) / 16.0 if closed else np.linspace(0.0, 1.0, 9)
    points = []
    for number, share in enumerate(shares):
        around = float((first + share * (last - first)) % 1.0)
        rise = point * max(0.0, 1.0 - min(around, 1.0 - around) / 0.25)
        at = station + wave * float(np.cos(2.0 * np.pi * around)) - rise
        corner = point > 0.0 and number == 0
        points.append(EdgePoint(at=ChartPoint(region=region, station=at, around=around), corner=corner))
    return DesignEdge(slug=slug, closed=closed, points=tuple(points))


def draft_on(
    form: Form,
    kind: PieceKind,
    cloth: Cloth,
    edges: Mapping[str, DesignEdge],
    options: Mapping[str, Any],
    *,
    side: Any = "left",
    trace: Trace | None = None,
    stack: float = 0.0,
) -> DraftResult:
    """One statement of a kind on one body."""
    statement = PieceStatement(
        slug="piece",
        kind=kind.name,
        cloth=cloth.slug,
        side=side,
        edges={role: edge.slug for role, edge in edges.items()},
        options=options,
        trace=trace,
    )
    return kind.draft(
        DraftRequest(
            statement=statement,
            options=validated_options(kind, options, where="benchmark"),
            form=form,
            placement=Placement(wearer="", edges={e.slug: place_edge(e, form) for e in edges.values()}),
            cloths={cloth.slug: cloth},
            stack=stack,
        )
    )


def measure(
    name: str,
    bodies: int,
    seed: int,
    cases: Mapping[str, Callable[[Form], DraftResult]],
    numbers: Callable[[DraftResult], Mapping[str, float]],
    *,
    seated: bool = False,
    measured: bool = False,
) -> None:
    """Draft every case on every body and write ``results/NAME.json``. numbers : of a result, to sum up.

    The file is written after every body: a run that is stopped says for how many bodies it holds.
    """
    rows: dict[str, list[dict[str, float]]] = {case: [] for case in cases}
    refused: dict[str, collections.Counter[str]] = {case: collections.Counter() for case in cases}
    failed: dict[str, collections.Counter[str]] = {case: collections.Counter() for case in cases}
    for done, form in enumerate(random_forms(bodies, seed, seated=seated, measured=measured), start=1):
        for case, draft in cases.items():
            start = time.process_time()
            try:
                result = draft(form)
            except DraftError as error:
                refused[case][f"{error.what} {error.advice}"] += 1
                continue
            spent = 1000.0 * (time.process_time() - start)
            rows[case].append({"ms": spent, **numbers(result)})
            failed[case].update(said_of(c, result) for c in result.checks if not c.passed)
        text = json.dumps(_report(done, seed, rows, refused, failed), indent=2)
        out = Path(__file__).parent / "results" / f"{name}.json"
        out.write_text(text + "\n", encoding="utf-8")
    print(text)


def said_of(check: Check, result: DraftResult) -> str:
    """A check's words without the piece, panel or strap that it names first, and every number as ``#``: alike
    on every body.
    """
    said = " ".join(f"{piece.slug} {piece.label}" for piece in result.pieces).lower()
    names = {word for name in re.findall(r"\w+", said) for word in (name, *name.split("_"))}
    what = check.what
    while True:
        head, colon, rest = what.partition(": ")
        if not colon or not set(re.findall(r"\w+", head.lower())) <= names:
            return re.sub(r"\d+(\.\d+)?", "#", what)
        what = rest


def values_said(result: DraftResult) -> dict[str, float]:
    """Value of every check by :func:`said_of`."""
    return {said_of(check, result): check.value for check in result.checks}


def _report(
    bodies: int,
    seed: int,
    rows: Mapping[str, list[dict[str, float]]],
    refused: Mapping[str, collections.Counter[str]],
    failed: Mapping[str, collections.Counter[str]],
) -> dict[str, Any]:
    return {
        "bodies": bodies,
        "seed": seed,
        "cases": {
            case: {
                "drafted": len(found),
                "refused": dict(refused[case]),
                "failed_checks": dict(failed[case]),
                **{key: _spread([row[key] for row in found]) for key in (found[0] if found else {})},
            }
            for case, found in rows.items()
        },
    }


def command(
    name: str,
    about: str | None,
    seed: int,
    cases: Mapping[str, Callable[[Form], DraftResult]],
    numbers: Callable[[DraftResult], Mapping[str, float]],
    *,
    seated: bool = False,
    measured: bool = False,
) -> None:
    """``measure`` with how many bodies, and which, from the command line. about : what ``--help`` says."""
    parser = argparse.ArgumentParser(description=about)
    parser.add_argument("--bodies", type=int, default=200)
    parser.add_argument("--seed", type=int, default=seed)
    arguments = parser.parse_args()
    measure(name, arguments.bodies, arguments.seed, cases, numbers, seated=seated, measured=measured)


def seam_difference(result: DraftResult) -> float:
    """Greatest difference in length between edges of one seam, ease left out [mm]."""
    lengths: dict[str, list[float]] = collections.defaultdict(list)
    for piece in result.pieces:
        for edge in piece.edges:
            if edge.seam is not None:
                lengths[edge.seam].append(edge.length - edge.eased)
    return max((max(each) - min(each) for each in lengths.values()), default=0.0)


def crossed_outlines(result: DraftResult) -> float:
    """How many pieces have an outline that crosses itself."""
    return float(sum(not Polygon(piece.stitch_line).is_valid for piece in result.pieces))


def usual_numbers(result: DraftResult) -> dict[str, float]:
    """What is told of every kind."""
    return {
        "pieces": float(len(result.pieces)),
        "seam mismatch [mm]": seam_difference(result),
        "outlines that cross themselves": crossed_outlines(result),
    }


def check_numbers(result: DraftResult, words: Mapping[str, str]) -> dict[str, float]:
    """The worst value of the checks that say certain words, by what to call it."""
    return {
        told: max((check.value for check in result.checks if said in check.what), default=0.0)
        for told, said in words.items()
    }


def _spread(values: list[float]) -> dict[str, float]:
    return {
        "median": round(float(np.median(values)), 4),
        "p95": round(float(np.percentile(values, 95)), 4),
        "max": round(float(np.max(values)), 4),
    }

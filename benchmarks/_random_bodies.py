"""Random bodies to draft a kind on, and a count of what is refused, fails its checks, and how long it takes.

Bodies are the template's own shape modes drawn at random about both presets, as in ``wrap.py``, with hands,
arms and shoulders that differ from their average too.
"""

import argparse
import collections
import json
import time
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np

from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import DesignEdge, PieceStatement
from layfigure.draft.registry import DraftRequest, DraftResult, PieceKind, validated_options
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

LOCAL = ("hand-scale", "hand-fingers", "upperarm", "lowerarm", "wrist", "shoulder-dist", "torso-scale")


def random_forms(count: int, seed: int) -> Iterator[Form]:
    """Bodies, women and men by turns."""
    template = load_template()
    draw = np.random.default_rng(seed)
    varied = [k for k, name in enumerate(template.local_names) if name.startswith(LOCAL)]
    for body in range(count):
        shape = template.presets["woman" if body % 2 else "man"].copy()
        shape[: template.mode_count] += 0.6 * draw.normal(size=template.mode_count)
        shape[template.mode_count + np.array(varied)] += 0.3 * draw.normal(size=len(varied))
        yield form_of(template, shape, wearer="benchmark")


def draft_on(
    form: Form,
    kind: PieceKind,
    cloth: Cloth,
    edges: Mapping[str, DesignEdge],
    options: Mapping[str, Any],
    *,
    side: Any = "left",
) -> DraftResult:
    """One statement of a kind on one body."""
    statement = PieceStatement(
        slug="piece",
        kind=kind.name,
        cloth=cloth.slug,
        side=side,
        edges={role: edge.slug for role, edge in edges.items()},
        options=options,
    )
    return kind.draft(
        DraftRequest(
            statement=statement,
            options=validated_options(kind, options, where="benchmark"),
            form=form,
            placement=Placement(wearer="", edges={e.slug: place_edge(e, form) for e in edges.values()}),
            cloths={cloth.slug: cloth},
        )
    )


def measure(
    name: str,
    bodies: int,
    seed: int,
    cases: Mapping[str, Callable[[Form], DraftResult]],
    numbers: Callable[[DraftResult], Mapping[str, float]],
) -> None:
    """Draft every case on every body and write ``results/NAME.json``. numbers : of a result, to sum up."""
    rows: dict[str, list[dict[str, float]]] = {case: [] for case in cases}
    refused: dict[str, collections.Counter[str]] = {case: collections.Counter() for case in cases}
    failed: dict[str, collections.Counter[str]] = {case: collections.Counter() for case in cases}
    for form in random_forms(bodies, seed):
        for case, draft in cases.items():
            start = time.perf_counter()
            try:
                result = draft(form)
            except DraftError as error:
                refused[case][f"{error.what} {error.advice}"] += 1
                continue
            spent = 1000.0 * (time.perf_counter() - start)
            rows[case].append({"ms": spent, **numbers(result)})
            failed[case].update(c.what.split(": ", 1)[-1] for c in result.checks if not c.passed)
    report = {
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
    out = Path(__file__).parent / "results" / f"{name}.json"
    out.write_text(json.dumps(report, indent=2) + "\n", encoding="utf-8")
    print(json.dumps(report, indent=2))


def command(
    name: str,
    about: str | None,
    seed: int,
    cases: Mapping[str, Callable[[Form], DraftResult]],
    numbers: Callable[[DraftResult], Mapping[str, float]],
) -> None:
    """``measure`` with how many bodies, and which, from the command line. about : what ``--help`` says."""
    parser = argparse.ArgumentParser(description=about)
    parser.add_argument("--bodies", type=int, default=200)
    parser.add_argument("--seed", type=int, default=seed)
    arguments = parser.parse_args()
    measure(name, arguments.bodies, arguments.seed, cases, numbers)


def _spread(values: list[float]) -> dict[str, float]:
    return {
        "median": round(float(np.median(values)), 4),
        "p95": round(float(np.percentile(values, 95)), 4),
        "max": round(float(np.max(values)), 4),
    }

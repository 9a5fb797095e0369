"""The study against known truth: marks on synthetic pictures, carried to a wearer of 1.65 m.

    python -m benchmarks.study.run [pairs] [--only "setting"]

Writes benchmarks/results/study.json and study.md. Everything is scored as DESIGN 11 asks: distance on the
wearer from the place a mark was read at to the true curve, or to the true corner, along and around together.
"""

from __future__ import annotations

import argparse
import json
import time
from collections import defaultdict
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from benchmarks.study.anatomy import same_mesh, score_by_anatomy
from benchmarks.study.baselines import NAMES, carry
from benchmarks.study.costume import TrueEdge
from benchmarks.study.evenness import shape_errors
from benchmarks.study.maker import follow_advice
from benchmarks.study.scenes import SETTINGS, Setting, Sitting, random_scene, sit
from benchmarks.study.score import Score, mark_errors, summary
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.errors import LayfigureError
from layfigure.pipeline.stages import neutral_body
from layfigure.study.figure import FigureModel
from layfigure.study.reading import MarkReading, study_with_model
from layfigure.study.template_figure import build_model

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

STATURE = 1650.0
RESULTS = Path(__file__).resolve().parent.parent / "results"
KINDS = ("limb edge", "torso band", "window")
BY_ANATOMY = ("full, three views",)
"""Settings scored by anatomy too, on the characters whose skin is known on the wearer."""


def wearer_form(seed: int) -> Form:
    """A random wearer; distances on her are scaled to a stature of 1.65 m."""
    template = load_template()
    rng = np.random.default_rng([seed, 4])
    coefficients = template.presets["woman" if seed % 2 else "man"].copy()
    coefficients[: template.mode_count] += 0.6 * rng.normal(size=template.mode_count)
    return form_of(template, coefficients, wearer=f"wearer {seed}")


def scaled_charts(form: Form, stature: float = STATURE) -> dict[str, RegionChart]:
    """The wearer's charts at that stature."""
    scale = stature / float(np.ptp(form.standing.vertices[:, 2]))
    return {
        name: RegionChart(
            region=name,
            level_names=chart.level_names,
            stations=chart.stations,
            sections=chart.sections * scale,
        )
        for name, chart in form.charts.items()
    }


def score_readings(
    sitting: Sitting, readings: Sequence[MarkReading], charts: Mapping[str, RegionChart]
) -> list[Score]:
    """Every mark as the study read it. charts : the wearer's."""
    edges = {edge.slug: edge for edge in sitting.scene.costume}
    scores: list[Score] = []
    queue = iter(readings)
    for marks, which in zip(sitting.marks, sitting.which, strict=True):
        for stretch, truth in zip(marks.edges, which, strict=True):
            edge = edges[stretch.slug]
            own = [next(queue) for _ in range(len(stretch.points))]
            assert all(reading.slug == edge.slug for reading in own), (
                "readings come in the order of the marks"
            )
            places = np.vstack([charts[r.region].points(r.station, r.around) for r in own])
            errors = mark_errors(edge, truth, places, charts)
            for reading, index, error in zip(own, truth.tolist(), errors, strict=True):
                along, around = _standardised(sitting, edge, index, reading)
                scores.append(
                    Score(
                        edge=edge.slug,
                        kind=edge.kind,
                        picture=marks.name,
                        corner=index in edge.corners,
                        error=float(error),
                        refused=reading.refused,
                        z_along=along,
                        z_around=around,
                    )
                )
    return scores


def _standardised(sitting: Sitting, edge: TrueEdge, index: int, reading: MarkReading) -> tuple[float, float]:
    """Errors along and around on the character over the stated spreads."""
    if reading.region != edge.region:
        return float("nan"), float("nan")
    chart = sitting.scene.charts[edge.region].chart
    stature = sitting.scene.character.stature
    station = float(edge.station[index])
    middle = chart.sections.mean(axis=1)
    low, high = (
        np.array([np.interp(station + step, chart.stations, middle[:, k]) for k in range(3)])
        for step in (-0.05, 0.05)
    )
    along = (reading.station - station) * float(np.linalg.norm(high - low)) / 0.1
    turn = (reading.around - float(edge.around[index]) + 0.5) % 1.0 - 0.5
    around = turn * float(chart.girth(np.array([station]))[0])
    return (
        along / max(reading.spread_along * stature, 1e-9),
        around / max(reading.spread_around * stature, 1e-9),
    )


def score_floor(sitting: Sitting, charts: Mapping[str, RegionChart]) -> list[Score]:
    """The same marks cast on the true figure through the true camera: what mark noise alone costs."""
    edges = {edge.slug: edge for edge in sitting.scene.costume}
    scores: list[Score] = []
    character = sitting.scene.character
    for picture, marks, which in zip(sitting.scene.pictures, sitting.marks, sitting.which, strict=True):
        buffer = sitting.scene.buffer(picture)
        shown: Indices | None = None
        for stretch, truth in zip(marks.edges, which, strict=True):
            edge = edges[stretch.slug]
            column, row = np.floor(stretch.points).astype(np.int64).T
            row, column = np.clip(row, 0, picture.size[1] - 1), np.clip(column, 0, picture.size[0] - 1)
            for k in np.flatnonzero(buffer.face[row, column] < 0):
                if shown is None:
                    shown = np.argwhere(buffer.face >= 0)
                row[k], column[k] = shown[((shown - (row[k], column[k])) ** 2).sum(axis=1).argmin()]
            face, weights = buffer.face[row, column], buffer.weights[row, column]
            places = (weights[..., None] * character.vertices[character.faces[face]]).sum(axis=1)
            station, around, _ = sitting.scene.charts[edge.region].chart.locate(places)
            errors = mark_errors(edge, truth, charts[edge.region].points(station, around), charts)
            scores += [
                Score(edge=edge.slug, kind=edge.kind, picture=marks.name, corner=bool(c), error=float(e))
                for e, c in zip(errors, np.isin(truth, edge.corners), strict=True)
            ]
    return scores


def score_baselines(sitting: Sitting, charts: Mapping[str, RegionChart]) -> dict[str, list[Score]]:
    """Every mark as three simpler rules would carry it; marks they cannot carry count as refused."""
    edges = {edge.slug: edge for edge in sitting.scene.costume}
    scores: dict[str, list[Score]] = {name: [] for name in NAMES}
    for marks, which in zip(sitting.marks, sitting.which, strict=True):
        if marks.view == "free":
            continue
        for stretch, truth in zip(marks.edges, which, strict=True):
            edge = edges[stretch.slug]
            for name, places in carry(marks, stretch.points, edge.region, charts, STATURE).items():
                errors = mark_errors(edge, truth, places, charts)
                scores[name] += [
                    Score(
                        edge=edge.slug,
                        kind=edge.kind,
                        picture=marks.name,
                        corner=bool(corner),
                        error=float(error),
                        refused=not np.isfinite(error),
                    )
                    for error, corner in zip(errors, np.isin(truth, edge.corners), strict=True)
                ]
    return scores


class Tally:
    """Everything scored so far."""

    def __init__(self, settings: Sequence[Setting]) -> None:
        self.settings = settings
        self.pairs = 0
        self.scores: dict[tuple[str, str], list[Score]] = defaultdict(list)
        self.anatomy: dict[tuple[str, str], list[Score]] = defaultdict(list)
        self.shapes: dict[str, list[float]] = defaultdict(list)
        self.failures: list[str] = []
        self.worst: list[tuple[float, str]] = []
        self.seconds: list[float] = []

    def add_pair(self, seed: int, model: FigureModel) -> None:
        """One character and wearer under every setting."""
        scene = random_scene(seed)
        form = wearer_form(seed)
        charts = scaled_charts(form)
        for setting in self.settings:
            sitting = sit(scene, setting, seed)
            if setting.advised:
                sitting = follow_advice(sitting, model, setting.marking, setting.advised, seed)
            # Processor time: other work on the machine does not count.
            start = time.process_time()
            try:
                result = study_with_model(sitting.marks, model)
            except LayfigureError as error:
                self.failures.append(f"{setting.name}, {scene.character.name}: {error}")
                continue
            self.seconds.append(time.process_time() - start)
            own = score_readings(sitting, result.readings, charts)
            self.scores[setting.name, "study"] += own
            self.shapes[setting.name] += shape_errors(sitting, result.readings, charts)
            if setting.name in BY_ANATOMY and same_mesh(scene, form):
                for name, theirs in score_by_anatomy(sitting, result.readings, form, charts).items():
                    self.anatomy[setting.name, name] += theirs
            for name, theirs in score_baselines(sitting, charts).items():
                self.scores[setting.name, name] += theirs
            self.scores[setting.name, "noise floor"] += score_floor(sitting, charts)
            grouped: dict[tuple[str, str], list[float]] = defaultdict(list)
            for score in own:
                grouped[score.edge, score.picture].append(score.error)
            self.worst += [
                (float(np.median(errors)), f"{setting.name}; {scene.character.name}; {edge} in {picture}")
                for (edge, picture), errors in grouped.items()
            ]
        scene.forget_buffers()
        self.pairs += 1

    def results(self) -> dict[str, Any]:
        """Plain data for study.json."""
        return {
            "pairs": self.pairs,
            "stature_of_wearer_mm": STATURE,
            "study_seconds": {
                "median": float(np.median(self.seconds)),
                "p95": float(np.percentile(self.seconds, 95)),
            },
            "failures": self.failures,
            "settings": {setting.name: self._methods(setting.name) for setting in self.settings},
            "by_anatomy": {f"{setting}: {name}": summary(s) for (setting, name), s in self.anatomy.items()},
            "window_shape_mm": {
                setting: {
                    "windows": len(errors),
                    "median": float(np.median(errors)),
                    "p95": float(np.percentile(errors, 95)),
                }
                for setting, errors in self.shapes.items()
                if errors
            },
            "worst": [f"{error:.0f} mm: {what}" for error, what in sorted(self.worst, reverse=True)[:25]],
        }

    def _methods(self, setting: str) -> dict[str, dict[str, dict[str, float]]]:
        methods: dict[str, dict[str, dict[str, float]]] = {}
        for method in ("study", "noise floor", *NAMES):
            scores = self.scores[setting, method]
            if scores:
                methods[method] = {"all": summary(scores)} | {
                    kind: summary([score for score in scores if score.kind == kind]) for kind in KINDS
                }
        return methods


_HOW_TO_READ = (
    "Distance on a wearer of 1.65 m from every mark's place to the true curve or corner, along and around",
    "together, median / 95th percentile [mm], over **all** marks, refused ones included by their best",
    "guess. Within 2 sd: share of accepted marks within two stated standard deviations, along and around.",
    "The baselines are given every landmark and outline the setting has; marks they cannot carry are left",
    "out of their numbers and counted as refused. The noise floor casts the same marks through the true",
    "camera on the true figure. 25 clicks as advised: the 16 in front and two in the side picture, and seven",
    "more, each the first that the study asks for and the picture shows. Made by",
    "`python -m benchmarks.study.run`.",
)


def as_markdown(results: Mapping[str, Any]) -> str:
    """The table that people read."""
    seconds = results["study_seconds"]
    speed = (
        f"One study takes {seconds['median']:.2f} s of one processor (median), {seconds['p95']:.2f} s (p95)"
    )
    lines = [
        "# The study against known truth",
        "",
        f"{results['pairs']} synthetic character and wearer pairs.",
        "",
        *_HOW_TO_READ,
        "",
        f"{speed}; {len(results['failures'])} studies failed.",
        "",
    ]
    for setting, methods in results["settings"].items():
        lines += [
            f"## {setting}",
            "",
            "| | all | limb edges | torso bands | windows | accepted only | refused | within 2 sd |",
            "|---|---|---|---|---|---|---|---|",
        ]
        for method, by_kind in methods.items():
            whole = by_kind["all"]
            cells = [_pair(by_kind[kind]) for kind in ("all", *KINDS)]
            cells.append(f"{whole['median_accepted']:.1f} / {whole['p95_accepted']:.1f}")
            cells.append(f"{100 * whole['refused']:.1f} %")
            covered = (
                f"{100 * whole['within_2sd_along']:.0f} %, {100 * whole['within_2sd_around']:.0f} %"
                if method == "study"
                else ""
            )
            lines.append(f"| {method} | {' | '.join(cells)} | {covered} |")
        lines.append("")
    lines += _anatomy_lines(results) + _shape_lines(results)
    if results["failures"]:
        lines += ["## Failed", "", *[f"- {failure}" for failure in results["failures"]], ""]
    lines += ["## Worst edges (median of one edge in one picture)", ""]
    lines += [f"- {line}" for line in results["worst"]]
    return "\n".join(lines) + "\n"


def _anatomy_lines(results: Mapping[str, Any]) -> list[str]:
    lines = [
        "## By anatomy",
        "",
        "Against the same point of skin, known where character and wearer are of one mesh. By anatomy: the",
        "reading carried to the tool's neutral body and with its skin to the wearer. By proportion: the same",
        "reading left where it is. Perfect reading: the true place on the character, by anatomy; what it",
        "misses lies in how skin and levels go together on a stylised body, not in the study.",
        "",
        "| | all marks | median / p95 [mm] |",
        "|---|---|---|",
    ]
    for what, numbers in results["by_anatomy"].items():
        lines.append(f"| {what} | {numbers['marks']} | {_pair(numbers)} |")
    return [*lines, ""]


def _shape_lines(results: Mapping[str, Any]) -> list[str]:
    lines = [
        "## Shapes of windows",
        "",
        "Marks of windows that one picture shows whole, off the true ones after the best turn and shift,",
        "root mean square of a window: median / p95 over windows [mm]. One pixel of the hand is about 2 mm.",
        "",
        "| | windows | median / p95 [mm] |",
        "|---|---|---|",
    ]
    for setting, numbers in results["window_shape_mm"].items():
        lines.append(f"| {setting} | {numbers['windows']} | {_pair(numbers)} |")
    return [*lines, ""]


def _pair(numbers: Mapping[str, float]) -> str:
    return f"{numbers['median']:.1f} / {numbers['p95']:.1f}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("pairs", type=int, nargs="?", default=42)
    parser.add_argument("--only", default="", help="settings whose name begins so")
    parser.add_argument("--out", type=Path, default=RESULTS)
    given = parser.parse_args()
    settings = [setting for setting in SETTINGS.values() if setting.name.startswith(given.only)]
    given.out.mkdir(parents=True, exist_ok=True)
    # As the tool itself begins.
    model = build_model(neutral_body().charts)
    tally = Tally(settings)
    for seed in range(given.pairs):
        tally.add_pair(seed, model)
        # Written after every pair: a run that is stopped leaves what it has.
        results = tally.results()
        (given.out / "study.json").write_text(json.dumps(results, indent=1) + "\n", encoding="utf-8")
        (given.out / "study.md").write_text(as_markdown(results), encoding="utf-8")
        print(f"pair {seed + 1} of {given.pairs}", flush=True)
    print(as_markdown(tally.results()))


if __name__ == "__main__":
    main()

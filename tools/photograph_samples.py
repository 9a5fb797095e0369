"""Simulate the demonstration's photographs of colours, from invented spectra.

Brindle is carved wood: painted skin shows through gold mesh in the windows, and plates of foam and the helm
are lacquered by two different hands. The script writes ``colour/*.jpg`` and ``colour/home_chart.csv``; the
truth is ``colours_truth.json``. Everything is made here, by the camera of ``benchmarks/_photographs.py``.

    python tools/photograph_samples.py [folder]
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from benchmarks._photographs import (  # noqa: E402
    Picture,
    daylight_lab,
    light_power,
    photograph,
    random_camera,
)

from layfigure.colour.cielab import lab_of_xyz, xyz_of_lab  # noqa: E402
from layfigure.colour.difference import ciede2000  # noqa: E402
from layfigure.colour.light import weights  # noqa: E402
from layfigure.colour.reflectance import plausible_reflectances, smooth_reflectance  # noqa: E402
from layfigure.colour.sheer import over  # noqa: E402

Array = NDArray[np.float64]

SEED = 1889
SIZE = (960, 640)
OPEN_MESH = 0.38
CHART = [
    (92.0, 0, 2), (80, 0, 0), (64, 0, 0), (49, 0, 0), (34, 0, 0), (20, 0, 0),
    (45, 52, 32), (66, 26, 50), (80, 4, 66), (56, -36, 30), (48, -26, -22), (34, 16, -44),
    (30, 22, 4), (72, 18, 22), (58, 14, 18), (44, 14, 20), (86, 6, 18), (38, -14, 14),
    (62, 36, 10), (26, 2, -16), (70, -20, 42), (52, 40, -12), (60, -8, -26), (36, 34, 22),
]  # fmt: skip
"""Paint chips of a home-made chart, eight columns and three rows (CIELAB, D65)."""
COLOURS = {
    "arm": (74.0, 12.0, 27.0),
    "mesh": (80.0, 4.0, 46.0),
    "lacquer": (42.0, 55.0, 38.0),
    "tan_tricot": (70.0, 13.0, 26.0),
    "sand_tricot": (78.0, 7.0, 22.0),
    "coral_tricot": (69.0, 24.0, 20.0),
    "white_card": (95.0, 0.0, 1.0),
    "black_card": (18.0, 0.0, -1.0),
}


def spectra(random: np.random.Generator) -> dict[str, Array]:
    """Every thing's reflectance."""
    names = list(COLOURS)
    drawn = plausible_reflectances(xyz_of_lab(np.array([COLOURS[name] for name in names])), random)
    things = dict(zip(names, drawn, strict=True))
    for name in ("mesh", "white_card", "black_card"):
        things[name] = smooth_reflectance(xyz_of_lab(np.array(COLOURS[name])))
    things["helm"] = metamer(things["lacquer"], random)
    for ground in ("white_card", "black_card", "arm"):
        things[f"mesh_on_{ground}"] = over(things["mesh"], things[ground], 1.0 - OPEN_MESH, 1.3)
    return things


def metamer(reflectance: Array, random: np.random.Generator) -> Array:
    """Another reflectance of the same colour in daylight: of 400 the one that differs most under lamps."""
    xyz = reflectance @ weights("D65")
    tried = plausible_reflectances(np.repeat(xyz[None], 400, axis=0), random)
    looks = lab_of_xyz(tried @ weights("LED-B3"), "LED-B3")
    here = lab_of_xyz(reflectance @ weights("LED-B3"), "LED-B3")
    return tried[int(np.argmax(ciede2000(looks, here)))]


def bench(things: dict[str, Array], chart: Array, random: np.random.Generator) -> Picture:
    """By the window: chart, grey card, and everything that must match."""
    names = ["arm", "mesh_on_white_card", "mesh_on_black_card", "white_card", "black_card", "lacquer", "helm",
             "tan_tricot", "sand_tricot", "coral_tricot"]  # fmt: skip
    laid = {name: things[name] for name in names}
    boxes = {name: (40 + (k % 5) * 110, 330 + (k // 5) * 130, 96, 110) for k, name in enumerate(names)}
    for k, reflectance in enumerate(chart):
        laid[f"patch_{k}"] = reflectance
        boxes[f"patch_{k}"] = (60 + (k % 8) * 60, 40 + (k // 8) * 85, 56, 81)
    for name, box in (("grey_left", (600, 330, 140, 110)), ("grey_right", (790, 120, 130, 110))):
        laid[name] = np.full(81, 0.18)
        boxes[name] = box
    camera = random_camera(random)
    return photograph(laid, boxes, SIZE, camera, light_power("D55"), random, slope=(0.15, -0.08), bowl=0.05)


def hall(things: dict[str, Array], random: np.random.Generator) -> Picture:
    """Under the hall's white LED lamps: plate and helm beside a grey card."""
    laid = {"lacquer": things["lacquer"], "helm": things["helm"], "grey": np.full(81, 0.18)}
    boxes = {"lacquer": (150, 200, 200, 240), "helm": (352, 200, 200, 240), "grey": (600, 220, 180, 200)}
    camera = random_camera(random)
    return photograph(laid, boxes, SIZE, camera, light_power("LED-B3"), random, slope=(0.1, 0.05))


def main() -> None:
    """Write the photographs, the chart's file and the truth."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "examples/brindle"
    (folder / "colour").mkdir(parents=True, exist_ok=True)
    random = np.random.default_rng(SEED)
    things = spectra(random)
    chart = plausible_reflectances(xyz_of_lab(np.array(CHART, dtype=np.float64)), random)
    chart[:6] = np.array([smooth_reflectance(xyz_of_lab(np.array(lab))) for lab in CHART[:6]])
    (folder / "colour/bench.jpg").write_bytes(bench(things, chart, random).jpeg(86))
    (folder / "colour/hall.jpg").write_bytes(hall(things, random).jpeg(86))
    read = daylight_lab(chart) + random.normal(0.0, 0.2, (len(chart), 3))
    lines = [
        "# A home-made chart of paint chips, read once with a borrowed instrument. Invented.",
        "name,L,a,b",
    ]
    lines += [f"chip_{k + 1},{L:.1f},{a:.1f},{b:.1f}" for k, (L, a, b) in enumerate(read)]
    (folder / "colour/home_chart.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    truth = {name: [round(float(v), 2) for v in daylight_lab(R)] for name, R in things.items()}
    truth["covered by the mesh"] = [1.0 - OPEN_MESH]
    (folder / "colours_truth.json").write_text(json.dumps(truth, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()

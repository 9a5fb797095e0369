"""How soon a dragged mark is painted, on a picture of 4000 pixels with 100 marks.

Usage: python benchmarks/marking.py

Writes benchmarks/results/marking.json. Debian's Chromium, headless, without a graphics card. ``own work`` is
what the page does between the pointer's event and the end of its drawing; ``event to paint`` runs from the
time the browser stamped on the event to the first moment after the frame that shows it. The second waits for
the machine's other work too, and is worth reading only on an idle one: the load is written beside it.
"""

from __future__ import annotations

import json
import os
import sys
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image
from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))

from tests.workroom.browser.conftest import CHROMIUM, FLAGS, served  # noqa: E402

SIZE = (3323, 4000)
STEPS = 240

LISTEN = """() => {
  const easel = document.getElementById("easel");
  window.work = []; window.paint = []; window.frames = [];
  let began = 0;
  easel.addEventListener("pointermove", (event) => { began = performance.now(); }, {capture: true});
  easel.addEventListener("pointermove", (event) => {
    const handled = performance.now() - began;
    requestAnimationFrame(() => {
      // The page asked for its frame before this one: its drawing is done by now.
      window.work.push(handled + window.drawn);
      const {port1, port2} = new MessageChannel();
      port1.onmessage = () => window.paint.push(performance.now() - event.timeStamp);
      port2.postMessage(0);
    });
  });
  let last = 0;
  const tick = (now) => {
    if (last) window.frames.push(now - last);
    last = now;
    requestAnimationFrame(tick);
  };
  requestAnimationFrame(tick);
}"""
TIMED = """(() => {
  const real = window.requestAnimationFrame.bind(window);
  window.drawn = 0;
  window.requestAnimationFrame = (call) => real((now) => {
    const start = performance.now();
    call(now);
    if (String(call).includes("#draw")) window.drawn = performance.now() - start;
  });
})()"""


def write_costume(folder: Path) -> list[float]:
    """A costume of one large picture; returns the place of the mark that is dragged."""
    example = ROOT / "examples" / "brindle"
    (folder / "references").mkdir()
    with Image.open(example / "references" / "front.png") as picture:
        picture.convert("RGB").resize(SIZE).save(folder / "references" / "big.jpg", quality=90)
    front = json.loads((example / "marks.json").read_text(encoding="utf-8"))["pictures"][0]
    factor = SIZE[1] / front["size"][1]
    points = {name: [round(factor * c, 1) for c in at] for name, at in front["landmarks"].items()}
    rng = np.random.default_rng(1)
    rest = np.round(rng.uniform(200, 3100, (100 - len(points), 2)), 1).tolist()
    big = {
        "name": "big",
        "view": "front",
        "file": "references/big.jpg",
        "size": SIZE,
        "landmarks": points,
        "outlines": [{"region": "torso", "points": rest}],
    }
    (folder / "marks.json").write_text(json.dumps({"format": 1, "pictures": [big]}), encoding="utf-8")
    (folder / "costume.toml").write_text('format = 1\nname = "Big"\n', encoding="utf-8")
    return points["crown"]


def spread(page: Page, name: str) -> dict[str, float]:
    values = page.evaluate(f"window.{name}")
    return {
        "median": round(float(np.median(values)), 2),
        "p95": round(float(np.quantile(values, 0.95)), 2),
        "count": len(values),
    }


def measured(page: Page, place: list[float]) -> dict[str, Any]:
    box = page.locator("#easel").bounding_box()
    assert box is not None
    scale = min((box["width"] - 16) / SIZE[0], (box["height"] - 16) / SIZE[1])
    x = box["x"] + (box["width"] - SIZE[0] * scale) / 2 + place[0] * scale
    y = box["y"] + (box["height"] - SIZE[1] * scale) / 2 + place[1] * scale
    found: dict[str, Any] = {}
    page.mouse.move(x, y)
    for what, (at_x, at_y) in {
        "dragging a mark": (x, y),
        "moving the picture": (box["x"] + 40, box["y"] + 40),
    }.items():
        page.mouse.move(at_x, at_y)
        page.mouse.down()
        page.evaluate("() => { window.work = []; window.paint = []; window.frames = []; }")
        for step in range(STEPS):
            page.mouse.move(at_x + 0.7 * step, at_y + 0.4 * step)
        found[what] = {
            "own work [ms]": spread(page, "work"),
            "event to paint [ms]": spread(page, "paint"),
            "frame to frame [ms]": spread(page, "frames"),
        }
        page.mouse.up()
    return found


def main() -> None:
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        place = write_costume(Path(name))
        with served(Path(name)) as address:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
            page = browser.new_page(viewport={"width": 1440, "height": 900})
            page.add_init_script(TIMED)
            page.goto(address)
            page.goto(address.split("/?")[0] + "/look/big")
            page.wait_for_function("document.querySelectorAll('#list button').length > 40")
            page.wait_for_timeout(4000)
            page.evaluate(LISTEN)
            found = measured(page, place)
            browser.close()
    found["load"] = [round(value, 1) for value in os.getloadavg()]
    path = ROOT / "benchmarks" / "results" / "marking.json"
    path.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    print(path.read_text(encoding="utf-8"))
    # The page's own share of a frame; what the machine adds is not the page's.
    assert found["dragging a mark"]["own work [ms]"]["p95"] < 16.0


if __name__ == "__main__":
    main()

"""From a key pressed to a new body on screen: the workroom in headless Chromium, without a graphics card.

Each trial types another size of one girth and takes the time from the input event to the first frame that is
presented after the body was drawn: the page hears "shown" when it has drawn, and the frame after has it on
screen. That body may be foreseen, and the one that the fit finds follows when nothing more is typed: how far
the first lay from it, and when it was presented, is told beside. The baseline of the same run is the same
page drawing the same body again, asking for no new one. The parts inside are timed too: the whole request for
a fitted body as the page sees it, and fit and foresight alone, in processor time of this process.
Run: python -m benchmarks.workroom [TRIALS]
"""

from __future__ import annotations

import json
import os
import platform
import shutil
import sys
import tempfile
import threading
import time
from pathlib import Path
from statistics import median, quantiles

import numpy as np
import uvicorn
from numpy.typing import NDArray
from playwright.sync_api import Page, sync_playwright

from layfigure.body.wearer import Wearer
from layfigure.body.wearer_file import parse_wearer
from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph
from layfigure.workroom.app import create_app
from layfigure.workroom.bodies import Bodies, ShownBody, foreseen, refit
from layfigure.workroom.edits.wearer import measured
from layfigure.workroom.guard import Keys
from layfigure.workroom.room import Room
from layfigure.workroom.serve import listening

RESULT = Path(__file__).parent / "results" / "workroom.json"
COSTUME = Path(__file__).parents[1] / "examples" / "brindle"
WEARER, GIRTH = "ostrander", "waist_girth"
TRIALS = 40
GOAL = 100.0
"""From input event to presented frame, median [ms] (DESIGN 11)."""
FLAGS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"]

ONE_BODY = """
size => new Promise(done => {
  const input = document.getElementById("reading-both-0");
  const frame = document.getElementById("body");
  const presented = then => requestAnimationFrame(() => {
    const channel = new MessageChannel();
    channel.port1.onmessage = () => then(performance.now() - began);
    channel.port2.postMessage(null);
  });
  input.value = size;
  let first = 0;
  frame.addEventListener("shown", function drawn() {
    const found = frame.dataset.found === "true";
    if (found) frame.removeEventListener("shown", drawn);
    presented(took => {
      first ||= took;
      if (found) done([first, took]);
    });
  });
  const began = performance.now();
  input.dispatchEvent(new InputEvent("input", {bubbles: true}));
})
"""
SAME_BODY = """
() => new Promise(done => {
  const canvas = document.querySelector("canvas.body-canvas");
  const frame = document.getElementById("body");
  frame.addEventListener("shown", () => requestAnimationFrame(() => {
    const channel = new MessageChannel();
    channel.port1.onmessage = () => done(performance.now() - began);
    channel.port2.postMessage(null);
  }), {once: true});
  const began = performance.now();
  canvas.dispatchEvent(new KeyboardEvent("keydown", {key: "ArrowLeft", bubbles: true}));
})
"""
ONE_REQUEST = """
async size => {
  const token = document.querySelector("meta[name=workroom-token]").content;
  const began = performance.now();
  const answer = await fetch("/api/wearers/%s/body", {method: "POST", headers: {"x-workroom-token": token,
    "content-type": "application/json"}, body: JSON.stringify({measure: "%s", readings: {both: [size]}})});
  const bytes = await answer.arrayBuffer();
  return [performance.now() - began, bytes.byteLength];
}
""" % (WEARER, GIRTH)  # noqa: UP031 - braces of the script would have to be doubled


def summary(times: list[float]) -> dict[str, float]:
    return {"median": round(median(times), 1), "p95": round(quantiles(times, n=20)[-1], 1)}


def sizes(count: int) -> list[str]:
    """Another girth every time, as somebody may type them, within 4 cm of the one taken."""
    return [f"{101.5 + 0.1 * ((7 * k) % 81 - 40):.1f}" for k in range(count)]


class Watched(Bodies):
    """Bodies on screen, which remember what skin was shown."""

    def __init__(self, graph: Graph) -> None:
        super().__init__(graph)
        self.shown: list[NDArray[np.float64]] = []

    def trial(self, wearer: Wearer, saved: Wearer, *, soon: bool = False) -> ShownBody:
        """As of ``Bodies``."""
        body = super().trial(wearer, saved, soon=soon)
        self.shown.append(body.standing.surface)
        return body


def in_the_browser(page: Page, bodies: Watched, count: int) -> dict[str, list[float]]:
    page.wait_for_selector("canvas.body-canvas")
    page.wait_for_timeout(3000)  # what the pieces need has come, and the body stands still
    for size in sizes(3):
        page.evaluate(ONE_BODY, size)
    took: dict[str, list[float]] = {name: [] for name in ("first", "found", "off", "same", "requests")}
    # Side by side, for a busy machine changes from minute to minute.
    for size in sizes(count):
        bodies.shown.clear()
        first, found = page.evaluate(ONE_BODY, size)
        took["first"].append(first)
        took["found"].append(found)
        if len(bodies.shown) > 1:
            took["off"].append(float(np.linalg.norm(bodies.shown[0] - bodies.shown[-1], axis=1).max()))
        took["same"].append(page.evaluate(SAME_BODY))
        took["requests"].append(page.evaluate(ONE_REQUEST, size)[0])
    return took


def fits(room: Room, count: int) -> dict[str, list[float]]:
    """Processor time of a fit from the saved body, and of foreseeing what it finds [ms]."""
    text = room.store.text(f"wearers/{WEARER}.toml")
    start = room.bodies.saved(parse_wearer(text))
    took: dict[str, list[float]] = {"fit": [], "foresight": []}
    for size in sizes(count):
        wearer = parse_wearer(measured(text, GIRTH, {"both": [f"{size} cm"]}, file=WEARER))
        for name, body_of in (("fit", refit), ("foresight", foreseen)):
            began = time.process_time()
            body_of(wearer, start.fit)
            took[name].append(1000.0 * (time.process_time() - began))
    return took


def main() -> int:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else TRIALS
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        print("no Chromium: install Debian's package chromium")
        return 1
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder) / "brindle"
        shutil.copytree(COSTUME, root)
        room, keys = Room(root, graph=Graph(Cache())), Keys()
        room.bodies = bodies = Watched(room.graph)
        alone = fits(room, count)
        door = listening(0, password=None)
        server = uvicorn.Server(uvicorn.Config(create_app(room, keys), log_level="warning", access_log=False))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
        thread.start()
        address = f"http://127.0.0.1:{door.getsockname()[1]}"
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium, args=FLAGS)
            page = browser.new_page(viewport={"width": 1280, "height": 900})
            page.goto(f"{address}/?key={keys.door}")
            page.goto(f"{address}/measure/{WEARER}#{GIRTH}")
            took = in_the_browser(page, bodies, count)
            version = browser.version
            browser.close()
        server.should_exit = True
        thread.join(timeout=10)
        room.close()
    result = {
        "what": "from input event to presented frame, one changed girth [ms]",
        "goal_median": GOAL,
        "new_body": summary(took["first"]),
        "of_those_foreseen": len(took["off"]),
        "foreseen_off_the_found_one_mm": {**summary(took["off"]), "most": round(max(took["off"]), 1)},
        "found_body": summary(took["found"]),
        "baseline_same_body_drawn_again": summary(took["same"]),
        "request_alone": summary(took["requests"]),
        "fit_alone_processor_time": summary(alone["fit"]),
        "foresight_alone_processor_time": summary(alone["foresight"]),
        "trials": count,
        "load_of_the_machine": [round(load, 1) for load in os.getloadavg()],
        "cores": os.cpu_count(),
        "python": platform.python_version(),
        "chromium": version,
        "graphics": "drawn by the processor (no graphics card)",
    }
    RESULT.write_text(json.dumps(result, indent=2) + "\n", encoding="utf-8")
    print(json.dumps(result, indent=2))
    return 0


if __name__ == "__main__":
    sys.exit(main())

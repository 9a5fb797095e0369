// @ts-check
// Character and wearer in space, side by side: turned together, every edge on both.

import {ask, byId, make} from "/static/room.js";
import {bodyFaces, readBody} from "/static/body_data.js";
import {showBody} from "/static/body_view.js";
import {spoken} from "/static/costume/schema.js";

/** @typedef {"character" | "wearer"} Whose */
/** @typedef {import("/static/body_data.js").Line} Line */
/** @typedef {{frame: HTMLElement, view: NonNullable<Awaited<ReturnType<typeof showBody>>>, lines: Line[]}} Stage */

export const SIDES = /** @type {Record<string, number>} */ ({front: 0, left: 90, back: 180, right: -90});
/** Both bodies, once they are there. @type {Map<Whose, Stage>} */
export const stages = new Map();
/** Lines of an edge that is being moved, in place of those that came with the bodies. @type {Record<string, Record<string, Line[]>>} */
let instead = {};
/** Edges pointed out. @type {Set<string>} */
let pointed = new Set();
/** Hears which line was clicked. @type {(slug: string) => void} */
let clicked = () => {};

/**
 * Show or renew both bodies. False where the browser cannot draw in space.
 * @param {string} wearer @param {Whose[]} whom @param {(slug: string) => void} onClick @returns {Promise<boolean>}
 */
export async function showInSpace(wearer, whom, onClick) {
  clicked = onClick;
  const faces = await bodyFaces(ask, byId("panels").dataset.version ?? "");
  const bodies = await Promise.all(whom.map(async (whose) => readBody(await ask("GET", `/api/edge/${wearer}/body/${whose}`))));
  instead = {};
  if (stages.size && [...stages.keys()].join() !== whom.join()) {
    for (const stage of stages.values()) stage.view.close();
    stages.clear();
  }
  const fresh = !stages.size;
  /** @type {HTMLElement[]} */
  const figures = [];
  for (const [k, whose] of whom.entries()) {
    const {positions, lines} = bodies[k];
    if (!positions) return false;
    const old = stages.get(whose);
    if (old) {
      old.lines = lines;
      old.view.update({positions});
      continue;
    }
    const frame = make("div", {class: "body-frame"});
    figures.push(make("figure", {class: "body"}, frame, make("figcaption", {}, whose === "wearer" ? "The wearer" : "The character")));
    byId("panels").replaceChildren(...figures);
    const view = await showBody(frame, {positions, faces, lines: [], sides: false, words: `${whose === "wearer" ? "The wearer" : "The character"} with ${lines.length} lines.`});
    if (!view) return false;
    stages.set(whose, {frame, view, lines});
    listen(frame, view);
  }
  if (fresh && stages.size > 1) turnTogether();
  lay();
  return true;
}

/** Point edges out. @param {Set<string>} names */
export function pointOut(names) {
  pointed = names;
  lay();
}

/**
 * Draw edges elsewhere than the bodies came with; nothing to draw all where they were.
 * @param {Record<string, Record<string, {closed: boolean, runs: number[][]}>>} lines by whose and slug
 */
export function layInstead(lines) {
  instead = Object.fromEntries(Object.entries(lines).map(([whose, own]) => [whose, Object.fromEntries(Object.entries(own).map(([slug, line]) => [slug,
    line.runs.map((run) => /** @type {Line} */ ({name: slug, kind: "edge", closed: line.closed, points: new Float32Array(run)}))]))]));
  lay();
}

/** Turn both to one side. @param {string} side */
export function turnBoth(side) {
  for (const {view} of stages.values()) view.turnTo({yaw: SIDES[side], pitch: 4});
}

/** Come near to an edge on both. @param {string} slug */
export function lookAtEdge(slug) {
  for (const {view} of stages.values()) view.lookAt(slug);
}

function lay() {
  for (const [whose, stage] of stages) {
    const moved = instead[whose] ?? {};
    const lines = [...stage.lines.filter((line) => !moved[line.name]), ...Object.values(moved).flat()];
    stage.view.update({lines: lines.map((line) => ({...line, kind: pointed.has(line.name) ? "tape" : "edge"})), highlight: null});
  }
}

/** What one is turned to, the other is too. */
function turnTogether() {
  const all = [...stages.values()];
  for (const {frame, view} of all) {
    frame.addEventListener("shown", () => {
      for (const other of all) {
        if (other.view === view || other.view.eye.yaw === view.eye.yaw && other.view.eye.pitch === view.eye.pitch || !view.leads) continue;
        [other.view.eye.yaw, other.view.eye.pitch] = [view.eye.yaw, view.eye.pitch];
        other.view.draw();
      }
    });
    for (const event of ["pointerdown", "keydown", "focusin"]) {
      frame.addEventListener(event, () => all.forEach((one) => { one.view.leads = one.view === view; }), true);
    }
  }
}

/** Name a line under the pointer, and hear a click on it. @param {HTMLElement} frame @param {Stage["view"]} view */
function listen(frame, view) {
  const name = make("span", {class: "line-name", hidden: true});
  frame.append(name);
  let waiting = 0;
  let down = {x: 0, y: 0};
  frame.addEventListener("pointerdown", (event) => { down = {x: event.clientX, y: event.clientY}; });
  frame.addEventListener("pointermove", (event) => {
    if (event.buttons || waiting || event.pointerType === "touch") return;
    const {clientX, clientY, target} = event;
    waiting = requestAnimationFrame(() => {
      waiting = 0;
      const found = target === view.canvas ? view.lineAt(clientX, clientY) : "";
      const box = frame.getBoundingClientRect();
      name.hidden = !found;
      name.textContent = found && spoken(found);
      name.style.left = `${clientX - box.left}px`;
      name.style.top = `${clientY - box.top}px`;
      view.canvas.style.cursor = found ? "pointer" : "";
    });
  });
  frame.addEventListener("pointerleave", () => { name.hidden = true; });
  frame.addEventListener("click", (event) => {
    if (event.target !== view.canvas || Math.hypot(event.clientX - down.x, event.clientY - down.y) > 4) return;
    const found = view.lineAt(event.clientX, event.clientY);
    if (found) clicked(found);
  });
}

// @ts-check
// An edge held and moved on the bodies, by pointer or arrow keys: its words follow, and are saved when it is let go.

import {ask, beforeSteps, byId, failed, make, Refusal, save} from "/static/room.js";
import {spoken} from "/static/costume/schema.js";
import {layInstead, pointOut, stages} from "/static/costume/space.js";

/** How far an arrow key moves an edge [mm], or its end [share round]; with Shift the finer. */
const STEP = {down: [5, 1], round: [0.01, 0.002]};
/** Keys are pressed many times: saved when they rest for so long [ms]. */
const RESTING = 900;

/** @typedef {{name: string, said: string, moves: "down" | "round", at: Record<string, number[] | null>}} Grip */
/** The edge held, as the workroom tells it. @type {any} */
let held = null;
let wearer = "";
let wanted = "";
/** @type {() => Promise<void>} */
let changed = async () => {};
/** Words of the edge as the file has them. */
let stated = "";
/** Where grips are drawn. @type {Map<string, HTMLElement>} */
const layers = new Map();
let resting = 0;
/** What words could not follow, until the edge is moved anew. */
let refused = "";
/** What keys have moved since they rested: the handle, and its name when that began. @type {{said: string, grip: string, by: number, step: number} | null} */
let keyed = null;

/** @param {{wearer: string, edges: string[], changed: () => Promise<void>}} given edges : those that can be held */
export function readyToHold(given) {
  ({wearer, changed} = given);
  const select = /** @type {HTMLSelectElement} */ (byId("held-edge"));
  select.replaceChildren(make("option", {value: ""}, "none"), ...given.edges.map((slug) => make("option", {value: slug}, spoken(slug))));
  byId("choosing").hidden = false;
  for (const [whose, stage] of stages) {
    if (layers.get(whose)?.isConnected) continue;
    const layer = make("div", {class: "body-grips"});
    stage.frame.append(layer);
    layers.set(whose, layer);
    stage.frame.addEventListener("shown", () => putGrips(whose));
    stage.frame.addEventListener("pointerdown", (event) => fromLine(event, /** @type {"wearer"} */ (whose)), true);
  }
  if (given.edges.includes(wanted)) hold(wanted);
  else letGo();
}

/** Hold an edge: one side of it, by its name on the bodies. @param {string} slug */
export async function hold(slug) {
  await finish();
  if (slug !== wanted) refused = "";
  wanted = slug;
  byId("held-edge").value = slug;
  if (!slug) {
    letGo();
    return;
  }
  try {
    const told = await ask("GET", `/api/edge/${wearer}/held/${slug}`);
    if (wanted !== slug) return;
    stated = told.words;
    show(told);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    letGo();
    byId("held-trouble").textContent = `${error.trouble.what} ${error.trouble.advice}`;
  }
}

function letGo() {
  held = null;
  wanted = "";
  byId("held-now").replaceChildren("Choose one here, or click it on a body.");
  byId("holding").hidden = true;
  byId("held-trouble").textContent = "";
  for (const layer of layers.values()) layer.replaceChildren();
}

/** @param {any} told */
function show(told) {
  held = told;
  byId("held-trouble").textContent = refused;
  pointOut(new Set(told.both ? [`${told.stated}_left`, `${told.stated}_right`] : [told.slug]));
  layInstead(told.lines);
  makeGrips();
  for (const whose of stages.keys()) putGrips(whose);
  say();
}

/** What the edge is, in words, and how else it may be said. */
function say() {
  const {words, ways, instead, checks, sure, both} = held;
  byId("held-now").replaceChildren(words ? make("strong", {id: "held-words"}, words) : "Traced on pictures.");
  byId("holding").hidden = false;
  byId("held-keys").hidden = !held.grips.length;
  /** @type {HTMLElement[]} */
  const parts = [];
  const others = Object.entries(ways).filter(([, one]) => one !== words);
  if (others.length) {
    parts.push(make("div", {class: "row"}, make("span", {class: "soft small"}, "The same place said otherwise:"),
      ...others.map(([way, one]) => make("button", {type: "button", class: "small", id: `held-as-${way}`, onclick: () => keep(/** @type {string} */ (one))}, /** @type {string} */ (one)))));
  }
  if (!words) {
    parts.push(make("p", {class: "small"}, "It is moved where it was traced, on the page Look, or said in words from now on.",
      ...(instead ? [` The nearest words lie at most ${instead.off} mm from it: `, make("q", {}, instead.words), "."] : [])));
    if (instead) parts.push(make("button", {type: "button", id: "held-instead", onclick: () => keep(instead.words, instead.side)}, "Say it in these words"));
  }
  const told = [...checks, sure].filter(Boolean).join("; ");
  parts.push(make("p", {class: "small soft"}, `${both ? "Left and right move together. " : ""}On this wearer: ${told}.`));
  byId("held-told").replaceChildren(...parts);
}

/** A handle for every place to hold the edge by; one that is there keeps its element, and with it the focus. */
function makeGrips() {
  for (const [whose, layer] of layers) {
    const old = new Map([...layer.children].map((button) => [/** @type {HTMLElement} */ (button).dataset.said, button]));
    for (const grip of /** @type {Grip[]} */ (held.grips)) {
      const button = /** @type {HTMLElement} */ (old.get(grip.said) ?? make("button", {
        type: "button", class: "grip", "data-said": grip.said, "data-moves": grip.moves, title: capital(grip.said), "aria-describedby": "held-keys",
        onpointerdown: (event) => dragged(event, named(grip.said)?.name ?? "", /** @type {"wearer"} */ (whose), named(grip.said)?.at[whose] ?? null),
        onkeydown: (event) => pressed(event, grip.said),
        onfocus: () => putGrips(whose),
        onblur: () => finish(),
      }));
      old.delete(grip.said);
      button.dataset.grip = grip.name;
      button.setAttribute("aria-label", `Move ${grip.said} of ${spoken(held.slug)}, on the ${whose}`);
      if (!button.isConnected) layer.append(button);
    }
    for (const gone of old.values()) gone.remove();
  }
}

/** @param {string | undefined} said @returns {Grip | undefined} */
const named = (said) => held?.grips.find((/** @type {Grip} */ grip) => grip.said === said);

/** Where grips are seen now. @param {string} whose */
function putGrips(whose) {
  const stage = stages.get(/** @type {"wearer"} */ (whose));
  const layer = layers.get(whose);
  if (!stage || !layer || !held) return;
  for (const button of /** @type {NodeListOf<HTMLElement>} */ (layer.querySelectorAll(".grip"))) {
    const at = named(button.dataset.said)?.at[whose];
    button.classList.toggle("away", !at || !stage.view.facesUs(at) && document.activeElement !== button);
    if (!at) continue;
    const [{x, y}] = stage.view.onScreen(at);
    button.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
  }
}

/** A line that is held is dragged by itself too. @param {PointerEvent} event @param {"wearer" | "character"} whose */
function fromLine(event, whose) {
  const view = stages.get(whose)?.view;
  if (!held?.grips.length || event.button !== 0 || !view || event.target !== view.canvas) return;
  const found = view.lineAt(event.clientX, event.clientY);
  if (!found || !(found === held.slug || held.both && found.startsWith(held.stated))) return;
  if (found !== held.slug) return;
  event.stopImmediatePropagation();
  dragged(event, "line", whose, null);
}

/**
 * From here on the edge follows the pointer, until it is let go.
 * @param {PointerEvent} event @param {string} grip @param {"wearer" | "character"} whose @param {number[] | null} at
 */
async function dragged(event, grip, whose, at) {
  if (event.button !== 0) return;
  event.preventDefault();
  const {view, frame: target} = /** @type {import("/static/costume/space.js").Stage} */ (stages.get(whose));
  // The frame stays, whatever becomes of the handle on the way.
  target.setPointerCapture(event.pointerId);
  /** @type {HTMLElement} */ (event.target).focus({preventScroll: true});
  await finish();
  const start = view.pick(event.clientX, event.clientY)?.point ?? at;
  if (!start) return;
  const words = held.words;
  /** The newest place of the pointer that was not asked about yet. @type {number[] | null} */
  let newest = null;
  let going = Promise.resolve();
  let asking = false;
  const follow = async () => {
    asking = true;
    while (newest) {
      const end = newest;
      newest = null;
      await moveTo({words, grip, track: {body: whose, start, end}});
    }
    asking = false;
  };
  const move = (/** @type {PointerEvent} */ now) => {
    const place = view.pick(now.clientX, now.clientY)?.point;
    if (!place) return;
    newest = place;
    if (!asking) going = follow();
  };
  const done = async (/** @type {Event} */ how) => {
    target.removeEventListener("pointermove", move);
    for (const name of ["pointerup", "pointercancel"]) target.removeEventListener(name, done);
    document.removeEventListener("keydown", stop, true);
    await going;
    if (how.type === "pointerup") await keep(held.words);
    else await hold(held.slug);
  };
  const stop = (/** @type {KeyboardEvent} */ key) => {
    if (key.key !== "Escape") return;
    key.preventDefault();
    done(key);
  };
  target.addEventListener("pointermove", move);
  for (const name of ["pointerup", "pointercancel"]) target.addEventListener(name, done);
  document.addEventListener("keydown", stop, true);
}

/** @param {KeyboardEvent} event @param {string} said of the handle */
async function pressed(event, said) {
  const grip = named(said);
  if (!grip) return;
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Enter") {
    event.preventDefault();
    await finish();
    return;
  }
  if (event.key === "Escape") {
    keyed = null;
    refused = "";
    clearTimeout(resting);
    await stepped();
    await hold(held.slug);
    return;
  }
  const along = grip.moves === "down" ? ["ArrowUp", "ArrowDown"] : ["ArrowLeft", "ArrowRight"];
  const way = along.indexOf(event.key);
  if (way < 0) return;
  event.preventDefault();
  const step = STEP[grip.moves][event.shiftKey ? 1 : 0] * (way ? 1 : -1);
  if (keyed?.said !== said) {
    await finish();
    keyed = {said, grip: named(said)?.name ?? grip.name, by: 0, step: Math.abs(step)};
  }
  keyed.step = Math.abs(step);
  keyed.by += step;
  refused = "";
  clearTimeout(resting);
  resting = window.setTimeout(finish, RESTING);
  steps();
}

let stepping = false;
/** Follow the keys as far as words can. */
async function steps() {
  if (stepping) return;
  stepping = true;
  let good = 0;
  for (let asked = NaN; keyed && asked !== keyed.by;) {
    asked = keyed.by;
    if (await moveTo({words: stated, grip: keyed.grip, by: asked})) good = asked;
    else {
      good = await asFar(keyed, good, asked);
      // What was pressed meanwhile counts from there.
      if (keyed) keyed.by += good - asked;
      asked = good;
    }
  }
  stepping = false;
}

/**
 * The last step that words can follow, sought by halves: how keys were bundled does not tell how far they go.
 * @param {{grip: string, step: number}} moved @param {number} good how far words can follow @param {number} past how far they cannot
 */
async function asFar({grip, step}, good, past) {
  for (let left = Math.round((past - good) / step); Math.abs(left) > 1;) {
    const half = Math.trunc(left / 2);
    if (await moveTo({words: stated, grip, by: good + half * step})) {
      good += half * step;
      left -= half;
    } else left = half;
  }
  return good;
}

/** @param {any} move @returns {Promise<boolean>} whether words could follow */
async function moveTo(move) {
  try {
    const told = await ask("POST", `/api/edge/${wearer}/held/${held.slug}`, move);
    if (!stepping) refused = "";
    show(told);
    return true;
  } catch (error) {
    if (error instanceof Refusal && error.status === 422) {
      refused = byId("held-trouble").textContent = `${capital(error.trouble.what)} ${error.trouble.advice}`;
    } else failed(error);
    return false;
  }
}

/** The answer to the last key has come: shown later, it would hide what came after. */
async function stepped() {
  while (stepping) await new Promise((resolve) => setTimeout(resolve, 10));
}

/** Save what keys have come to. */
async function finish() {
  clearTimeout(resting);
  await stepped();
  const now = keyed;
  keyed = null;
  if (now && held) await keep(held.words);
}
beforeSteps.add(finish);

/** @param {string} words @param {string} [side] what the edge must be stated for, where it is stated for none */
async function keep(words, side) {
  if (!held || !words || words === stated) return;
  try {
    stated = words;
    if (await save("PUT", `/api/costume/edges/${held.stated}`, side ? {words, side} : {words}, ["costume.toml"])) await changed();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    await hold(held.slug);
    byId("held-trouble").textContent = `${capital(error.trouble.what)} ${error.trouble.advice}`;
  }
}

/** @param {string} words */
const capital = (words) => words && words[0].toUpperCase() + words.slice(1);

// @ts-check
// Her body beside the measure: drawn in space where the browser can, as a still picture elsewhere.
// One question at a time is on its way; of what is asked meanwhile only the newest is kept.

import {ask, byId, failed, Refusal, make} from "/static/room.js";
import {bodyFaces, readBody} from "/static/body_data.js";
import {showBody} from "/static/body_view.js";

/** @typedef {"saved" | "edges" | "tape" | {measure: string, readings: Record<string, string[]>, soon: boolean}} Question */

const place = byId("measuring");
const address = `/api/wearers/${place.dataset.wearer}`;
/** @type {Awaited<ReturnType<typeof showBody>>} */
let view = null;
let still = false;
let asking = false;
/** What is still to be asked: the saved body, its edges, the tape alone, and the newest of what is typed. */
let [saved, edgesToo, tapeOnly] = [false, false, false];
/** @type {Exclude<Question, string> | null} */
let trial = null;
/** When a body that came at once, about where it will be, is asked for as it is [ms]: nothing was typed since. */
const SETTLED = 80;
let settling = 0;
/** Whether the body shown is one that is being typed, which the saved one must not replace. */
let typing = false;
/** The costume's edges, drawn with the saved body. @type {import("/static/body_data.js").Line[]} */
let edges = [];
let tape = "";
let tapeWords = "";
let name = "";
let turned = "";
let side = "both";
/** Whether her body is drawn as on a chair. */
let sitting = false;
/** What lies on the body now. @type {import("/static/body_data.js").Line[]} */
let lines = [];
/** @type {(told: Record<string, any>) => void} */
let heard = () => {};

/** @param {(told: Record<string, any>) => void} listener hears what a saved body tells: messages, average, still */
export function whenToldOfBody(listener) {
  heard = listener;
}

/** @param {string} wearer her name */
export function showWhose(wearer) {
  name = wearer;
}

/** Show where a measure's tape runs. @param {string} measure @param {string} words */
export function showTape(measure, words) {
  if (measure === tape) return;
  [tape, tapeWords] = [measure, words];
  // Before there is a body, the tape comes with it.
  tapeOnly = Boolean(view) || still;
  // What was typed and refused is left behind with its measure.
  if (typing) [saved, trial, typing] = [true, null, false];
  clearTimeout(settling);
  answerAll();
}

/** Turn to one side of a measure that is taken on each. @param {string} hand */
export function showSide(hand) {
  if (hand === side) return;
  side = hand;
  if (view && turned === tape) look();
}

/** Draw her standing, or as on a chair. @param {boolean} seated */
export function showSitting(seated) {
  if (seated === sitting) return;
  sitting = seated;
  turned = "";
  edges = [];
  if (view || still) showSaved();
}

/** One side large: of a measure taken once for both, the left, and the other side stays bright. */
function look() {
  const sides = lines.some((line) => line.name === `${tape}_left`);
  const one = side === "right" ? "_right" : "_left";
  view?.update({highlight: sides && side !== "both" ? tape + one : tape});
  view?.lookAt(sides ? tape + one : tape);
}

/** The body as it is in the file. */
export function showSaved() {
  // The edges take longer the first time, and the body need not wait for them.
  [saved, edgesToo, trial, typing] = [true, true, null, false];
  clearTimeout(settling);
  answerAll();
}

/** The body with what is being typed. @param {string} measure @param {Record<string, string[]>} readings */
export function tryOn(measure, readings) {
  if (still) return;
  [trial, typing] = [{measure, readings, soon: true}, true];
  clearTimeout(settling);
  answerAll();
}

/** @returns {Question | null} what to ask next */
function taken() {
  /** @type {Question | null} */
  const question = trial ?? (saved ? "saved" : tapeOnly ? "tape" : edgesToo && !still ? "edges" : null);
  if (question === trial) trial = null;
  else if (question === "saved") saved = false;
  else if (question === "edges") edgesToo = false;
  // Whatever is asked brings the tape along.
  tapeOnly = false;
  return question;
}

async function answerAll() {
  if (asking) return;
  asking = true;
  for (let question = taken(); question; question = taken()) {
    try {
      if (still) await showStill(question);
      else await answer(question);
    } catch (error) {
      // Half a size is no size yet; what is saved is refused where it is saved.
      const half = typeof question !== "string" && error instanceof Refusal;
      if (!half) failed(error);
    }
  }
  asking = false;
}

/** @param {Question} question */
async function answer(question) {
  const shown = tape;
  const bytes = typeof question !== "string"
    ? await ask("POST", `${address}/body`, {...question, tape, sitting})
    : await ask("GET", `${address}/body?sitting=${sitting}&tape=${tape}${{saved: "", tape: "&skin=false", edges: "&skin=false&edges=true"}[question]}`);
  const {told, positions, lines: drawn} = readBody(bytes);
  if (question === "edges") edges = drawn.filter((line) => line.kind === "edge");
  if (typeof question === "string") heard({...told, still});
  if (typeof question === "string" && typing) return;
  lines = [...edges, ...drawn.filter((line) => line.kind === "tape")];
  const words = said(told.average);
  if (view) view.update({positions: positions ?? undefined, lines, words});
  else if (positions) {
    view = await showBody(byId("body"), {positions, faces: await bodyFaces(ask, place.dataset.version ?? ""), lines, words});
    still = !view;
    if (still) await showStill("saved");
  }
  if (view && turned !== shown && shown === tape) {
    turned = shown;
    look();
  }
  if (typeof question === "string") return;
  // What is typed should be seen as soon as it can be.
  byId("body").dataset.found = told.found;
  view?.drawNow();
  if (told.found || !typing || trial) return;
  settling = setTimeout(() => {
    trial ??= {...question, soon: false};
    answerAll();
  }, SETTLED);
}

/** @param {Question} question */
async function showStill(question) {
  const told = question === "saved" ? readBody(await ask("GET", `${address}/body?tape=${tape}`)).told : null;
  // Asked for anew each time: the body at this address changes.
  const picture = make("img", {src: `${address}/picture?tape=${tape}&now=${Date.now()}`, alt: said(Boolean(told?.average)), class: "body-still"});
  byId("body").replaceChildren(picture);
  if (told) heard({...told, still});
}

/** @param {boolean} average */
function said(average) {
  const whose = average ? "An average body, nobody's yet." : `The body of ${name}.`;
  return tapeWords ? `${whose} The bright line shows where to measure the ${tapeWords}.` : whose;
}

// @ts-check
// Her body beside the measure: drawn in space where the browser can, as a still picture elsewhere.
// One question at a time is on its way; of what is asked meanwhile only the newest is kept.

import {ask, byId, failed, Refusal, make} from "/static/room.js";
import {bodyFaces, readBody} from "/static/body_data.js";
import {showBody} from "/static/body_view.js";

/** @typedef {{how: "saved"} | {how: "tape"} | {how: "trial", measure: string, readings: Record<string, string[]>}} Question */

const place = byId("measuring");
const address = `/api/wearers/${place.dataset.wearer}`;
/** @type {Awaited<ReturnType<typeof showBody>>} */
let view = null;
let still = false;
let asking = false;
/** @type {Question | null} */
let newest = null;
/** The costume's edges, drawn with the saved body. @type {import("/static/body_data.js").Line[]} */
let edges = [];
let tape = "";
let tapeWords = "";
let name = "";
let turned = "";
/** @type {(told: Record<string, any>) => void} */
let heard = () => {};

/** @param {(told: Record<string, any>) => void} listener hears what a saved body tells: messages, average */
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
  wonder({how: "tape"});
}

/** The body as it is in the file. */
export function showSaved() {
  wonder({how: "saved"});
}

/** The body with what is being typed. @param {string} measure @param {Record<string, string[]>} readings */
export function tryOn(measure, readings) {
  if (!still) wonder({how: "trial", measure, readings});
}

/** @param {Question} question */
function wonder(question) {
  // A tape alone is shown with whatever body is asked for anyway.
  if (!(question.how === "tape" && newest)) newest = question;
  if (!asking) answerAll();
}

async function answerAll() {
  asking = true;
  while (newest) {
    const question = newest;
    newest = null;
    try {
      if (still) await showStill(question);
      else await answer(question);
    } catch (error) {
      // Half a size is no size yet; what is saved is refused where it is saved.
      if (!(error instanceof Refusal && question.how === "trial")) {
        if (error instanceof Refusal) place.dispatchEvent(new CustomEvent("nobody", {detail: error}));
        else failed(error);
      }
    }
  }
  asking = false;
}

/** @param {Question} question */
async function answer(question) {
  const shown = tape;
  const blob = question.how === "trial"
    ? await ask("POST", `${address}/body`, {measure: question.measure, readings: question.readings, tape})
    : await ask("GET", `${address}/body?tape=${tape}${question.how === "saved" ? "&edges=true" : "&skin=false"}`);
  const body = readBody(await blob.arrayBuffer());
  if (question.how === "saved") edges = body.lines.filter((line) => line.kind === "edge");
  const lines = [...edges, ...body.lines.filter((line) => line.kind === "tape")];
  const words = said(body.told.average);
  if (!view && body.positions) {
    view = await showBody(byId("body"), {positions: body.positions, faces: await bodyFaces(ask, place.dataset.version ?? ""), lines, words});
    still = !view;
    if (still) await showStill(question);
  } else view?.update({positions: body.positions ?? undefined, lines, words});
  if (view && turned !== shown && shown === tape) {
    turned = shown;
    if (shown) view.lookAt(shown);
  }
  if (question.how !== "trial") heard(body.told);
}

/** @param {Question} question */
async function showStill(question) {
  const saved = question.how === "saved" ? readBody(await (await ask("GET", `${address}/body?tape=${tape}`)).arrayBuffer()) : null;
  // Asked for anew each time: the body at this address changes.
  const picture = make("img", {src: `${address}/picture?tape=${tape}&now=${Date.now()}`, alt: said(Boolean(saved?.told.average)), class: "body-still"});
  byId("body").replaceChildren(picture);
  if (saved) heard(saved.told);
}

/** @param {boolean} average */
function said(average) {
  const whose = average ? "An average body, nobody's yet." : `The body of ${name}.`;
  return tapeWords ? `${whose} The bright line shows where to measure the ${tapeWords}.` : whose;
}

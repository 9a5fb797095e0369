// @ts-check
// The measure that is being taken: its readings, left and right, and what is guessed in its place.

import {byId, make} from "/static/room.js";
import {capital, guessWords, pieceWords, withWhat} from "/static/measure/words.js";

/** @typedef {import("/static/measure/words.js").Measure} Measure */

/** @type {Measure | null} */
let shown = null;
let apart = false;
let second = false;
/** @type {() => void} */
let heard = () => {};

/** @type {(hand: string) => void} */
let sided = () => {};

/** @param {() => void} typing called with every change of a reading @param {(hand: string) => void} at with the side whose reading is come to */
export function whenTyped(typing, at) {
  [heard, sided] = [typing, at];
}

/**
 * Show a measure to take.
 * @param {Measure} measure @param {string} next what comes after, in words
 */
export function showMeasure(measure, next) {
  const other = shown?.name !== measure.name;
  shown = measure;
  if (other) {
    apart = "left" in measure.readings || "right" in measure.readings;
    second = Object.values(measure.readings).some((sizes) => sizes.length > 1);
    trouble("");
  }
  byId("measure-title").textContent = capital(measure.words);
  byId("measure-place").textContent = `${capital(measure.place)}.`;
  byId("measure-with").textContent = withWhat(measure);
  byId("measure-pieces").textContent = measure.pieces.length ? `Asked for by: ${pieceWords(measure.pieces)}.` : "";
  const guess = guessWords(measure);
  byId("measure-guess").hidden = !guess;
  byId("measure-guess").textContent = guess ? `${capital(guess)} until you take it.` : "";
  byId("keep").textContent = next ? `Keep, then ${next}` : "Keep";
  byId("take-away").hidden = !Object.keys(measure.readings).length;
  inputs(measure, readings(other ? measure : null));
}

/** Show what the file says, whatever is typed. */
export function forget() {
  shown = null;
}

/** What is typed now, or stands in the file. @param {Measure | null} [of] @returns {Record<string, string[]>} */
export function readings(of = null) {
  if (of) return of.readings;
  /** @type {Record<string, string[]>} */
  const typed = {};
  for (const input of allInputs()) (typed[input.dataset.hand ?? "both"] ??= []).push(input.value.trim());
  return Object.fromEntries(Object.entries(typed).map(([hand, sizes]) => [hand, sizes.filter(Boolean)]));
}

/** @returns {HTMLInputElement[]} */
export const allInputs = () => [...byId("readings").querySelectorAll("input[data-hand]")];

/** @param {string} words */
export function trouble(words) {
  byId("measure-trouble").textContent = words;
  for (const input of allInputs()) {
    if (words) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  }
}

export function askForSecond() {
  if (!shown) return;
  second = true;
  inputs(shown, readings());
  allInputs()[1]?.focus();
}

/** @param {Measure} measure @param {Record<string, string[]>} typed */
function inputs(measure, typed) {
  const hands = measure.paired && apart ? ["left", "right"] : ["both"];
  const filled = Object.fromEntries(hands.map((hand) => [hand, typed[hand] ?? typed.both ?? typed.left ?? typed.right ?? []]));
  const most = Math.max(second ? 2 : 1, ...Object.values(filled).map((sizes) => sizes.length));
  const focused = /** @type {HTMLElement | null} */ (document.activeElement)?.id;
  byId("readings").replaceChildren(
    ...hands.map((hand) => make("div", {class: "hand", role: "group", "aria-label": hand === "both" ? measure.words : `${hand} ${measure.words}`},
      ...(hand === "both" ? [] : [make("span", {class: "hand-name"}, capital(hand))]),
      make("div", {class: "hand-readings"}, ...Array.from({length: most}, (_, k) => reading(measure, hand, k, filled[hand][k] ?? ""))))),
    ...(measure.paired ? [sidesChoice(measure)] : []),
  );
  byId("second").hidden = most > 1;
  if (focused) document.getElementById(focused)?.focus();
}

/** @param {Measure} measure @param {string} hand @param {number} k @param {string} size */
function reading(measure, hand, k, size) {
  const id = `reading-${hand}-${k}`;
  const which = k === 0 ? "" : k === 1 ? ", second reading" : ", third reading";
  const side = hand === "both" ? "" : `${hand} `;
  return make("div", {class: "reading"},
    make("label", {for: id, class: "unseen"}, `${capital(side + measure.words)}${which}, in ${unitWords(measure.unit)}`),
    make("input", {id, "data-hand": hand, value: bare(size, measure.unit), autocomplete: "off", inputmode: measure.unit === "in" ? "text" : "decimal",
      maxlength: "40", "aria-describedby": "measure-place measure-guess measure-trouble", oninput: heard, onfocus: () => sided(hand)}),
    make("span", {class: "unit", "aria-hidden": "true"}, measure.unit));
}

/** @param {Measure} measure */
function sidesChoice(measure) {
  return make("label", {class: "check sides"},
    make("input", {type: "checkbox", id: "apart", checked: apart, onchange: (/** @type {any} */ event) => {
      apart = event.target.checked;
      inputs(measure, readings());
      heard();
    }}), "Left and right differ");
}

/** The unit stands beside the input; a size in another keeps its own. @param {string} size @param {string} unit */
const bare = (size, unit) => (size.endsWith(` ${unit}`) && !/[a-z'"]/i.test(size.slice(0, -unit.length - 1)) ? size.slice(0, -unit.length - 1) : size);

/** @param {string} unit */
const unitWords = (unit) => ({cm: "centimetres", in: "inches, fractions as 24 1/2", kg: "kilograms", lb: "pounds"})[unit] ?? unit;

// @ts-check
// Every measure at a glance: taken, or guessed and marked as a guess.

import {byId, make} from "/static/room.js";
import {capital, guessWords, inShort, isTaken} from "/static/measure/words.js";

/** @typedef {import("/static/measure/words.js").Measure} Measure */

/** @param {Measure[]} measures @param {string[]} next @param {string} current @param {(name: string) => void} choose */
export function showAll(measures, next, current, choose) {
  const taken = measures.filter((measure) => Object.keys(measure.readings).length);
  const wanted = /** @type {Measure[]} */ (next.map((name) => measures.find((measure) => measure.name === name)).filter((measure) => measure && !taken.includes(measure)));
  const others = measures.filter((measure) => !taken.includes(measure) && !wanted.includes(measure));
  byId("all-summary").textContent = `All measures: ${taken.length} taken, ${measures.length - taken.length} guessed`;
  const groups = /** @type {const} */ ([["What the pieces need, the most helpful first", wanted], ["Taken", taken], ["Everything else", others]]);
  byId("all-list").replaceChildren(...groups.filter(([, some]) => some.length).map(([title, some]) =>
    make("section", {class: "measure-group"}, make("h2", {}, title),
      make("ul", {class: "plain measure-list"}, ...some.map((measure) => row(measure, current, choose))))));
}

/** @param {Measure} measure @param {string} current @param {(name: string) => void} choose */
function row(measure, current, choose) {
  const guess = isTaken(measure) ? "" : guessWords(measure);
  return make("li", {},
    make("button", {type: "button", class: "measure-row", "aria-current": measure.name === current ? "true" : undefined, onclick: () => choose(measure.name)},
      make("span", {class: "row-name"}, capital(measure.words)),
      make("span", {class: "row-size"},
        ...(inShort(measure) ? [make("span", {class: "number"}, inShort(measure))] : []),
        ...(guess ? [make("span", {class: "guess small"}, guess)] : []))));
}

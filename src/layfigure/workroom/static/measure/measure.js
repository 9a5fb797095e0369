// @ts-check
// One wearer, one measure at a time.

import {ask, byId, failed, make, news, quiet, Refusal, save} from "/static/room.js";
import {about} from "/static/measure/about.js";
import {showAll} from "/static/measure/all_measures.js";
import {showSaved, showTape, showWhose, tryOn, whenToldOfBody} from "/static/measure/live_body.js";
import {allInputs, askForSecond, readings, showMeasure, trouble, whenTyped} from "/static/measure/one_measure.js";
import {namedIn, spoken} from "/static/measure/words.js";

/** @typedef {import("/static/measure/words.js").Measure} Measure */

const address = `/api/wearers/${byId("measuring").dataset.wearer}`;
/** @type {any} */
let wearer = null;
let current = "";
/** Measures passed over in this sitting. @type {Set<string>} */
const skipped = new Set();

/** @param {string} name @returns {Measure} */
const measureOf = (name) => wearer.measures.find((/** @type {Measure} */ measure) => measure.name === name);

/** What to take after a measure: the most helpful that was not passed over. @param {string} name */
const after = (name) => wearer.next.find((/** @type {string} */ other) => other !== name && !skipped.has(other)) ?? "";

async function load() {
  try {
    wearer = await ask("GET", address);
  } catch (error) {
    if (error instanceof Refusal && error.status === 404) location.assign("/measure");
    else failed(error);
    return;
  }
  if (!measureOf(current)) current = after("") || wearer.next[0] || wearer.measures[0].name;
  show();
}

function show() {
  byId("whose").textContent = wearer.name;
  byId("how-measured").textContent = `${wearer.posture === "seated" ? "measured sitting" : "measured standing"}, ${wearer.unit === "in" ? "in inches" : "in centimetres"}`;
  document.title = `${wearer.name}: measure`;
  showWhose(wearer.name);
  const asked = wearer.measures.filter((/** @type {Measure} */ measure) => measure.pieces.length);
  const done = asked.filter((/** @type {Measure} */ measure) => !wearer.next.includes(measure.name)).length;
  byId("how-far").textContent = !asked.length
    ? "The costume has no pieces yet: these measures serve every piece."
    : wearer.next.length ? `${done} of the ${asked.length} measures that the pieces need are taken. The rest is guessed meanwhile.` : "Every measure that the pieces need is taken.";
  const next = after(current);
  showMeasure(measureOf(current), next ? measureOf(next).words : "");
  showAll(wearer.measures, wearer.next, current, (name) => choose(name, true));
  about(wearer, reload);
  showTape(current, measureOf(current).words);
}

async function reload() {
  await load();
  showSaved();
}

/** @param {string} name @param {boolean} [focus] */
function choose(name, focus = false) {
  current = name;
  history.replaceState(null, "", `#${name}`);
  show();
  if (!focus) return;
  byId("measure-title").scrollIntoView({block: "nearest"});
  allInputs()[0]?.focus();
}

/** Save what is typed, if it is another than before. @returns {Promise<boolean>} whether all is well */
async function keep() {
  const measure = measureOf(current);
  const typed = readings();
  if (same(typed, measure)) {
    trouble("");
    return true;
  }
  return write(measure.name, typed);
}

/** @param {string} name @param {Record<string, string[]>} typed */
async function write(name, typed) {
  try {
    const answer = await save("PUT", `${address}/measures/${name}`, {readings: typed}, [wearer.file]);
    trouble("");
    await reload();
    return answer !== null;
  } catch (error) {
    if (!(error instanceof Refusal) || error.status !== 422) {
      failed(error);
      return false;
    }
    quiet();
    if (name === current) trouble(`${spoken(error.trouble.what)} ${spoken(error.trouble.advice)}`);
    return false;
  }
}

/** @param {Record<string, string[]>} typed @param {Measure} measure */
function same(typed, measure) {
  const kept = (/** @type {Record<string, string[]>} */ some) => JSON.stringify(Object.entries(some)
    .filter(([, sizes]) => sizes.length).map(([hand, sizes]) => [hand, sizes.map((size) => (/^[\d\s.,/½¼¾⅛⅜⅝⅞]+$/.test(size) ? `${size} ${measure.unit}` : size).replaceAll(/\s+/g, " "))]).sort());
  return kept(typed) === kept(measure.readings);
}

byId("measure-form").addEventListener("submit", async (/** @type {Event} */ event) => {
  event.preventDefault();
  const [from, next] = [current, after(current)];
  const typed = Object.values(readings()).some((sizes) => sizes.length);
  if (!typed && !Object.keys(measureOf(from).readings).length) {
    trouble("Type the size first, or skip this one.");
    allInputs()[0]?.focus();
    return;
  }
  if (await keep() && current === from && next) choose(next, true);
});
byId("measure-form").addEventListener("change", () => keep());
whenTyped(() => {
  trouble("");
  tryOn(current, readings());
});
byId("skip").addEventListener("click", () => {
  skipped.add(current);
  const next = after(current);
  if (next) choose(next, true);
  else {
    skipped.clear();
    choose(after(current) || current, true);
  }
});
byId("second").addEventListener("click", askForSecond);
byId("take-away").addEventListener("click", () => write(current, {}));

whenToldOfBody(({messages = [], average}) => {
  byId("body-words").textContent = average
    ? "Nobody's body yet: an average one. The first tape begins to make it hers."
    : "The bright line is where the tape runs. Turn the body with a finger, the mouse or the arrow keys.";
  byId("doubts").hidden = !messages.length;
  byId("doubt-list").replaceChildren(...messages.map((/** @type {string} */ message) => {
    const measure = namedIn(message, wearer.measures);
    return make("li", {class: "note doubt"}, make("span", {}, spoken(message)),
      ...(measure ? [make("button", {type: "button", class: "quiet", onclick: () => choose(measure.name, true)}, `Look at ${measure.words}`)] : []));
  }));
});
byId("measuring").addEventListener("nobody", (/** @type {any} */ event) => failed(event.detail));
for (const happened of ["files", "undone"]) news.addEventListener(happened, reload);

current = location.hash.slice(1);
await load();
if (wearer) {
  showSaved();
  allInputs()[0]?.focus({preventScroll: true});
}

// @ts-check
// One wearer, one measure at a time.

import {ask, byId, failed, make, news, quiet, Refusal, save} from "/static/room.js";
import {about} from "/static/measure/about.js";
import {showAll} from "/static/measure/all_measures.js";
import {showSaved, showSide, showSitting, showTape, showWhose, tryOn, whenToldOfBody} from "/static/measure/live_body.js";
import {allInputs, askForSecond, forget, readings, showMeasure, trouble, whenTyped} from "/static/measure/one_measure.js";
import {namedIn, spoken} from "/static/measure/words.js";

/** @typedef {import("/static/measure/words.js").Measure} Measure */

const address = `/api/wearers/${byId("measuring").dataset.wearer}`;
/** @type {any} */
let wearer = null;
let current = "";
/** Somebody who sits is shown so, until she is asked to be shown standing. */
let seatedShown = true;
/** Measures passed over in this sitting. @type {Set<string>} */
const skipped = new Set();

/** @param {string} name @returns {Measure} */
const measureOf = (name) => wearer.measures.find((/** @type {Measure} */ measure) => measure.name === name);

/** What to take after a measure: the most helpful that was not passed over. @param {string} name */
const after = (name) => wearer.next.find((/** @type {string} */ other) => other !== name && !skipped.has(other)) ?? "";

/** The newest question for the wearer: an older answer must not come after a newer. */
let loading = new AbortController();

/** @param {boolean} [pieces] whether to wait for what the pieces need */
async function load(pieces = true) {
  loading.abort();
  const own = loading = new AbortController();
  try {
    wearer = await ask("GET", pieces ? address : `${address}?pieces=false`, undefined, own.signal);
  } catch (error) {
    if (own.signal.aborted) return;
    if (error instanceof Refusal && error.status === 404) location.assign("/measure");
    else failed(error);
    return;
  }
  if (!measureOf(current)) current = "";
  // Nothing before the stature, whatever the pieces need; after it they decide.
  const first = pieces || wearer.next[0] === "stature" || wearer.next[0] === "sitting_height";
  if (!current && first) current = after("") || wearer.next[0] || wearer.measures[0].name;
  show(pieces);
}

/** @param {boolean} [complete] whether it is known what the pieces need */
function show(complete = true) {
  byId("whose").textContent = wearer.name;
  byId("how-measured").textContent = `${wearer.posture === "seated" ? "measured sitting" : "measured standing"}, ${wearer.unit === "in" ? "in inches" : "in centimetres"}`;
  document.title = `${wearer.name}: measure`;
  showWhose(wearer.name);
  byId("posture").hidden = wearer.posture !== "seated";
  showSitting(wearer.posture === "seated" && seatedShown);
  const asked = wearer.measures.filter((/** @type {Measure} */ measure) => measure.pieces.length);
  const done = asked.filter((/** @type {Measure} */ measure) => !wearer.next.includes(measure.name)).length;
  byId("one-measure").classList.toggle("looking", !current);
  byId("how-far").textContent = !complete
    ? "Looking at what the pieces need…"
    : !asked.length
    ? "The costume has no pieces yet: these measures serve every piece."
    : wearer.next.length ? `${done} of the ${asked.length} measures that the pieces need are taken. The rest is guessed meanwhile.` : "Every measure that the pieces need is taken.";
  about(wearer, reload);
  if (!current) return;
  const next = after(current);
  showMeasure(measureOf(current), next ? measureOf(next).words : "");
  showAll(wearer.measures, wearer.next, current, (name) => choose(name, true));
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

/** Edits go one after the other: Enter both changes a field and sends the form. @type {Promise<boolean>} */
let writing = Promise.resolve(true);

/** Save what is typed, if it is another than before. @returns {Promise<boolean>} whether all is well */
function keep() {
  const name = current;
  return inTurn(async () => {
    const typed = readings();
    if (name !== current) return true;
    if (!same(typed, measureOf(name))) return write(name, typed);
    trouble("");
    return true;
  });
}

/** Another hand's edit was chosen over this one: there is something to look at before going on. */
let stay = false;

/** @param {() => Promise<boolean>} edit */
function inTurn(edit) {
  writing = writing.then(edit);
  return writing;
}

/** @param {string} name @param {Record<string, string[]>} typed */
async function write(name, typed) {
  try {
    const answer = await save("PUT", `${address}/measures/${name}`, {readings: typed}, [wearer.file]);
    trouble("");
    if (answer === null) {
      forget();
      stay = true;
    }
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
  stay = false;
  if (await keep() && !stay && current === from && next) choose(next, true);
});
byId("measure-form").addEventListener("change", () => keep());
whenTyped(() => {
  trouble("");
  tryOn(current, readings());
}, (hand) => showSide(hand));
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
byId("take-away").addEventListener("click", () => {
  const name = current;
  for (const input of allInputs()) input.value = "";
  inTurn(() => write(name, {}));
});

whenToldOfBody(({messages, average, still}) => {
  byId("body-words").classList.toggle("average", average);
  byId("body-words").textContent = average
    ? "Nobody's body yet: an average one. The first tape begins to make it hers."
    : `The bright line is where the tape runs${wearer.posture !== "seated" ? "" : seatedShown ? ", on her body as she sits; cloth is drafted on the bent body" : ", on her body as it would stand"}.${still ? "" : " Turn the body with a finger, the mouse or the arrow keys."}`;
  byId("doubts").hidden = !messages.length;
  byId("doubt-list").replaceChildren(...messages.map((/** @type {string} */ message) => {
    const measure = namedIn(message, wearer.measures);
    return make("li", {class: "note doubt"}, make("span", {}, spoken(message)),
      ...(measure ? [make("button", {type: "button", class: "quiet", onclick: () => choose(measure.name, true)}, `Look at ${measure.words}`)] : []));
  }));
});
news.addEventListener("undone", () => {
  forget();
  reload();
});
news.addEventListener("files", () => {
  // Another hand has been at a file; what is half typed here stays.
  if (wearer && current && same(readings(), measureOf(current))) forget();
  reload();
});

current = location.hash.slice(1);
await load(false);
if (wearer) {
  showSaved();
  allInputs()[0]?.focus({preventScroll: true});
  // The question for the body goes first; this one may take its time.
  const chosen = Boolean(current);
  await load();
  if (!chosen) allInputs()[0]?.focus({preventScroll: true});
}

for (const button of byId("posture").querySelectorAll("button")) {
  button.addEventListener("click", () => {
    seatedShown = button.value === "sitting";
    for (const other of byId("posture").querySelectorAll("button")) other.setAttribute("aria-pressed", String(other === button));
    show();
    showSaved();
  });
}

// @ts-check
// One picture, large: marks are set, moved and taken away, and everything is kept as it happens.

import {ask, beforeSteps, byId, failed, make, news, ready} from "/static/room.js";
import {Canvas, LINE_REACH} from "./canvas.js";
import {keepFocus} from "./focus.js";
import {nextPoint, showGuide} from "./guide.js";
import {listen} from "./hands.js";
import {Keeping} from "./keeping.js";
import {showLines} from "./lines.js";
import {markWords, showList} from "./list.js";
import {Marks} from "./marks.js";
import {showOutlines} from "./outlines.js";
import {pointOrder} from "./points.js";
import {Sure} from "./sure.js";
import {pictureWords, VIEWS} from "./words.js";

/** @typedef {[number, number]} Place */

const name = byId("marking").dataset.picture;
const easel = /** @type {HTMLElement} */ (byId("easel"));
const canvas = new Canvas(easel, byId("ground"), byId("over"));
canvas.called = (mark) => (canvas.marks ? markWords(mark, canvas.marks) : "");
const keeping = new Keeping(name, () => sure.read());
beforeSteps.add(() => keeping.finish());
const sure = new Sure(byId("sure-words"), name, found, go);

/** @type {any} all that the workroom says of the picture */
let data = null;
/** @type {any} what the marks say */
let study = null;
/** @type {Marks} */
let marks;
let asked = "";
let hidden = false;
let stretch = 0;
/** @type {Set<string>} */
const later = new Set();

const next = () => study?.next ?? [];
const guideAsked = () => ({name, view: data.marks.view, marks, all: data.landmarks, next: next(), later, asked});

/** How many edits were made on this page. */
let edits = 0;

async function load() {
  let read;
  let seen;
  do {
    // An answer that an edit has overtaken would take the edit off the page again.
    await keeping.finish();
    seen = edits;
    read = await ask("GET", `/api/marks?picture=${encodeURIComponent(name)}`);
    if (hands.busy) await hands.free();
  } while (seen !== edits || !keeping.done);
  data = read;
  const first = !marks;
  marks = new Marks(data.marks, data.marks.size);
  canvas.marks = marks;
  canvas.ground.size = data.marks.size;
  if (first || canvas.ground.whole) canvas.ground.showWhole();
  if (canvas.chosen && !marks.at(canvas.chosen)) canvas.chosen = "";
  byId("view-words").textContent = VIEWS[data.marks.view] ?? "";
  byId("other-pictures").replaceChildren(...data.pictures.filter((/** @type {string} */ other) => other !== name)
    .map((/** @type {string} */ other) => make("a", {href: `/look/${encodeURIComponent(other)}`}, pictureWords(other))));
  showAll();
  sure.read(first ? 0 : 300);
}

async function loadPicture() {
  byId("no-picture").hidden = !data.missing;
  if (data.missing) return;
  const blob = await ask("GET", `/api/pictures/image?picture=${encodeURIComponent(name)}`);
  canvas.take(await createImageBitmap(blob));
}

/** @param {any} result */
function found(result) {
  study = result;
  const figure = result.pictures[name] ?? null;
  byId("figure").disabled = !figure;
  showFigure();
  // Nothing is said of lines there that the study knows, and somebody may be filling in a form.
  if (canvas.kind !== "lines") keepFocus(byId("guide"), writeGuide);
  writeList();
  // Come from another picture, for the click that helps most.
  const helps = next().find((/** @type {any} */ click) => click.picture === name);
  if (location.hash === "#helps" && helps) {
    history.replaceState(null, "", location.pathname);
    go(helps);
  }
}

/** Ask for the click that would help. @param {any} click */
function go(click) {
  canvas.chosen = "";
  canvas.kind = click.landmark ? "points" : "outlines";
  if (click.landmark) asked = click.landmark;
  else {
    canvas.region = click.region;
    hidden = false;
  }
  showAll();
  canvas.expected = click.place;
  if (canvas.ground.scale < 2 * canvas.ground.least) canvas.ground.zoom(2 * canvas.ground.least / canvas.ground.scale);
  canvas.ground.centre(click.place);
  canvas.show();
  easel.scrollIntoView({block: "nearest"});
  easel.focus({preventScroll: true});
}

function showFigure() {
  const shown = byId("figure").getAttribute("aria-pressed") === "true";
  canvas.figure = shown ? study?.pictures[name] ?? null : null;
  canvas.showMarks();
}

function writeGuide() {
  const box = byId("guide");
  canvas.expected = null;
  if (canvas.kind === "points") {
    canvas.expected = nextPoint(guideAsked()).place;
    showGuide(box, guideAsked(), {
      unseen: (point) => {
        marks.landmarks[point] = null;
        asked = "";
        changed(`say that the ${markWords(`point ${point}`, marks).toLowerCase()} cannot be seen`);
      },
      later: (point) => {
        later.add(point);
        asked = "";
        keepFocus(box, writeGuide);
        canvas.showMarks();
      },
      ask: (point) => {
        asked = point;
        keepFocus(box, writeGuide);
        canvas.showMarks();
      },
    });
  } else if (canvas.kind === "outlines") {
    const helps = next().find((/** @type {any} */ click) => click.picture === name && click.region && !click.landmark) ?? null;
    canvas.expected = helps && helps.region === canvas.region ? helps.place : null;
    showOutlines(box, {regions: data.regions, region: canvas.region, hidden, next: helps}, {
      region: (chosen) => {
        canvas.region = chosen;
        canvas.chosen = "";
        showAll();
      },
      hidden: (is) => {
        hidden = is;
        showAll();
      },
    });
  } else {
    showLines(box, {lines: data.lines, slug: canvas.slug, stretch, marks, regions: data.regions, chosen: canvas.chosen}, {
      line: (slug) => {
        canvas.slug = slug;
        stretch = 0;
        canvas.chosen = "";
        showAll();
      },
      stretch: (number) => {
        stretch = number;
        canvas.chosen = "";
        showAll();
      },
      change: changed,
      begun: async (slug) => {
        await load();
        canvas.slug = slug;
        stretch = 0;
        canvas.chosen = "";
        showAll();
        easel.focus();
      },
      corner: turnCorner,
      between: putBetween,
    });
  }
}

/** @type {Record<string, string>} */
const KIND = {points: "point", outlines: "outline", lines: "line"};

function shownMarks() {
  const all = marks.names(canvas.kind);
  if (canvas.kind === "points") {
    const {first, more, rest} = pointOrder(data.marks.view, Object.keys(data.landmarks));
    const order = [...first, ...more, ...rest].map((point) => `point ${point}`);
    return all.sort((a, b) => order.indexOf(a) - order.indexOf(b));
  }
  if (canvas.kind === "lines" && canvas.slug) return all.filter((mark) => mark.startsWith(`line ${canvas.slug} `));
  if (canvas.kind === "outlines") return all.filter((mark) => marks.outlines[+mark.split(" ")[1]].region === canvas.region);
  return all;
}

/** What the study says of single marks of this picture. */
function advice() {
  /** @type {Map<string, string>} */
  const said = new Map();
  /** @type {Record<string, string[]>} */
  const names = {};
  for (const mark of marks.names("lines")) (names[mark.split(" ")[1]] ??= []).push(mark);
  /** @type {Record<string, number>} */
  const seen = {};
  for (const reading of study?.study?.marks ?? []) {
    if (reading.picture !== name) continue;
    seen[reading.edge] = (seen[reading.edge] ?? -1) + 1;
    const mark = names[reading.edge]?.[seen[reading.edge]];
    if (mark && reading.advice) said.set(mark, reading.advice);
  }
  return said;
}

function writeList() {
  const unseen = canvas.kind === "points" ? Object.keys(marks.landmarks).filter((point) => !marks.landmarks[point]) : [];
  keepFocus(byId("list"), () => showList(byId("list"), marks, shownMarks(), {chosen: canvas.chosen, unseen, advice: advice()}, {
    choose: (mark) => choose(mark, true),
    seen: (point) => {
      delete marks.landmarks[point];
      asked = point;
      changed(`ask for the ${markWords(`point ${point}`, marks).toLowerCase()} again`);
    },
  }));
  const chosen = byId("chosen");
  chosen.hidden = !canvas.chosen;
  if (canvas.chosen) {
    keepFocus(chosen, () => chosen.replaceChildren(
      make("p", {}, make("strong", {}, markWords(canvas.chosen, marks)), make("span", {class: "soft"}, ": arrow keys move it, or drag it.")),
      make("button", {type: "button", id: "remove", onclick: remove}, "Take it away")));
  }
}

function showAll() {
  byId("marking").dataset.kind = canvas.kind;
  for (const button of document.querySelectorAll("[data-mode]")) {
    button.setAttribute("aria-pressed", String(/** @type {HTMLElement} */ (button).dataset.mode === canvas.kind));
  }
  keepFocus(byId("guide"), writeGuide);
  writeList();
  canvas.showMarks();
}

/** Say for those who do not see it. @param {string} words */
function tell(words) {
  byId("easel-said").textContent = words;
}

/** The marks are others now: keep them. @param {string} what @param {string} [same] */
function changed(what, same = "") {
  edits += 1;
  keeping.keep(what.slice(0, 140), marks.copy(), same);
  showAll();
}

/** @param {string} mark @param {boolean} [reveal] */
function choose(mark, reveal = false) {
  if (mark === canvas.chosen && !reveal) return;
  canvas.chosen = mark;
  const parts = mark.split(" ");
  if (parts[0] === "line") {
    canvas.slug = parts[1];
    stretch = +parts[2];
  }
  if (parts[0] === "outline") canvas.region = marks.outlines[+parts[1]]?.region ?? canvas.region;
  const place = marks.at(mark);
  if (reveal && place) canvas.ground.reveal(place);
  if (reveal) canvas.show();
  showAll();
}

/** Set the next mark. @param {Place} at */
function set(at) {
  if (canvas.kind === "points") {
    const point = nextPoint(guideAsked()).name;
    if (!point) return;
    marks.landmarks[point] = marks.inside(at);
    asked = "";
    canvas.chosen = `point ${point}`;
  } else if (canvas.kind === "outlines") {
    canvas.chosen = marks.addOutline(canvas.region, hidden, at);
  } else {
    const line = data.lines.find((/** @type {any} */ one) => one.slug === canvas.slug || one.group === canvas.slug);
    if (!line || line.words !== null) {
      tell("Choose a line first, or begin a new one.");
      byId("line")?.focus();
      return;
    }
    canvas.chosen = marks.addLine(canvas.slug, stretch, at, LINE_REACH.mouse / canvas.ground.scale, []);
    stretch = +canvas.chosen.split(" ")[2];
  }
  const words = markWords(canvas.chosen, marks);
  changed(`mark ${words[0].toLowerCase()}${words.slice(1)}`);
  if (canvas.kind === "points") {
    const point = nextPoint(guideAsked()).name;
    tell(`${words} is set. ${point ? `Next: ${markWords(`point ${point}`, marks)}.` : ""}`);
  }
}

function remove() {
  if (!canvas.chosen) return;
  const words = markWords(canvas.chosen, marks);
  marks.remove(canvas.chosen);
  canvas.chosen = "";
  tell(`${words} is taken away.`);
  changed(`take away ${words[0].toLowerCase()}${words.slice(1)}`);
}

function turnCorner() {
  const [kind, slug, number, index] = canvas.chosen.split(" ");
  if (kind !== "line") return;
  const run = marks.edges[slug][+number];
  run.corners = run.corners.includes(+index) ? run.corners.filter((corner) => corner !== +index) : [...run.corners, +index].sort((a, b) => a - b);
  changed(`make a corner of ${slug.replaceAll("_", " ")}`);
}

/** A point between the chosen one and the next; arrow keys then move it. */
function putBetween() {
  if (!canvas.chosen.startsWith("line ")) return;
  const mark = marks.putAfter(canvas.chosen);
  if (!mark) {
    tell("No point follows this one: choose the one before it.");
    return;
  }
  canvas.chosen = mark;
  isPut(mark);
  easel.focus({preventScroll: true});
}

/** A point was put into a line. @param {string} mark */
function isPut(mark) {
  const words = markWords(mark, marks);
  tell(`${words} is put in between.`);
  changed(`put in ${words[0].toLowerCase()}${words.slice(1)}`);
}

const hands = listen(canvas, {
  choose: (mark) => choose(mark),
  drag: (mark, to) => marks.move(mark, to),
  dropped: (mark) => {
    const words = markWords(mark, marks);
    changed(`move ${words[0].toLowerCase()}${words.slice(1)}`);
  },
  set,
  taken: (mark, back) => marks.move(mark, back),
  draw: ({slug, number, index, at}) => {
    const mark = marks.putIn(slug, number, index, at);
    choose(mark);
    return mark;
  },
  put: isPut,
  untake: (mark) => {
    marks.remove(mark);
    canvas.chosen = "";
    showAll();
  },
});

/** @type {Record<string, Place>} */
const ARROWS = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]};

/** @param {KeyboardEvent} event */
function pressed(event) {
  if (event.ctrlKey || event.metaKey) return;
  const inPicture = document.activeElement === easel;
  const arrow = ARROWS[event.key];
  if (arrow && inPicture && (event.altKey || hands.space)) {
    canvas.ground.pan(-60 * arrow[0], -60 * arrow[1]);
    canvas.show();
  } else if (arrow && canvas.chosen) {
    const place = /** @type {Place} */ (marks.at(canvas.chosen));
    const far = event.shiftKey ? 10 : 1;
    marks.move(canvas.chosen, [place[0] + far * arrow[0], place[1] + far * arrow[1]]);
    canvas.ground.reveal(/** @type {Place} */ (marks.at(canvas.chosen)));
    canvas.show();
    const words = markWords(canvas.chosen, marks);
    changed(`move ${words[0].toLowerCase()}${words.slice(1)}`, `nudge ${canvas.chosen}`);
    const [x, y] = /** @type {Place} */ (marks.at(canvas.chosen));
    tell(`${Math.round(x)}, ${Math.round(y)}`);
  } else if (arrow && inPicture) {
    canvas.ground.pan(-60 * arrow[0], -60 * arrow[1]);
    canvas.show();
  } else if (event.key === "Insert") putBetween();
  else if ((event.key === "Delete" || event.key === "Backspace") && canvas.chosen) remove();
  else if (!inPicture) return;
  else if (event.key === "Enter") set(canvas.ground.place([canvas.ground.window[0] / 2, canvas.ground.window[1] / 2]));
  else if (event.key === "+" || event.key === "=") zoom(1.25);
  else if (event.key === "-") zoom(0.8);
  else if (event.key === "0") whole();
  else if (event.key === "Escape") choose("");
  else return;
  event.preventDefault();
}
easel.addEventListener("keydown", pressed);
byId("list").addEventListener("keydown", pressed);

/** @param {number} factor */
function zoom(factor) {
  const chosen = canvas.chosen ? marks.at(canvas.chosen) : null;
  canvas.ground.zoom(factor, chosen ? canvas.ground.spot(chosen) : undefined);
  canvas.show();
}

function whole() {
  canvas.ground.showWhole();
  canvas.show();
}

byId("nearer").addEventListener("click", () => zoom(1.4));
byId("farther").addEventListener("click", () => zoom(1 / 1.4));
byId("whole").addEventListener("click", whole);
byId("figure").addEventListener("click", () => {
  byId("figure").setAttribute("aria-pressed", String(byId("figure").getAttribute("aria-pressed") !== "true"));
  showFigure();
});
for (const button of /** @type {NodeListOf<HTMLButtonElement>} */ (document.querySelectorAll("[data-mode]"))) {
  button.addEventListener("click", () => {
    canvas.kind = button.dataset.mode ?? "points";
    if (canvas.chosen && !canvas.chosen.startsWith(KIND[canvas.kind])) canvas.chosen = "";
    showAll();
  });
}

const again = () => load().catch(failed);
news.addEventListener("undone", again);
news.addEventListener("files", async (event) => {
  const files = /** @type {CustomEvent<string[]>} */ (event).detail;
  if (!files.some((file) => file === "marks.json" || file === "costume.toml")) return;
  await keeping.finish();
  again();
});
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "hidden") keeping.finish();
});
window.addEventListener("beforeunload", (event) => {
  // Only while something is on its way to the disk: a second at most.
  if (!keeping.done) event.preventDefault();
});

try {
  await ready;
  await load();
  await loadPicture();
} catch (error) {
  failed(error);
}

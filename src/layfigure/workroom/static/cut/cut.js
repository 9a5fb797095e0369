// @ts-check
// The cutting table: every piece for one wearer, one at a time and large.

import {ask, byId, failed, make, news, save} from "/static/room.js";
import {pageTask, told} from "/static/page_task.js";
import {openCloth} from "/static/cut/cloth.js";
import {openPaper} from "/static/cut/paper.js";
import {drawRuler} from "/static/cut/ruler.js";
import {found, nameOf, showShelf} from "/static/cut/shelf.js";
import {parsed} from "/static/cut/svg.js";
import {dress, showSwitches, thicken} from "/static/cut/switches.js";
import {pieceView, TRUE_SIZE} from "/static/cut/view.js";
import {openSits} from "/static/cut/sits.js";
import {pieceWords, sitsWords} from "/static/cut/words.js";

let wearer = byId("table").dataset.wearer;
/** @type {import("/static/cut/switches.js").Inks} */
let inks = {};
/** Pieces with their statements, in the order worn. @type {{piece: any, statement: any}[]} */
let pieces = [];
let chosen = decodeURIComponent(location.hash.slice(1));
/** Which drawing is on the table, so that the same one is not drawn again. */
let drawn = "";
/** @type {SVGSVGElement | null} */
let drawing = null;

const view = pieceView(byId("stage"), () => drawing, (state) => {
  drawRuler(byId("ruler"), state, byId("ruler-unit").value);
  if (drawing) thicken(drawing, inks, state.scale);
  const share = state.scale / TRUE_SIZE;
  byId("scale").textContent = Math.abs(share - 1) < 0.005 ? "true size" : `${share < 0.1 ? (share * 100).toFixed(1) : Math.round(share * 100)} % of true size`;
});

const run = pageTask("drafting", "draft");
const draft = () => run(() => ask("POST", `/api/draft/${wearer}`), load, "Reading the files…");

/** Show what was drafted last; draft again where the files moved on. */
async function load() {
  const table = await ask("GET", `/api/table/${wearer}`);
  show(table);
  if (!table.drafted) await draft();
}

/** @param {any} table */
function show(table) {
  if (!byId("ruler-unit").dataset.chosen) byId("ruler-unit").value = table.unit;
  const worn = [...table.statements].sort((a, b) => a.layer - b.layer);
  pieces = worn.flatMap((statement) => statement.pieces.map((/** @type {any} */ piece) => ({piece, statement})));
  const undrawn = worn.filter((statement) => !statement.pieces.length && statement.remarks.length);
  showTold(table, undrawn);
  byId("bench").hidden = !pieces.length;
  byId("print-all").disabled = !pieces.length;
  if (!pieces.length) {
    told(undrawn.length ? "" : "There is no piece to cut yet: add one on the page Costume.");
    return;
  }
  if (!pieces.some(({piece}) => piece.slug === chosen)) chosen = pieces[0].piece.slug;
  showPiece();
}

/** What a changed measure did to what is cut, and what could not be drawn. @param {any} table @param {any[]} undrawn */
function showTold(table, undrawn) {
  const cut = pieces.filter(({piece}) => piece.cut);
  const off = cut.filter(({piece}) => piece.cut.state !== "holds");
  const holds = cut.length - off.length;
  const lines = [];
  if (off.length || table.gone.length) {
    lines.push(make("section", {class: "note spoiled-list"},
      make("h2", {}, off.length ? (off.length === 1 ? "1 cut piece no longer fits" : `${off.length} cut pieces no longer fit`) : "Cut, and no longer part of the costume"),
      make("ul", {class: "plain"},
        ...off.map(({piece}) => make("li", {}, make("button", {type: "button", class: "quiet link", onclick: () => choose(piece.slug, true)}, nameOf(piece)), ` ${piece.cut.words}`)),
        ...table.gone.map((/** @type {any} */ gone) => make("li", {}, `${gone.label}: ${gone.words}`))),
      make("p", {}, holds === 0 ? "No other piece is cut." : holds === 1 ? "1 other cut piece still holds." : `${holds} other cut pieces still hold.`)));
  }
  if (table.cut_trouble) lines.push(make("p", {class: "note"}, `${table.cut_trouble.where}: ${table.cut_trouble.what} ${table.cut_trouble.advice}`));
  for (const statement of undrawn) lines.push(make("p", {class: "note"}, make("strong", {}, `${statement.label} `), `(${statement.where}) `, statement.remarks.join(" ")));
  byId("spoiled").replaceChildren(...lines);
}

const here = () => /** @type {{piece: any, statement: any}} */ (pieces.find(({piece}) => piece.slug === chosen));

async function showPiece() {
  const {piece, statement} = here();
  byId("piece-title").textContent = nameOf(piece);
  byId("piece-what").textContent = `Cut ${piece.count} from ${piece.cloth || "what you have"}`;
  byId("piece-words").replaceChildren(...pieceWords(piece, statement));
  byId("drawing").setAttribute("aria-label", `${nameOf(piece)}, as it is cut`);
  showMark();
  showShelf(pieces, chosen, (slug) => choose(slug, true));
  history.replaceState(null, "", `#${encodeURIComponent(chosen)}`);
  const wanted = `${wearer} ${piece.slug} ${piece.fingerprint}`;
  if (wanted === drawn) return;
  try {
    const blob = await ask("GET", `/api/drawings/${wearer}/${piece.slug}.svg`);
    const text = await blob.text();
    if (here().piece !== piece) return;
    drawn = wanted;
    const svg = parsed(text);
    const [, , width, height] = (svg.getAttribute("viewBox") ?? "0 0 100 100").split(" ").map(Number);
    svg.setAttribute("width", "100%");
    svg.setAttribute("height", "100%");
    drawing = svg;
    svg.dataset.whole = svg.getAttribute("viewBox") ?? "";
    dress(svg, inks);
    showSwitches(byId("switches"), svg, inks);
    byId("drawing").replaceChildren(svg);
    view.opened({width, height});
    await openCloth(wearer ?? "", piece.slug, svg, () => drawing === svg);
  } catch (error) {
    failed(error);
  }
}

function showMark() {
  const {piece} = here();
  byId("mark").setAttribute("aria-pressed", String(Boolean(piece.cut)));
  byId("mark").replaceChildren(...(piece.cut ? ["Cut", make("span", {class: "wide-only"}, ": take the mark off")] : ["Mark as cut"]));
  byId("cut-standing").replaceChildren(...(piece.cut ? [make("p", {class: piece.cut.state === "holds" ? "note held" : "note"}, piece.cut.words,
    ...(piece.cut.state === "holds" ? [] : [" ", make("button", {type: "button", class: "quiet link", onclick: () => mark(true)}, "It is cut anew as drawn here")]))] : []));
  const shown = found(pieces);
  const at = shown.findIndex((one) => one.piece.slug === chosen);
  byId("previous").disabled = at <= 0;
  byId("next").disabled = at === shown.length - 1;
}

/** @param {string} slug @param {boolean} [read] move to its name, for those who hear the page */
function choose(slug, read = false) {
  chosen = slug;
  showPiece();
  if (read) byId("piece-title").focus({preventScroll: window.innerWidth > 900});
}

/** @param {number} by */
function step(by) {
  const shown = found(pieces);
  const at = shown.findIndex(({piece}) => piece.slug === chosen);
  const next = shown[at < 0 ? 0 : at + by];
  if (next) choose(next.piece.slug);
}

/** @param {boolean} cut */
async function mark(cut) {
  const {piece} = here();
  const name = `wearers/${wearer}.cut.json`;
  try {
    const answer = await save("POST", `/api/cut/${wearer}`, {piece: piece.slug, cut, fingerprint: piece.fingerprint}, [name]);
    if (answer) piece.cut = answer.cut;
    await load();
  } catch (error) {
    failed(error);
  }
}

byId("sits-open").addEventListener("click", () => {
  const {piece, statement} = here();
  openSits({wearer: wearer ?? "", piece, name: statement.label, words: sitsWords(statement)});
});

async function begin() {
  const known = await ask("GET", "/api/cut");
  inks = known.inks;
  if (!known.wearers.length) {
    byId("bench").hidden = true;
    told("There is nobody to cut for yet: take a few tapes on the page Measure.");
    return;
  }
  if (!known.wearers.includes(wearer)) wearer = known.wearers[0];
  byId("for-whom").hidden = known.wearers.length < 2;
  byId("wearer").replaceChildren(...known.wearers.map((/** @type {string} */ name) => make("option", {value: name}, name)));
  byId("wearer").value = wearer;
  await draft();
}

byId("wearer").addEventListener("change", () => {
  wearer = byId("wearer").value;
  drawn = "";
  history.replaceState(null, "", `/cut/${wearer}`);
  draft();
});
byId("search").addEventListener("input", () => {
  showShelf(pieces, chosen, (slug) => choose(slug, true));
  showMark();
});
byId("previous").addEventListener("click", () => step(-1));
byId("next").addEventListener("click", () => step(1));
byId("mark").addEventListener("click", () => mark(!here().piece.cut));
byId("print-one").addEventListener("click", () => openPaper({wearer, pieces, chosen}, "one"));
byId("print-all").addEventListener("click", () => openPaper({wearer, pieces, chosen}, "all"));
byId("closer").addEventListener("click", view.closer);
byId("farther").addEventListener("click", view.farther);
byId("whole").addEventListener("click", view.fit);
byId("true-size").addEventListener("click", view.trueSize);
byId("ruler-unit").addEventListener("change", () => {
  byId("ruler-unit").dataset.chosen = "yes";
  view.again();
});

/** Files changed here or elsewhere: the table follows. */
async function follow() {
  try {
    await ask("GET", "/api/cut");
    await load();
  } catch {
    // Nothing drafted yet, or a file that cannot be read: drafting says which.
    await begin().catch(failed);
  }
}
news.addEventListener("files", follow);
news.addEventListener("undone", follow);

begin().catch(failed);

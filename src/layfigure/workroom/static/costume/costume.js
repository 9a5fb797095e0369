// @ts-check
// The costume: character and wearer with the same lines, pieces in the order worn, edges in words.

import {ask, byId, failed, make, news, quiet, Refusal, save} from "/static/room.js";
import {openAdding} from "/static/costume/adding.js";
import {drawBodies, pointAt, whenMoved} from "/static/costume/bodies.js";
import {beside} from "/static/costume/fields.js";
import {pieceForm} from "/static/costume/piece_form.js";
import {knowMeasures} from "/static/costume/tables.js";
import {FORMS, spoken} from "/static/costume/schema.js";

const FILES = ["costume.toml"];
/** @type {any} */
let costume = null;
/** @type {any[]} */
let kinds = [];
let open = decodeURIComponent(location.hash.slice(1));
let wearer = "";

/** Read the costume again and show it where the maker was. @param {boolean} [moved] whether lines may have moved */
async function load(moved = true) {
  costume = await ask("GET", "/api/costume");
  quiet();
  if (!costume.wearers.includes(wearer)) wearer = costume.wearers[0] ?? "";
  byId("for-whom").hidden = costume.wearers.length < 2;
  byId("wearer").replaceChildren(...costume.wearers.map((/** @type {string} */ name) => make("option", {value: name}, name)));
  byId("wearer").value = wearer;
  keepingPlace(() => {
    showPieces();
    showEdges();
  });
  if (moved) drawBodies(wearer);
}

/** Draw forms anew, and give back the focus and what was unfolded. @param {() => void} draw */
function keepingPlace(draw) {
  const focused = document.activeElement?.id;
  const unfolded = [...document.querySelectorAll(".pieces details[open] > summary")].map((summary) => summary.textContent);
  draw();
  for (const summary of document.querySelectorAll(".pieces details > summary")) {
    if (unfolded.includes(summary.textContent)) summary.parentElement?.setAttribute("open", "");
  }
  if (focused) document.getElementById(focused)?.focus({preventScroll: true});
}

function showPieces() {
  const worn = [...costume.pieces].sort((a, b) => (a.layer ?? 0) - (b.layer ?? 0));
  byId("pieces-count").textContent = worn.length ? `${worn.length === 1 ? "1 piece" : `${worn.length} pieces`}, from the skin outward.` : "None yet. Add the first one.";
  byId("pieces").replaceChildren(...worn.map((piece) => {
    const kind = kinds.find((one) => one.name === piece.kind);
    const cloth = costume.cloths.find((/** @type {any} */ one) => one.slug === piece.cloth);
    const shown = piece.slug === open;
    const what = [[piece.kind, formOf(piece)].filter(Boolean).join(", "), cloth?.name, piece.side === "both" ? "left and right" : piece.side].filter(Boolean).join(" · ");
    const head = make("button", {type: "button", class: "piece-open", id: `open-${piece.slug}`, "aria-expanded": String(shown), onclick: () => toggle(piece)},
      make("span", {class: "layer number", title: "Layer, counted from the skin"}, String(piece.layer ?? 0)),
      make("span", {class: "piece-name"}, piece.label || spoken(piece.slug), make("small", {class: "soft"}, what)));
    return make("li", {}, make("h3", {}, head), ...(shown && kind ? [pieceForm(piece, kind, costume, editOf(piece))] : []));
  }));
}

/** Which of its kind a piece is, where it says so. @param {any} piece */
function formOf(piece) {
  const name = FORMS.find((key) => typeof piece.options?.[key] === "string");
  return name ? piece.options[name].replaceAll("_", " ") : "";
}

/** @param {any} piece */
function toggle(piece) {
  open = open === piece.slug ? "" : piece.slug;
  history.replaceState(null, "", open ? `#${encodeURIComponent(open)}` : location.pathname);
  keepingPlace(showPieces);
  pointAt(open ? [...Object.values(piece.edges ?? {}), ...(piece.windows ?? [])] : []);
}

/** @param {any} piece */
function editOf(piece) {
  return {
    set: async (/** @type {(string | number)[]} */ path, /** @type {any} */ value) => {
      await save("POST", `/api/costume/pieces/${piece.slug}`, {path, value}, FILES);
      await load(path[0] === "edges" || path[0] === "side");
    },
    reword,
    remove: async () => {
      try {
        await save("POST", `/api/costume/pieces/${piece.slug}/remove`, {}, FILES);
        open = "";
        await load(false);
        byId("add").focus();
      } catch (error) {
        failed(error);
      }
    },
  };
}

/** @param {string} slug @param {string} words */
async function reword(slug, words) {
  await save("PUT", `/api/costume/edges/${slug}`, {words}, FILES);
  await load();
}

function showEdges() {
  const marked = costume.edges.filter((/** @type {any} */ edge) => edge.words === null);
  byId("edges").replaceChildren(...costume.edges.filter((/** @type {any} */ edge) => edge.words !== null).map(edgeRow));
  byId("marked-edges").hidden = !marked.length;
  byId("marked-count").textContent = marked.length === 1 ? "1 edge is marked on pictures" : `${marked.length} edges are marked on pictures`;
  byId("marked-list").replaceChildren(...marked.map(edgeRow));
}

/** @param {any} edge */
function edgeRow(edge) {
  const id = `edge-${edge.slug}`;
  const words = make("input", {id, value: edge.words ?? "", autocomplete: "off", "aria-describedby": `${id}-trouble`,
    placeholder: edge.words === null ? "marked on pictures; words would take their place" : "", onfocus: () => pointAt([edge.slug]),
    onchange: () => beside(words, () => (words.value.trim() ? reword(edge.slug, words.value.trim()) : Promise.resolve()))});
  const side = edge.side === "middle" ? "" : edge.side === "both" ? ", left and right" : `, ${edge.side}`;
  const bounds = edge.bounds.map((/** @type {string} */ slug) => costume.pieces.find((/** @type {any} */ piece) => piece.slug === slug)?.label || spoken(slug));
  return make("li", {},
    make("label", {for: id}, `${spoken(edge.slug)}${side}`, make("span", {class: "hint"}, bounds.length ? `bounds ${bounds.join(", ")}` : "bounds no piece")),
    words,
    make("button", {type: "button", class: "quiet", "aria-label": `Remove the edge ${spoken(edge.slug)}`, onclick: async () => {
      await beside(words, () => save("POST", `/api/costume/edges/${edge.slug}/remove`, {}, FILES).then(() => load()));
    }}, "Remove"),
    make("p", {class: "bad beside", id: `${id}-trouble`, role: "alert"}));
}

byId("new-edge").addEventListener("submit", async (/** @type {Event} */ event) => {
  event.preventDefault();
  const name = byId("new-edge-name").value.trim().toLowerCase().replace(/[^a-z0-9]+/g, "_").replace(/^[_0-9]+|_+$/g, "");
  const words = byId("new-edge-words").value.trim();
  const side = byId("new-edge-side").value;
  const place = byId("new-edge-trouble");
  if (!name || !words) place.textContent = "It needs a name and words.";
  else if (costume.edges.some((/** @type {any} */ edge) => edge.slug === name)) place.textContent = "There is an edge of that name already.";
  else {
    try {
      await save("PUT", `/api/costume/edges/${name}`, {words, side: side === "middle" ? null : side}, FILES);
      place.textContent = "";
      byId("new-edge").reset();
      await load();
      pointAt([name]);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      place.textContent = `${error.trouble.what} ${error.trouble.advice}`;
    }
  }
});

byId("add").addEventListener("click", () => openAdding({costume, kinds, done: async (slug) => {
  open = slug;
  await load();
  document.getElementById(`open-${slug}`)?.focus();
}}));
byId("wearer").addEventListener("change", () => {
  wearer = byId("wearer").value;
  drawBodies(wearer);
});
whenMoved(() => load());
const follow = () => load().catch(failed);
news.addEventListener("files", follow);
news.addEventListener("undone", follow);

try {
  // The list first: all kinds together take a moment to be read.
  const asked = ask("GET", "/api/kinds");
  await load();
  const known = await asked;
  ({kinds} = known);
  knowMeasures(known.measures);
  byId("add").disabled = false;
  keepingPlace(showPieces);
} catch (error) {
  failed(error);
}

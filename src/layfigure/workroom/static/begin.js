// @ts-check
// One piece now: a few tapes, the piece as it will be, a pattern to print.

import {ask, byId, failed, finished, make, news, Refusal} from "/static/room.js";

/** @typedef {{kind: string, summary: string, tapes: Record<string, string>}} Recipe */
/** @type {Recipe[]} */
let recipes = [];
/** @type {AbortController | null} */
let asking = null;
let drawnAddress = "";

/** @param {string} name */
const spoken = (name) => {
  const words = name.replaceAll("_", " ");
  return words[0].toUpperCase() + words.slice(1);
};

function shownRecipe() {
  return recipes.find((recipe) => recipe.kind === byId("kind").value);
}

function showTapes() {
  const recipe = shownRecipe();
  if (!recipe) return;
  byId("kind-summary").textContent = recipe.summary;
  byId("tapes").replaceChildren(
    ...Object.entries(recipe.tapes).map(([name, place]) =>
      make("div", {class: "field"},
        make("label", {for: `tape-${name}`}, spoken(name), make("span", {class: "hint"}, place)),
        make("input", {id: `tape-${name}`, name, autocomplete: "off", placeholder: "24 cm or 9 1/2 in", oninput: wait}))),
  );
  byId("drawing").replaceChildren();
  byId("remarks").replaceChildren();
  byId("ready-files").replaceChildren();
  byId("quick-trouble").textContent = "";
  byId("sheets").textContent = "Type the tapes, and the piece is drawn here.";
  byId("make").disabled = true;
}

function typed() {
  const recipe = shownRecipe();
  const tapes = Object.fromEntries(Object.keys(recipe?.tapes ?? {}).map((name) => [name, byId(`tape-${name}`).value]));
  return {kind: byId("kind").value, tapes, paper: byId("paper").value};
}

let timer = 0;
/** Draw again once the maker stops typing. */
function wait() {
  clearTimeout(timer);
  timer = window.setTimeout(draw, 250);
}

async function draw() {
  const wanted = typed();
  byId("make").disabled = true;
  byId("ready-files").replaceChildren();
  if (Object.values(wanted.tapes).some((size) => !size.trim())) return;
  asking?.abort();
  asking = new AbortController();
  for (const name of Object.keys(wanted.tapes)) byId(`tape-${name}`).removeAttribute("aria-invalid");
  try {
    const seen = await ask("POST", "/api/quick/look", wanted, asking.signal);
    byId("quick-trouble").textContent = "";
    URL.revokeObjectURL(drawnAddress);
    drawnAddress = URL.createObjectURL(new Blob([seen.svg], {type: "image/svg+xml"}));
    byId("drawing").replaceChildren(make("img", {src: drawnAddress, alt: ""}));
    const paper = byId("paper").selectedOptions[0].textContent;
    byId("sheets").textContent = `Prints on ${seen.sheets === 1 ? "1 sheet" : `${seen.sheets} sheets`}: ${paper}. `
      + seen.pieces.map((/** @type {any} */ piece) => `${piece.label}, cut ${piece.count}`).join("; ") + ".";
    byId("remarks").replaceChildren(...seen.remarks.map((/** @type {string} */ line) => make("p", {class: "note"}, line)));
    byId("make").disabled = false;
  } catch (error) {
    if (error instanceof Refusal && error.status === 422) {
      const field = document.getElementById(`tape-${error.trouble.where}`);
      field?.setAttribute("aria-invalid", "true");
      const where = field ? `${spoken(error.trouble.where)}: ` : "";
      byId("quick-trouble").textContent = `${where}${error.trouble.what} ${error.trouble.advice}`;
    } else failed(error);
  }
}

async function makeNow() {
  byId("make").disabled = true;
  byId("making").hidden = false;
  try {
    const result = await finished(await ask("POST", "/api/quick", typed()));
    byId("ready-files").replaceChildren(
      make("p", {class: "good"}, `Ready: ${result.sheets === 1 ? "1 sheet" : `${result.sheets} sheets`}. Print at 100 %, then measure the test square before you cut.`),
      make("ul", {}, ...result.files.map((/** @type {any} */ file) => make("li", {}, make("a", {class: "button", href: file.address, target: "_blank", rel: "noopener"}, fileWords(file.name))))),
    );
  } catch (error) {
    failed(error);
  } finally {
    byId("making").hidden = true;
    byId("make").disabled = false;
  }
}

/** @param {string} name */
function fileWords(name) {
  if (name.endsWith(".pdf")) return "Open the pattern to print";
  return `The pieces as ${name.split(".").pop()?.toUpperCase()}`;
}

byId("kind").addEventListener("change", showTapes);
byId("paper").addEventListener("change", draw);
byId("make").addEventListener("click", makeNow);
byId("quick").addEventListener("submit", (/** @type {Event} */ event) => { event.preventDefault(); draw(); });

/** @param {number} count @param {string} one @param {string} [many] */
const counted = (count, one, many = `${one}s`) => `${count} ${count === 1 ? one : many}`;

/** How far the costume is, and what comes next. */
async function showStanding() {
  try {
    const far = await ask("GET", "/api/standing");
    const tapes = Object.entries(far.tapes).map(([name, taken]) => `${name}: ${counted(taken, "tape")}`);
    byId("so-far").replaceChildren(
      make("li", {}, make("a", {href: "/look"}, "Look"), `${counted(far.pictures, "picture")}, ${counted(far.marks, "point")} of the body set, ${counted(far.edges, "edge")}`),
      make("li", {}, make("a", {href: "/measure"}, "Measure"), tapes.join("; ") || "nobody yet"),
      make("li", {}, make("a", {href: "/costume"}, "Costume"), counted(far.pieces, "piece stated", "pieces stated")),
    );
    byId("next").textContent = far.next.words;
    byId("next").href = `/${far.next.moment}`;
    const more = byId("remarks-of-costume");
    more.hidden = !far.remarks.length;
    more.querySelector("summary").textContent = counted(far.remarks.length, "thing to look at", "things to look at");
    more.querySelector("ul").replaceChildren(...far.remarks.map((/** @type {string} */ line) => make("li", {}, line)));
    byId("standing").hidden = false;
  } catch (error) {
    failed(error);
  }
}
news.addEventListener("files", showStanding);
news.addEventListener("undone", showStanding);
showStanding();

try {
  ({recipes} = await ask("GET", "/api/recipes"));
  byId("kind").replaceChildren(...recipes.map(({kind}) => make("option", {value: kind}, spoken(kind))));
  byId("kind").value = "forearm_guard";
  showTapes();
} catch (error) {
  failed(error);
}

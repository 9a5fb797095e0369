// @ts-check
// Buying: the list by errand and seller, the layouts it comes from, make or buy, another material tried.

import {ask, byId, failed, make, news} from "/static/room.js";
import {capital, pageTask, told} from "/static/page_task.js";

let wearer = byId("buying").dataset.wearer;
/** @type {{slug: string, name: string, material: string}[]} */
let pieces = [];
/** @type {Record<string, string>} */
let materials = {};
const run = pageTask("listing", "buy", {patient: true});

const list = () => run(() => ask("POST", `/api/buy/${wearer}`), show, "Reading the files…");

/** @param {any} data */
function show(data) {
  byId("list").hidden = byId("weighed").hidden = byId("try").hidden = false;
  byId("print-list").disabled = false;
  byId("sum").textContent = data.sum;
  byId("sum").classList.toggle("over", data.over);
  byId("errands").replaceChildren(...data.errands.map(errand));
  byId("at-home").textContent = data.at_home.length ? `At home already: ${data.at_home.join(", ")}.` : "";
  byId("remarks").replaceChildren(...[...data.refused, ...data.cautions].map((/** @type {string} */ words) => make("p", {class: "note"}, words)));
  byId("laid").hidden = !data.layouts.some((/** @type {any} */ one) => one.drawings.length);
  byId("paper").href = data.paper;
  byId("layouts").replaceChildren(...data.layouts.filter((/** @type {any} */ one) => one.drawings.length).map(layout));
  byId("more-to-come").hidden = !data.pieces.some((/** @type {any} */ one) => one.materials.endsWith("+"));
  byId("pieces").replaceChildren(head(...COLUMNS), make("tbody", {role: "rowgroup"}, ...data.pieces.map(weighed)));
}

/** @param {any} one */
function errand(one) {
  return make("section", {class: "errand"},
    make("h3", {}, one.seller ? `${one.where}: ${one.seller}` : one.where),
    make("ul", {class: "goods"}, ...one.lines.map((/** @type {any} */ line) => make("li", {},
      make("span", {class: "ask number"}, line.ask),
      make("span", {class: "name"}, line.name),
      make("span", {class: line.price === "no price" ? "price no-price" : "price number"}, line.price),
      make("span", {class: "more"}, capital(more(line)))))));
}

/** @param {any} line */
const more = (line) => [
  line.needed === line.ask ? "" : `${line.needed} needed${line.at_home ? `, ${line.at_home} at home` : ""}`,
  line.remark,
  line.pieces && `for ${line.pieces}`,
].filter(Boolean).join("; ");

/** @param {any} one @param {number} k */
const which = (one, k) => one.drawings.length > 1 ? `, ${k + 1} of ${one.drawings.length}` : "";

/** @param {any} one */
function layout(one) {
  // The drawing of a layout that was searched on has the same name: the browser must not show the old one.
  const fresh = `?${one.seconds}-${Date.now()}`;
  return make("figure", {},
    make("figcaption", {}, make("h3", {}, one.name),
      make("p", {}, `${capital(one.buy)}${one.remark ? `; ${one.remark}` : ""}`),
      make("div", {class: "row no-print"},
        one.roll ? make("button", {type: "button", id: `widths-${one.cloth}`, onclick: () => widths(one.cloth, one.name), "aria-label": `Compare widths of ${one.name}`}, "Compare widths") : "",
        make("button", {type: "button", id: `longer-${one.cloth}`, onclick: () => longer(one.cloth, one.name), "aria-label": `Search longer for ${one.name}`}, "Search longer"))),
    ...one.drawings.map((/** @type {string} */ address, /** @type {number} */ k) => make("a", {href: address + fresh, target: "_blank", "aria-label": `Open the drawing of ${one.name}${which(one, k)} at full size`},
      make("img", {src: address + fresh, alt: `How the pieces lie on ${one.name}${which(one, k)}`, loading: "lazy", width: "297", height: "210"}))));
}

/** @param {string} cloth @param {string} name */
const longer = (cloth, name) => run(() => ask("POST", `/api/buy/${wearer}/longer`, {cloth, seconds: 30}), show, `Searching for a better layout of ${name}…`);

/** Usual widths, folded and single, by quick layouts: under the cloth's name. @param {string} cloth @param {string} name */
const widths = (cloth, name) => run(() => ask("POST", `/api/buy/${wearer}/widths`, {cloth}), (result) => {
  const figure = byId(`widths-${cloth}`).closest("figure");
  figure.querySelector(".widths")?.remove();
  figure.querySelector("figcaption").append(make("div", {class: "scroll widths", tabindex: "0", role: "region", "aria-label": `Widths of ${name}`},
    make("table", {}, head("Width", "Laid", "Takes", "Area"), make("tbody", {role: "rowgroup"}, ...result.rows.map((/** @type {string[]} */ row) =>
      make("tr", {role: "row"}, make("th", {scope: "row", role: "rowheader"}, row[0]), ...row.slice(1).map((words) => make("td", {role: "cell"}, words)))))),
    make("p", {class: "soft small"}, "Laid quickly, without a search: a little more than the layouts here may take.")));
}, `Laying ${name} on other widths…`);

/** @param {...string} words */
const head = (...words) => make("thead", {role: "rowgroup"}, make("tr", {role: "row"}, ...words.map((word) => make(word ? "th" : "td", word ? {scope: "col", role: "columnheader"} : {role: "cell"}, word))));

const COLUMNS = ["Piece", "Weighs", "Materials", "Hours", "Made, in all", "Ready made", "Which is better"];

/** A row; on a narrow screen a card, so each number carries what it is. Roles keep it a table there. @param {any} one */
const weighed = (one) => make("tr", {role: "row"},
  make("th", {scope: "row", role: "rowheader"}, one.label),
  ...[one.mass, one.materials, one.hours, one.making, one.ready].map((words, k) => make("td", {class: "number", role: "cell", "data-what": COLUMNS[k + 1]}, words)),
  make("td", {role: "cell"}, ...(one.answer ? [make("strong", {}, `${capital(one.answer)}: `), one.why] : [capital(one.why)])));

function tryIt() {
  const piece = byId("try-piece").value, material = byId("try-material").value;
  run(() => ask("POST", `/api/buy/${wearer}/instead`, {piece, material}), (result) => {
    const name = pieces.find((one) => one.slug === piece)?.name ?? piece;
    byId("tried").replaceChildren(result.refused
      ? make("p", {class: "note"}, `${name} cannot be made of ${result.then}: ${result.refused}`)
      : make("div", {class: "scroll", tabindex: "0", role: "region", "aria-label": "Both materials side by side"}, make("table", {}, head("", result.now, result.then),
          make("tbody", {role: "rowgroup"}, ...result.rows.map((/** @type {string[]} */ row) => make("tr", {role: "row"}, make("th", {scope: "row", role: "rowheader"}, capital(row[0])), make("td", {role: "cell"}, row[1]), make("td", {role: "cell"}, row[2])))))));
  }, "Drafting it both ways…");
}

/** @param {HTMLSelectElement} select @param {[string, string][]} options @param {string} chosen */
function offer(select, options, chosen) {
  select.replaceChildren(...options.map(([value, words]) => make("option", {value, selected: value === chosen}, words)));
}

/** Colours are of the design, not of a wearer: they come beside the list, and do not wait for it. */
async function matches() {
  const {colours, units} = await ask("GET", "/api/colours");
  byId("colours").hidden = !colours;
  if (!colours) return;
  byId("colour-attention").replaceChildren(...colours.attention.map((/** @type {string} */ words) => make("p", {class: "note"}, words)));
  byId("swatches").replaceChildren(...colours.swatches.map(swatch));
  byId("colour-lines").replaceChildren(...colours.lines.filter((/** @type {string} */ words) => !colours.attention.includes(words)).map((/** @type {string} */ words) => make("li", {}, words)));
  byId("colour-units").textContent = [units, ...colours.sources].join(" ");
  byId("colour-cautions").replaceChildren(...colours.cautions.map((/** @type {string} */ words) => make("p", {class: "note"}, words)));
}

/** @param {{name: string, colour: string, line: string}} one */
function swatch(one) {
  const patch = make("span", {class: "patch", "aria-hidden": "true"});
  if (one.colour) patch.style.background = one.colour;
  return make("li", {}, patch, make("span", {}, one.name, make("span", {class: "soft small"}, one.line)));
}

async function begin() {
  matches().catch(failed);
  const all = await ask("GET", "/api/buy");
  pieces = all.pieces;
  materials = all.materials;
  if (!all.wearers.length) return told("There is nobody to buy for yet: add a wearer on the page Measure.");
  if (!pieces.length) return told("There is no piece to buy for yet: add one on the page Costume.");
  if (!all.wearers.includes(wearer)) wearer = all.wearers[0];
  byId("for-whom").hidden = all.wearers.length < 2;
  offer(byId("wearer"), all.wearers.map((/** @type {string} */ name) => [name, name]), wearer);
  offer(byId("try-piece"), pieces.map((one) => [one.slug, one.name]), byId("try-piece").value);
  others();
  await list();
}

/** Materials but the one it is made of now. */
function others() {
  const now = pieces.find((one) => one.slug === byId("try-piece").value)?.material;
  offer(byId("try-material"), Object.entries(materials).filter(([slug]) => slug !== now), byId("try-material").value);
}

byId("wearer").addEventListener("change", () => {
  wearer = byId("wearer").value;
  history.replaceState(null, "", `/buy/${wearer}`);
  list();
});
byId("try-piece").addEventListener("change", others);
byId("try-it").addEventListener("click", tryIt);
byId("print-list").addEventListener("click", () => print());
for (const kind of ["files", "undone"]) news.addEventListener(kind, () => begin().catch(failed));
begin().catch(failed);

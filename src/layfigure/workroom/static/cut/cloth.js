// @ts-check
// What wearing asks of the cloth, in colour under the lines of the flat piece, and its worst places in words.
// For the screen alone: nothing that is printed or exported carries it.

import {ask, byId, make} from "/static/room.js";
import {shape} from "/static/cut/svg.js";

/** @typedef {{slug: string, title: string, areas: {words: string, limits: string, colour: string, share: number, path: string}[], places: {x: number, y: number, words: string}[]}} Field */

/** Fields of the piece that is shown. @type {Field[]} */
let fields = [];
/** What is asked for, kept from piece to piece. */
let wanted = "";
/** @type {SVGSVGElement | null} */
let drawing = null;

/** A new drawing lies on the table. @param {string} wearer @param {string} piece @param {SVGSVGElement} svg @param {() => boolean} stands whether it still does */
export async function openCloth(wearer, piece, svg, stands) {
  // The choice keeps its place meanwhile: the page under it would jump at every step from piece to piece.
  fields = [];
  drawing = svg;
  byId("cloth-field").disabled = true;
  byId("cloth-legend").replaceChildren();
  const told = await ask("GET", `/api/cloth/${wearer}/${piece}`);
  if (!stands()) return;
  fields = told.fields;
  byId("cloth-field").replaceChildren(make("option", {value: ""}, "nothing"), ...fields.map((field) => make("option", {value: field.slug}, field.title)));
  byId("cloth-field").disabled = false;
  byId("cloth-field").value = fields.some((field) => field.slug === wanted) ? wanted : "";
  byId("cloth-words").replaceChildren(...fields.map((field) => make("section", {"data-field": field.slug}, make("h3", {}, field.title), make("ol", {}, ...field.places.map((place) => make("li", {}, sentence(place.words)))))));
  show();
}

function show() {
  byId("cloth-choice").hidden = !fields.length;
  byId("cloth-words").hidden = !fields.length;
  drawing?.querySelectorAll(".cloth-field").forEach((one) => one.remove());
  const field = fields.find((one) => one.slug === byId("cloth-field").value);
  byId("cloth-legend").replaceChildren(...(field?.areas ?? []).map((area) => {
    const swatch = make("span", {class: "swatch"});
    swatch.style.background = area.colour;
    return make("li", {}, swatch, `${area.limits}: ${area.words}`, make("span", {class: "number soft"}, share(area.share)));
  }));
  // The numbers on the piece are read beside the colours; what is not shown is told below, with the rest.
  const words = byId("cloth-words");
  if (field) byId("cloth-choice").append(words);
  else byId("piece-words").after(words);
  for (const section of words.children) section.hidden = Boolean(field) && section.dataset.field !== field?.slug;
  if (!field || !drawing) return;
  drawing.prepend(shape("g", {class: "cloth-field"}, ...field.areas.map((area) => shape("path", {d: area.path, fill: area.colour, "fill-rule": "evenodd", stroke: "none"}))));
  const [, , width, height] = (drawing.dataset.whole ?? "0 0 400 400").split(" ").map(Number);
  const size = Math.max(4, 0.014 * Math.max(width, height));
  drawing.append(shape("g", {class: "cloth-field"}, ...field.places.flatMap((place, k) => [
    shape("circle", {cx: place.x, cy: place.y, r: size, fill: "#fff", stroke: "#111", "stroke-width": 0.12 * size}),
    shape("text", {x: place.x, y: place.y + 0.36 * size, "font-size": 1.1 * size, "text-anchor": "middle"}, String(k + 1)),
  ])));
}

/** @param {number} part */
const share = (part) => (part === 0 ? "nowhere" : part < 0.01 ? "under 1 %" : `${Math.round(100 * part)} % of it`);

/** @param {string} words */
const sentence = (words) => `${words[0].toUpperCase()}${words.slice(1)}.`;

byId("cloth-field").addEventListener("change", () => {
  wanted = byId("cloth-field").value;
  show();
});

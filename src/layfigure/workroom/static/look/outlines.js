// @ts-check
// Where the body ends: points on the outline of one part of the body.

import {make} from "/static/room.js";
import {capital, plainly, regionWords} from "./words.js";

/**
 * @param {HTMLElement} box
 * @param {{regions: string[], region: string, hidden: boolean, next: {words: string} | null}} asked
 * @param {{region: (name: string) => void, hidden: (is: boolean) => void}} doings
 */
export function showOutlines(box, {regions, region, hidden, next}, doings) {
  const select = make("select", {id: "region", onchange: (event) => doings.region(event.target.value)},
    ...regions.map((name) => make("option", {value: name}, capital(regionWords(name)))));
  select.value = region;
  const check = make("input", {type: "checkbox", id: "hidden", onchange: (event) => doings.hidden(event.target.checked)});
  check.checked = hidden;
  box.replaceChildren(make("div", {class: "guide-words"},
    make("h2", {id: "guide-title"}, `The edge of the ${regionWords(region)}`),
    make("p", {}, "Click along both of its edges, a few points each, above all beside the lines of the costume. Their order does not matter."),
    make("div", {class: "field"}, make("label", {for: "region"}, "Part of the body", make("span", {class: "hint"}, "Left and right are the character's own.")), select),
    make("label", {class: "check", for: "hidden"}, check, "The costume hides the body here (hair, a skirt, armour): the body lies somewhere inside"),
    ...(next ? [make("p", {class: "note"}, make("strong", {}, "Helps most: "), plainly(next.words))] : []),
  ));
}

// @ts-check
// What of a drawing is shown: its groups by kind of line, switched on and off.

import {make} from "/static/room.js";

/** @typedef {Record<string, {width: number, dash: number[], meaning: string}>} Inks */

/** Words for groups of lines, and the kinds of line in each. @type {[string, string[]][]} */
const SWITCHES = [
  ["Cut line and windows", ["cut", "window", "slit"]],
  ["Seam allowance: stitch line and folds", ["stitch", "fold"]],
  ["Notches", ["notch"]],
  ["Arrow of the cloth", ["grain"]],
  ["Balance and centre lines", ["balance", "centre"]],
  ["Where things are set or trimmed", ["placement", "trim"]],
  ["Names and words", ["words", "leader"]],
];
const KEPT = "layfigure-shown";

/** @type {Set<string>} */
let hidden = new Set();
try {
  hidden = new Set(JSON.parse(localStorage.getItem(KEPT) ?? "[]"));
} catch {
  // A browser that keeps nothing shows everything.
}

/** Draw lines as paper shows them, and hide what is switched off. @param {SVGSVGElement} svg @param {Inks} inks */
export function dress(svg, inks) {
  for (const group of svg.querySelectorAll("g[class]")) {
    const ink = group.classList[0];
    const style = inks[ink];
    if (!style) continue;
    if (ink !== "words") {
      group.setAttribute("fill", "none");
      group.setAttribute("stroke", style.width ? "#111" : "none");
      group.setAttribute("stroke-width", String(style.width));
      group.setAttribute("stroke-linejoin", "round");
      if (style.dash.length) group.setAttribute("stroke-dasharray", style.dash.join(" "));
    }
    const held = SWITCHES.find(([, kinds]) => kinds.includes(ink));
    group.classList.toggle("off", Boolean(held && hidden.has(held[0])));
  }
}

/** Keep lines to be seen when the whole piece is small. @param {SVGSVGElement} svg @param {Inks} inks @param {number} scale pixels of a mm */
export function thicken(svg, inks, scale) {
  for (const group of svg.querySelectorAll("g[class]")) {
    const ink = group.classList[0];
    if (!inks[ink]?.width) continue;
    const least = ink === "cut" ? 1.6 : ink === "leader" ? 0.5 : 0.9;
    group.setAttribute("stroke-width", String(Math.max(inks[ink].width, least / scale)));
  }
}

/** @param {HTMLElement} place @param {SVGSVGElement} svg @param {Inks} inks */
export function showSwitches(place, svg, inks) {
  const there = SWITCHES.filter(([, kinds]) => kinds.some((kind) => svg.querySelector(`g.${kind}`)));
  place.replaceChildren(...there.map(([words, kinds]) => {
    const box = make("input", {type: "checkbox", onchange: () => {
      if (box.checked) hidden.delete(words);
      else hidden.add(words);
      try {
        localStorage.setItem(KEPT, JSON.stringify([...hidden]));
      } catch {
        // Kept for this page alone.
      }
      dress(svg, inks);
    }});
    box.checked = !hidden.has(words);
    const meaning = kinds.map((kind) => inks[kind]?.meaning).filter(Boolean).join("; ");
    return make("label", {class: "check", title: meaning}, box, words);
  }));
}

// @ts-check
// Rulers along the top and the left of a drawing: they go with it, counted from its upper left corner.

import {shape} from "/static/cut/svg.js";

const THICK = 24;
/** A number and the next along the top lie no nearer than this, or they run into each other [px]. */
const APART = 30;
/** Steps of a ruler: [mm, how many to a long mark, label of one long mark]. */
const STEPS = {
  cm: [[1, 10, 1], [5, 2, 1], [10, 5, 5], [10, 10, 10], [50, 2, 10], [100, 5, 50], [100, 10, 100]],
  in: [[25.4 / 16, 16, 1], [25.4 / 8, 8, 1], [25.4 / 4, 4, 1], [25.4 / 2, 2, 1], [25.4, 6, 6], [25.4, 12, 12], [25.4 * 12, 3, 36]],
};

/**
 * @param {SVGSVGElement} ruler @param {{left: number, top: number, scale: number}} state @param {"cm" | "in"} unit
 */
export function drawRuler(ruler, state, unit) {
  const {width, height} = ruler.getBoundingClientRect();
  const [step, toLong, label] = STEPS[unit].find(([mm]) => mm * state.scale >= 5) ?? STEPS[unit][STEPS[unit].length - 1];
  const every = [1, 2, 5, 10].find((count) => count * toLong * step * state.scale >= APART) ?? 20;
  const marks = [
    shape("rect", {class: "ruler-ground", x: 0, y: 0, width, height: THICK}),
    shape("rect", {class: "ruler-ground", x: 0, y: THICK, width: THICK, height: Math.max(0, height - THICK)}),
  ];
  const across = ticks(state.left, width / state.scale, step);
  for (const count of across) {
    const x = (count * step - state.left) * state.scale;
    if (x < THICK) continue;
    const long = count % toLong === 0;
    marks.push(shape("line", {x1: x, x2: x, y1: THICK - (long ? 12 : 6), y2: THICK}));
    if (long && count / toLong % every === 0) marks.push(shape("text", {x: x + 3, y: 12}, words(count / toLong * label)));
  }
  for (const count of ticks(state.top, height / state.scale, step)) {
    const y = (count * step - state.top) * state.scale;
    if (y < THICK) continue;
    const long = count % toLong === 0;
    marks.push(shape("line", {y1: y, y2: y, x1: THICK - (long ? 12 : 6), x2: THICK}));
    if (long) marks.push(shape("text", {x: 2, y: y - 3}, words(count / toLong * label)));
  }
  marks.push(shape("text", {class: "ruler-unit-name", x: 4, y: 16}, unit));
  ruler.replaceChildren(...marks);
}

/** @param {number} start @param {number} length @param {number} step */
function ticks(start, length, step) {
  const first = Math.ceil(start / step);
  return Array.from({length: Math.max(0, Math.min(2000, Math.floor((start + length) / step) - first + 1))}, (_, k) => first + k);
}

/** @param {number} value */
const words = (value) => (value < 0 ? `−${-value}` : String(value));

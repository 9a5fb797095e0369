// @ts-check
// Says what to mark next, on a small figure and in words.

import {make} from "/static/room.js";
import {littleFigure} from "./little_figure.js";
import {pointOrder} from "./points.js";
import {leftWords, pointWords} from "./words.js";

/** @typedef {{picture: string, words: string, landmark: string, region: string, place: [number, number]}} NextClick */
/**
 * @typedef {{name: string, view: string, marks: import("./marks.js").Marks, all: Record<string, string>,
 *   next: NextClick[], later: Set<string>, asked: string}} Asked
 */

/** The point to set next, and why it is asked. @param {Asked} asked @returns {{name: string, helps: boolean, place: [number, number] | null}} */
export function nextPoint({name, view, marks, all, next, later, asked}) {
  const open = (/** @type {string} */ point) => !(point in marks.landmarks);
  const order = pointOrder(view, Object.keys(all));
  const helps = next.filter((click) => click.picture === name && click.landmark && open(click.landmark));
  const place = (/** @type {string} */ point) => helps.find((click) => click.landmark === point)?.place ?? null;
  if (asked && open(asked)) return {name: asked, helps: false, place: place(asked)};
  const first = order.first.filter(open);
  // The sixteen first: before them a study can hardly tell what helps.
  const found = first.find((point) => !later.has(point)) ?? helps.find((click) => !later.has(click.landmark))?.landmark
    ?? first[0] ?? order.more.find((point) => open(point) && !later.has(point)) ?? "";
  return {name: found, helps: Boolean(found) && !first.includes(found) && Boolean(place(found)), place: found ? place(found) : null};
}

/**
 * @param {HTMLElement} box @param {Asked} asked
 * @param {{unseen: (name: string) => void, later: (name: string) => void, ask: (name: string) => void}} doings
 */
export function showGuide(box, asked, doings) {
  const {view, marks, all} = asked;
  const {first, more, rest} = pointOrder(view, Object.keys(all));
  const next = nextPoint(asked);
  const answered = first.filter((name) => name in marks.landmarks).length;
  const set = Object.keys(marks.landmarks).filter((name) => marks.landmarks[name]);
  const open = [...first, ...more, ...rest].filter((name) => !(name in marks.landmarks));
  const other = make("select", {id: "another-point", onchange: (event) => doings.ask(event.target.value)},
    make("option", {value: ""}, "Other…"),
    ...open.map((name) => make("option", {value: name}, pointWords(name))));
  const counted = answered < first.length ? `${answered + 1} of ${first.length}` : next.helps ? "The next click that helps most" : "One more, if you like";
  const head = next.name
    ? [
      make("p", {class: "step number"}, counted),
      make("h2", {id: "guide-title"}, pointWords(next.name)),
      make("p", {}, `Click ${all[next.name].startsWith("where") ? "" : "the "}${all[next.name]}.`),
      make("p", {class: "soft small"}, leftWords(view)),
    ]
    : [
      make("h2", {id: "guide-title"}, "All the points are set"),
      make("p", {}, "Now trace a line of the costume, or mark where the body ends beside it."),
    ];
  const answers = next.name
    ? [
      make("button", {type: "button", onclick: () => doings.unseen(next.name)}, "Cannot see it"),
      make("button", {type: "button", class: "quiet", onclick: () => doings.later(next.name)}, "Later"),
    ]
    : [];
  box.replaceChildren(
    littleFigure(view, next.name, set),
    make("div", {class: "guide-words"}, ...head),
    make("div", {class: "row answers"}, ...answers, make("label", {for: "another-point", class: "unseen"}, "Another point"), other),
  );
}

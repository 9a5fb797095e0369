// @ts-check
// Every mark of the picture as a button: what the canvas shows, for those who go by keyboard or by ear.

import {make} from "/static/room.js";
import {capital, lineWords, plainly, pointWords, regionWords} from "./words.js";

/** @param {string} mark @param {import("./marks.js").Marks} marks */
export function markWords(mark, marks) {
  const [kind, name, ...rest] = mark.split(" ");
  if (kind === "point") return pointWords(name);
  if (kind === "outline") {
    const outline = marks.outlines[+name];
    const alike = marks.outlines.filter((one) => one.region === outline?.region && one.hidden === outline.hidden);
    const which = alike.length > 1 ? ` ${alike.indexOf(outline) + 1}` : "";
    return `${capital(regionWords(outline?.region ?? ""))}, edge${outline?.hidden ? " of the costume over it" : ""}${which}, point ${+rest[0] + 1}`;
  }
  const count = marks.edges[name]?.length ?? 1;
  return `${lineWords(name)}, ${count > 1 ? `stretch ${+rest[0] + 1}, ` : ""}point ${+rest[1] + 1}`;
}

/**
 * @param {HTMLElement} list @param {import("./marks.js").Marks} marks @param {string[]} shown names of marks
 * @param {{chosen: string, unseen: string[], advice: Map<string, string>}} more
 * @param {{choose: (mark: string) => void, seen: (name: string) => void}} doings
 */
export function showList(list, marks, shown, {chosen, unseen, advice}, doings) {
  const items = shown.map((mark) => {
    const place = marks.at(mark);
    const at = place ? `${Math.round(place[0])}, ${Math.round(place[1])}` : "";
    return make("li", {},
      make("button", {type: "button", class: "mark-name", "data-mark": mark, "aria-pressed": String(mark === chosen), onclick: () => doings.choose(mark)},
        make("span", {}, markWords(mark, marks)), make("span", {class: "soft number"}, at)),
      ...(advice.get(mark) ? [make("p", {class: "small advice"}, plainly(/** @type {string} */ (advice.get(mark))))] : []));
  });
  const hidden = unseen.map((name) => make("li", {},
    make("button", {type: "button", class: "mark-name", onclick: () => doings.seen(name)},
      make("span", {}, pointWords(name)), make("span", {class: "soft"}, "cannot be seen; ask again"))));
  list.replaceChildren(...items, ...hidden);
  if (!items.length && !hidden.length) list.append(make("li", {class: "soft"}, "Nothing yet."));
}

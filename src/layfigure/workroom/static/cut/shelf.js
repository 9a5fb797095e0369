// @ts-check
// All pieces, small, to choose from and to find.

import {byId, make} from "/static/room.js";
import {thumbnail} from "/static/cut/svg.js";

/** @param {any} piece */
export const nameOf = (piece) => (piece.side && !piece.label.toLowerCase().includes(piece.side) ? `${piece.label}, ${piece.side}` : piece.label);

/** Words for how a piece that is cut stands. @type {Record<string, string>} */
export const STANDING = {holds: "cut", trim: "cut, to be trimmed", spoiled: "cut, spoiled"};

/** The pieces that have every word that is typed, in whatever order. @param {any[]} pieces */
export function found(pieces) {
  const typed = byId("search").value.toLowerCase().split(/[\s:,]+/).filter(Boolean);
  return pieces.filter(({piece, statement}) => {
    const said = `${nameOf(piece)} ${statement.label} ${piece.cloth} ${piece.slug}`.toLowerCase();
    return typed.every((/** @type {string} */ word) => said.includes(word));
  });
}

/**
 * @param {any[]} pieces all of them @param {string} chosen @param {(slug: string) => void} choose
 */
export function showShelf(pieces, chosen, choose) {
  const shown = found(pieces);
  const cut = pieces.filter(({piece}) => piece.cut).length;
  byId("shelf-count").textContent = shown.length === pieces.length
    ? `${pieces.length === 1 ? "1 piece" : `${pieces.length} pieces`}, ${cut} cut` : `${shown.length} of ${pieces.length} pieces`;
  byId("shelf-list").replaceChildren(...shown.map(({piece}) => make("li", {},
    make("button", {type: "button", class: "shelved", "aria-current": piece.slug === chosen ? "true" : undefined, onclick: () => choose(piece.slug)},
      thumbnail(piece.shape),
      make("span", {class: "shelved-words"}, nameOf(piece),
        make("small", {class: piece.cut?.state === "spoiled" ? "bad" : "soft"}, piece.cut ? STANDING[piece.cut.state] : piece.verdict_words))))));
  // Within the list alone: on a small screen the drawing stays where it is.
  const list = byId("shelf-list");
  const current = list.querySelector("[aria-current]");
  if (!current) return;
  const [shelf, one] = [list.getBoundingClientRect(), current.getBoundingClientRect()];
  if (one.top < shelf.top) list.scrollTop += one.top - shelf.top;
  else if (one.bottom > shelf.bottom) list.scrollTop += one.bottom - shelf.bottom;
}

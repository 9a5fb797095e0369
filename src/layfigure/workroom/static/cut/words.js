// @ts-check
// What there is to say of a piece, what needs her first; what is in order is folded away.

import {make} from "/static/room.js";

/** @param {string} title @param {(Node | string)[]} lines */
const list = (title, lines) => (lines.length ? [make("h3", {}, title), make("ul", {class: "plain"}, ...lines.map((line) => make("li", {}, line)))] : []);

/** @param {string} title @param {(Node | string)[]} lines */
const folded = (title, lines) => (lines.length ? [make("details", {}, make("summary", {}, title), make("ul", {class: "plain"}, ...lines.map((line) => make("li", {}, line))))] : []);

/** @param {any} piece @param {any} statement @returns {Node[]} */
export function pieceWords(piece, statement) {
  const level = piece.verdict.replace(" ", "-");
  const verdict = make("div", {class: `verdict ${level}`},
    make("p", {class: "verdict-words"}, `${piece.verdict_words[0].toUpperCase()}${piece.verdict_words.slice(1)}.`),
    ...(piece.reasons.length ? [make("p", {class: "label"}, "What would lift it"),
      make("ul", {class: "plain"}, ...piece.reasons.map((/** @type {any} */ reason) => make("li", {}, make("strong", {}, sentence(reason.why)), ` ${reason.lifted_by}`)))] : []));
  const said = new Set(piece.reasons.map((/** @type {any} */ reason) => reason.lifted_by));
  const remarks = statement.remarks.filter((/** @type {string} */ line) => ![...said].some((advice) => advice && line.endsWith(advice)));
  return [
    verdict,
    ...list("What needs you", remarks),
    ...piece.cautions.map((/** @type {string} */ line) => make("p", {class: "note"}, line)),
    ...list("Sewn or joined to", piece.mates.map((/** @type {any} */ mate) => make("span", {}, make("b", {class: "seam"}, mate.mark), ` ${mate.edge}: ${mate.words}`))),
    ...fitWords(statement),
    ...list("Check the print with a tape", piece.totals.map((/** @type {any} */ total) => `${total.what}: ${total.length}`)),
    ...folded("How to make it", piece.note),
    ...folded("What to get for it", statement.items.map((/** @type {any} */ item) => `${item.count} × ${item.name}${item.use ? `: ${item.use}` : ""}`)),
    ...folded("Of the whole", statement.notes),
    ...folded(statement.passed.length === 1 ? "1 check is in order" : `${statement.passed.length} checks are in order`, statement.passed),
  ];
}

/** How tight it sits. @param {any} statement */
const fitWords = (statement) => list("How tight it sits", gathered(statement.tight));

/** What is said of its fit, to stand beside the picture: where it pulls, gapes, presses or stands off. @param {any} statement @returns {Node[]} */
export function sitsWords(statement) {
  const about = /pull|stand|gap|tight|stretch|press|body|skin/i;
  return [
    ...list("What needs you", statement.remarks.filter((/** @type {string} */ line) => about.test(line))),
    ...fitWords(statement),
    ...list("In order", statement.passed.filter((/** @type {string} */ line) => about.test(line))),
  ];
}

/** @param {string} words */
const sentence = (words) => `${words[0].toUpperCase()}${words.slice(1)}.`;

/** ``it is snug at the knee``, ``it is snug at the ankle`` as one line. @param {string[]} lines */
function gathered(lines) {
  /** @type {Map<string, {felt: string, places: string[], aside: string}>} */
  const groups = new Map();
  for (const line of lines) {
    const [, felt, place, aside] = /^(?:it is )?(.*?) at the (.*?)( \(.*\))?$/.exec(line) ?? ["", line, "", ""];
    const key = `${felt}|${aside ?? ""}`;
    if (!groups.has(key)) groups.set(key, {felt, places: [], aside: aside ?? ""});
    if (place) groups.get(key)?.places.push(place);
  }
  return [...groups.values()].map(({felt, places, aside}) => `${felt[0].toUpperCase()}${felt.slice(1)}${places.length ? `: ${places.join(", ")}` : ""}${aside}`);
}

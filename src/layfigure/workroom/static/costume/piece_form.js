// @ts-check
// The form of one piece, from its kind's schema: what is said shown, what is usual folded away.

import {make} from "/static/room.js";
import {SIDES} from "/static/costume/adding.js";
import {edgeField} from "/static/costume/edge_field.js";
import {beside, fieldId, labelled, select, tableFields} from "/static/costume/fields.js";
import {asked} from "/static/costume/schema.js";

/**
 * @param {any} piece as the file has it @param {any} kind @param {any} costume
 * @param {{set: (path: (string | number)[], value: any) => Promise<void>, reword: (slug: string, words: string) => Promise<void>, remove: () => void}} edit
 */
export function pieceForm(piece, kind, costume, edit) {
  const form = `piece-${piece.slug}`;
  const options = asked(kind.schema, kind.schema.$defs ?? {}, "options", true);
  const edges = kind.edges.filter((/** @type {any} */ role) => role.required || piece.edges?.[role.role]);
  const more = kind.edges.filter((/** @type {any} */ role) => !edges.includes(role));
  /** @param {any} role */
  const edge = (role) => edgeField({
    id: fieldId(form, ["edges", role.role]), ...role, value: piece.edges?.[role.role], edges: costume.edges, side: () => piece.side ?? "middle",
    told: (value) => edit.set(["edges", role.role], value), reword: edit.reword,
  });
  const cloths = costume.cloths.map((/** @type {any} */ cloth) => /** @type {[string, string]} */ ([cloth.slug, cloth.name + (cloth.own ? ", yours" : "")]));
  /** @param {string} key @param {string} words @param {string} hint @param {[string, string][]} choices @param {string} value @param {(typed: string) => any} read */
  const chooser = (key, words, hint, choices, value, read) => {
    const control = select(choices, value, () => beside(control, () => edit.set(key.split("."), read(control.value))));
    return labelled(fieldId(form, key.split(".")), words, hint, control);
  };
  /** @param {string} key @param {string} words @param {string} hint @param {(typed: string) => any} read @param {string} [usual] */
  const typing = (key, words, hint, read, usual = "") => {
    const control = make("input", {autocomplete: "off", placeholder: usual, value: piece[key] === undefined ? "" : String(piece[key]), onchange: () => beside(control, () => edit.set([key], read(control.value.trim())))});
    return labelled(fieldId(form, [key]), words, hint, control);
  };
  /** @param {string} text */
  const number = (text) => (text === "" ? null : /^\d+$/.test(text) ? Number(text) : text);
  return make("div", {class: "piece-form"},
    make("div", {class: "grid"},
      typing("label", "Name", "", (text) => text || null),
      chooser("cloth", "Cut from", "", [["", "nothing: it is bought or found"], ...cloths], piece.cloth ?? "", (text) => text || null),
      chooser("side", "On which side", "", SIDES, piece.side ?? "middle", (text) => (text === "middle" ? null : text)),
      typing("layer", "Layer", "0 lies next to the skin, higher numbers over it", number, "0")),
    ...(edges.length || more.length ? [make("h4", {}, "Where it ends")] : []),
    make("div", {class: "grid"}, ...edges.map(edge)),
    ...(more.length ? [make("details", {class: "more"}, make("summary", {}, "Other edges it can have"), make("div", {class: "grid"}, ...more.map(edge)))] : []),
    make("h4", {}, "How it is made"),
    ...tableFields(form, ["options"], options, piece.options ?? {}, edit.set),
    ...(kind.cloths.length ? [make("details", {class: "more", open: Boolean(piece.cloths)}, make("summary", {}, "Lining and what else it is made of"), make("div", {class: "grid"},
      ...kind.cloths.map((/** @type {any} */ role) => chooser(`cloths.${role.role}`, role.role[0].toUpperCase() + role.role.slice(1), role.what, [["", "none"], ...cloths], piece.cloths?.[role.role] ?? "", (text) => text || null))))] : []),
    make("details", {class: "more"}, make("summary", {}, "How many"), typing("count", "How many like this", "", number, "1")),
    make("div", {class: "row end"}, make("button", {type: "button", class: "quiet bad", onclick: edit.remove}, "Remove this piece")));
}

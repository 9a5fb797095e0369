// @ts-check
// The form of one piece, from its kind's schema: what is said shown, what is usual folded away.

import {make} from "/static/room.js";
import {SIDES} from "/static/costume/adding.js";
import {edgeField} from "/static/costume/edge_field.js";
import {beside, field, fieldId, labelled, removing, select, tableFields} from "/static/costume/fields.js";
import {asked, plain, spoken} from "/static/costume/schema.js";

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
    ...cutOut(form, piece, kind, costume, edit, cloths),
    ...(kind.panels || Object.keys(piece.cloths ?? {}).some((role) => !kind.cloths.some((/** @type {any} */ one) => one.role === role)) ? [otherCloths(form, piece, kind, edit, cloths)] : []),
    tracing(form, piece, costume, edit),
    make("details", {class: "more", open: Boolean(piece.decisions?.length || piece.departures?.length)}, make("summary", {}, "What you decided"),
      field(form, ["decisions"], texts("Decisions", "What the pictures do not show, and how you settled it. Each is printed in the report.", "like: closure unknown, three straps behind"), piece.decisions, edit.set),
      field(form, ["departures"], texts("Departures", "Where you mean to differ from the pictures.", "like: ends a hand higher, to climb stairs"), piece.departures, edit.set)),
    make("details", {class: "more"}, make("summary", {}, "How many"), typing("count", "How many like this", "", number, "1")),
    make("div", {class: "row end"}, make("button", {type: "button", class: "quiet bad", onclick: edit.remove}, "Remove this piece")));
}

/** A list of sentences. @param {string} words @param {string} hint @param {string} example */
const texts = (words, hint, example) => plain(words, hint, {type: "list", item: plain(words, "", {optional: false, example})});

/** A list of edges of the costume. @param {string} words @param {string} hint @param {string[]} names @param {string[]} chosen */
function edgesOf(words, hint, names, chosen) {
  return plain(words, hint, {type: "list", item: plain(words, "", {type: "choice", optional: false, choices: [...new Set([...names, ...chosen])]})});
}

/**
 * Windows with what shows through them, and seams put by the design, for kinds that make them.
 * @param {string} form @param {any} piece @param {any} kind @param {any} costume @param {any} edit @param {[string, string][]} cloths
 */
function cutOut(form, piece, kind, costume, edit, cloths) {
  const names = costume.edges.map((/** @type {any} */ edge) => edge.slug);
  const parts = [];
  if (kind.windows || piece.windows?.length) {
    const backing = select([["", "nothing: the skin shows"], ...cloths, ...(piece.backing && !cloths.some(([slug]) => slug === piece.backing) ? [/** @type {[string, string]} */ ([piece.backing, spoken(piece.backing)])] : [])],
      piece.backing ?? "", () => beside(backing, () => edit.set(["backing"], backing.value || null)));
    parts.push(make("details", {class: "more", open: Boolean(piece.windows?.length)}, make("summary", {}, "Windows"),
      field(form, ["windows"], edgesOf("Windows", "Closed lines that are cut out of it: traced on the pictures, or a row of one shape.", [...costume.rows, ...names], piece.windows ?? []), piece.windows, edit.set),
      ...(kind.backing || piece.backing ? [labelled(fieldId(form, ["backing"]), "Backing", "what shows through the windows, sewn behind them", backing)] : [])));
  }
  if (kind.seams || piece.seams?.length) {
    parts.push(make("details", {class: "more", open: Boolean(piece.seams?.length)}, make("summary", {}, "Seams of the design"),
      field(form, ["seams"], edgesOf("Seams", "Lines along which it is divided into parts, as a yoke or a stripe.", names, piece.seams ?? []), piece.seams, edit.set)));
  }
  return parts;
}

/** Parts of another cloth, by the name of the part. @param {string} form @param {any} piece @param {any} kind @param {any} edit @param {[string, string][]} cloths */
function otherCloths(form, piece, kind, edit, cloths) {
  const own = Object.entries(piece.cloths ?? {}).filter(([role]) => !kind.cloths.some((/** @type {any} */ one) => one.role === role));
  const id = fieldId(form, ["cloths", "new"]);
  const name = make("input", {autocomplete: "off", id: `${id}-part`, placeholder: "like front, or above_hip_yoke"});
  const cloth = select(cloths, cloths[0]?.[0] ?? "", () => undefined);
  cloth.id = `${id}-cloth`;
  const add = make("button", {type: "button", id, onclick: () => beside(add, () => edit.set(["cloths", name.value.trim().toLowerCase().replace(/[^a-z0-9]+/g, "_")], cloth.value))}, "Add");
  return make("details", {class: "more", open: own.length > 0}, make("summary", {}, "Parts of another cloth"),
    make("ul", {class: "items"}, ...own.map(([role, slug]) => make("li", {}, `${spoken(role)}: ${cloths.find(([one]) => one === slug)?.[1] ?? slug}`, removing(form, ["cloths", role], `Remove ${spoken(role).toLowerCase()}`, edit.set)))),
    make("div", {class: "adding-row"},
      make("div", {class: "field"}, make("label", {for: name.id}, "Which part"), name),
      make("div", {class: "field"}, make("label", {for: cloth.id}, "Of which cloth"), cloth), add,
      make("p", {class: "bad beside", id: `${id}-trouble`, role: "alert"})));
}

/** An outline of the maker's own that it is cut by. @param {string} form @param {any} piece @param {any} costume @param {any} edit */
function tracing(form, piece, costume, edit) {
  const files = [...new Set([...costume.tracings, ...(piece.trace ? [piece.trace.file] : [])])];
  const file = select([["", files.length ? "none" : "none: put an SVG, DXF or mesh into the costume's folder"], ...files.map((one) => /** @type {[string, string]} */ ([one, one]))], piece.trace?.file ?? "",
    () => beside(file, () => edit.set(piece.trace && file.value ? ["trace", "file"] : ["trace"], file.value ? (piece.trace ? file.value : {file: file.value}) : null)));
  const more = piece.trace ? [make("div", {class: "grid"},
    field(form, ["trace", "outline"], plain("Which line was traced", "where it is sewn, or where it is cut", {type: "choice", choices: ["stitch", "cut"], usual: "stitch"}), piece.trace.outline, edit.set),
    field(form, ["trace", "allowance"], plain("Seam allowance", "from a traced stitch line to the cut line", {type: "quantity", usual: "10 mm"}), piece.trace.allowance, edit.set)),
  field(form, ["trace", "joins"], texts("What is joined to what", "Edges are counted from the upper left corner on.", "like: front 2 to back 4"), piece.trace.joins, edit.set)] : [];
  return make("details", {class: "more", open: Boolean(piece.trace)}, make("summary", {}, "Cut by an outline of yours"),
    labelled(fieldId(form, ["trace", "file"]), "Traced in the file", "paper traced, a pattern you own, a shell of tape cut open; it lies in the costume's folder", file), ...more);
}

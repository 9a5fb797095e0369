// @ts-check
// A new piece: what it is, what it is called, and only what its kind cannot do without.

import {byId, make, Refusal, save} from "/static/room.js";
import {edgeField} from "/static/costume/edge_field.js";
import {field, labelled, select} from "/static/costume/fields.js";
import {asked, FORMS, spoken} from "/static/costume/schema.js";

/** Kinds that go round one limb, and so have a side. */
const OF_A_LIMB = new Set(["wrap", "glove"]);
export const SIDES = /** @type {[string, string][]} */ ([["both", "both sides"], ["left", "left"], ["right", "right"], ["middle", "trunk, head or middle"]]);

/** @type {{costume: any, kinds: any[], done: (slug: string) => void}} */
let given = {costume: null, kinds: [], done: () => undefined};
/** @type {any} */
let draft = {};

/** @param {typeof given} now */
export function openAdding(now) {
  given = now;
  draft = {};
  byId("adding-trouble").textContent = "";
  byId("adding-rest").hidden = true;
  byId("adding-done").disabled = true;
  byId("adding-missing").textContent = "";
  const legend = byId("adding-kinds").querySelector("legend");
  byId("adding-kinds").replaceChildren(legend, ...given.kinds.map((kind) => make("label", {class: "kind"},
    make("input", {type: "radio", name: "kind", value: kind.name, onchange: () => chosen(kind)}),
    make("span", {}, kindWords(kind)))));
  byId("adding").showModal();
}

/** What a kind is, in a line. @param {any} kind */
export const kindWords = (kind) => spoken(kind.summary.replace(/\.$/, ""));

/** @param {any} kind */
function chosen(kind) {
  const roles = kind.edges.filter((/** @type {any} */ role) => role.required);
  const options = asked(kind.schema, kind.schema.$defs ?? {}, "options", true);
  draft = {kind: kind.name, label: draft.label ?? "", cloth: draft.cloth ?? "", side: OF_A_LIMB.has(kind.name) ? "both" : "middle", edges: {}, options: {}};
  const label = make("input", {autocomplete: "off", placeholder: "shin guard", oninput: () => { draft.label = label.value.trim(); ready(); }});
  label.value = draft.label;
  const cloths = given.costume.cloths.map((/** @type {any} */ cloth) => /** @type {[string, string]} */ ([cloth.slug, cloth.name + (cloth.own ? ", yours" : "")]));
  const cloth = select([["", "nothing: it is bought or found"], ...cloths], draft.cloth, () => { draft.cloth = cloth.value; ready(); });
  const side = select(SIDES, draft.side, () => { draft.side = side.value; });
  byId("adding-rest").replaceChildren(
    make("div", {class: "grid"},
      labelled("adding-label", "What do you call it?", "", label),
      labelled("adding-cloth", "What is it cut from?", "", cloth),
      labelled("adding-side", "On which side?", "", side)),
    ...roles.map((/** @type {any} */ role) => edgeField({
      id: `adding-edge-${role.role}`, ...role, value: undefined, edges: given.costume.edges, side: () => draft.side,
      told: async (/** @type {any} */ value) => { draft.edges[role.role] = value; ready(); },
      reword: async () => undefined,
    })),
    ...[...new Set([...FORMS.filter((name) => options.fields[name]), ...options.required])].map((name) => neededOption(name, options.fields[name])),
    make("p", {class: "soft small"}, "Everything else begins as is usual, and can be changed afterwards."));
  byId("adding-rest").hidden = false;
  draft.needed = {edges: roles.map((/** @type {any} */ role) => role.role), options: options.required};
  ready();
}

/** An option that the kind cannot do without; a list shows what is on it already. @param {string} name @param {import("/static/costume/schema.js").Asked} asking */
function neededOption(name, asking) {
  const place = make("div");
  const show = () => place.replaceChildren(field("adding", ["options", name], asking, draft.options[name], async (path, value) => {
    set(path.slice(1), value);
    if (asking.type === "list" || asking.type === "table") show();
    ready();
  }));
  show();
  return place;
}

/** Set one value of the draft's options, or take it out with null. @param {(string | number)[]} path @param {any} value */
function set(path, value) {
  let at = draft.options;
  for (const [index, part] of path.slice(0, -1).entries()) at = at[part] ??= typeof path[index + 1] === "number" ? [] : {};
  const last = path[path.length - 1];
  if (value !== null) at[last] = value;
  else if (Array.isArray(at)) at.splice(Number(last), 1);
  else delete at[last];
}

/** Let it be added once nothing is missing, and say what still is. */
function ready() {
  const {needed} = draft;
  const plain = (/** @type {string} */ name) => name.replaceAll("_", " ");
  const missing = [
    ...(draft.label ? [] : ["what you call it"]),
    ...needed.edges.filter((/** @type {string} */ role) => !draft.edges[role]).map((/** @type {string} */ role) => `where its ${plain(role)} is`),
    ...needed.options.filter((/** @type {string} */ name) => draft.options[name] === undefined || draft.options[name] === null).map(plain),
  ];
  byId("adding-done").disabled = missing.length > 0;
  byId("adding-missing").textContent = missing.length ? `Still to say: ${missing.join(", ")}.` : "";
}

byId("adding-form").addEventListener("submit", async (/** @type {Event} */ event) => {
  event.preventDefault();
  if (byId("adding-done").disabled) return;
  const {needed, ...piece} = draft;
  byId("adding-trouble").textContent = "";
  try {
    const answer = await save("POST", "/api/costume/pieces", piece, ["costume.toml"]);
    byId("adding").close();
    if (answer) given.done(answer.slug);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    byId("adding-trouble").textContent = `${error.trouble.what} ${error.trouble.advice}`;
  }
});
byId("adding-close").addEventListener("click", () => byId("adding").close());

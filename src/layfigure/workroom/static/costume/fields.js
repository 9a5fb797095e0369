// @ts-check
// Fields made from what a schema asks for. Each says what was typed as soon as it is left, with its own error beside.

import {make, Refusal} from "/static/room.js";
import {spoken} from "/static/costume/schema.js";
import {namedValues, sizeTable, together} from "/static/costume/tables.js";

/** @typedef {import("/static/costume/schema.js").Asked} Asked */
/** @typedef {(path: (string | number)[], value: any) => Promise<void>} Told */

/** Ids of fields, so that a form drawn anew finds its place again. @param {(string | number)[]} path @param {string} form */
export const fieldId = (form, path) => `${form}-${path.join("-")}`;

/**
 * A label with its control, an error beside it.
 * @param {string} id @param {string} words @param {string} hint @param {HTMLElement} control
 */
export function labelled(id, words, hint, control) {
  control.id = id;
  control.setAttribute("aria-describedby", `${id}-trouble`);
  return make("div", {class: "field"},
    make("label", {for: id}, words, ...(hint ? [make("span", {class: "hint"}, hint)] : [])),
    control,
    make("p", {class: "bad beside", id: `${id}-trouble`, role: "alert"}));
}

/** Run an edit and show beside its field what stands against it. @param {HTMLElement} control @param {() => Promise<any>} edit */
export async function beside(control, edit) {
  const place = document.getElementById(`${control.id}-trouble`);
  try {
    await edit();
    control.removeAttribute("aria-invalid");
    if (place) place.textContent = "";
  } catch (error) {
    if (!(error instanceof Refusal) || !place) throw error;
    control.setAttribute("aria-invalid", "true");
    place.textContent = `${error.trouble.what} ${error.trouble.advice}`;
  }
}

/** A select. @param {[string, string][]} options value and words @param {string} value @param {(event: any) => void} changed */
export function select(options, value, changed) {
  const control = make("select", {onchange: changed}, ...options.map(([one, words]) => make("option", {value: one}, words)));
  control.value = value;
  return control;
}

/**
 * The field of one value. told : is given the new value, undefined taken out as null.
 * @param {string} form @param {(string | number)[]} path @param {Asked} asked @param {any} value @param {Told} told
 * @returns {HTMLElement}
 */
export function field(form, path, asked, value, told) {
  const id = fieldId(form, path);
  if (asked.type === "list") return list(form, path, asked, value ?? [], told);
  if (asked.type === "table") return table(form, path, asked, value, told);
  if (asked.type === "map") return asked.item?.type === "map" ? sizeTable(form, path, asked, value ?? {}, told) : namedValues(form, path, asked, value ?? {}, told);
  if (asked.type === "tuple") return together(form, path, asked, value, told);
  if (asked.type === "other") return make("p", {class: "field soft"}, `${asked.words}: written in costume.toml. ${asked.hint}`);
  /** @type {HTMLInputElement | HTMLSelectElement} */
  let control;
  const change = () => beside(control, () => told(path, typed(asked, control)));
  if (asked.type === "choice" || asked.type === "yes") {
    const choices = asked.type === "yes" ? ["yes", "no"] : asked.choices.map(String);
    /** @type {[string, string][]} */
    const options = choices.map((one) => [one, spoken(one).toLowerCase()]);
    const known = value === undefined ? "" : asked.type === "yes" ? (value ? "yes" : "no") : String(value);
    if (asked.optional || !known) options.unshift(["", asked.usual ? `as usual: ${spoken(asked.usual).toLowerCase()}` : asked.optional ? "as usual" : "choose…"]);
    control = select(options, known, change);
  } else {
    control = make("input", {value: value === undefined ? "" : String(value), autocomplete: "off", onchange: change,
      inputmode: asked.type === "number" ? "decimal" : undefined,
      placeholder: asked.usual ? `usually ${asked.usual}` : [asked.optional && "as usual", asked.example && `like ${asked.example}`].filter(Boolean).join(", or ")});
  }
  return labelled(id, asked.words, asked.hint, control);
}

/** What a control holds, as the file has it; null where it is left empty. @param {Asked} asked @param {HTMLInputElement | HTMLSelectElement} control */
export function typed(asked, control) {
  const text = control.value.trim();
  if (!text) return null;
  if (asked.type === "yes") return text === "yes";
  if (asked.type === "choice") return asked.choices.find((one) => String(one) === text);
  const number = Number(text.replace(",", "."));
  return asked.type === "number" && Number.isFinite(number) ? number : text;
}

/** @param {string} form @param {(string | number)[]} path @param {Asked} asked @param {any[]} value @param {Told} told */
function list(form, path, asked, value, told) {
  const item = /** @type {Asked} */ (asked.item);
  const rows = value.map((one, number) => {
    const name = typeof one === "object" && one?.name ? one.name : `${asked.words} ${number + 1}`;
    const inside = item.type === "table"
      ? make("details", {class: "item"}, make("summary", {}, name), ...tableFields(form, [...path, number], item, one, told))
      : field(form, [...path, number], {...item, words: `${asked.words} ${number + 1}`, hint: ""}, one, told);
    return make("li", {}, inside, removing(form, [...path, number], `Remove ${spokenOf(item, one) || name}`, told));
  });
  const adder = adding(form, [...path, value.length], item, value.length || !asked.optional
    ? (path_, one) => told(path_, one) : (_, one) => told(path, [one]));
  return make("fieldset", {class: "part"}, make("legend", {class: "label"}, asked.words), ...(asked.hint ? [make("p", {class: "hint"}, asked.hint)] : []),
    make("ul", {class: "items"}, ...rows), adder);
}

/** How a chosen value reads. @param {Asked} item @param {any} one */
const spokenOf = (item, one) => (item.type === "choice" ? spoken(String(one)) : "");

/** A button that takes a value out, its own error beside it. @param {string} form @param {(string | number)[]} path @param {string} words @param {Told} told */
export function removing(form, path, words, told) {
  const button = make("button", {type: "button", class: "quiet", onclick: () => beside(button, () => told(path, null))}, words);
  button.id = `${fieldId(form, path)}-remove`;
  return make("div", {class: "removing"}, button, make("p", {class: "bad beside", id: `${button.id}-trouble`, role: "alert"}));
}

/** A thing to add to a list: what it cannot do without, and a button. @param {string} form @param {(string | number)[]} path @param {Asked} item @param {Told} told */
function adding(form, path, item, told) {
  /** @type {any} */
  let draft = item.type === "table" ? {} : undefined;
  const needed = item.type === "table" ? item.required : [];
  const keep = item.type === "table" ? async (/** @type {any[]} */ at, /** @type {any} */ value) => { draft[at[at.length - 1]] = value; } : async (/** @type {any[]} */ _, /** @type {any} */ value) => { draft = value; };
  const fields = item.type === "table" ? needed.map((key) => field(`${form}-new`, [...path, key], item.fields[key], undefined, keep)) : [field(`${form}-new`, path, {...item, words: "One more", hint: ""}, undefined, keep)];
  const button = make("button", {type: "button", onclick: () => beside(button, () => told(path, draft))}, "Add");
  button.id = `${fieldId(form, path)}-add`;
  return make("details", {class: "item"}, make("summary", {}, "Add one"), ...fields, button, make("p", {class: "bad beside", id: `${button.id}-trouble`, role: "alert"}));
}

/** @param {string} form @param {(string | number)[]} path @param {Asked} asked @param {any} value @param {Told} told */
function table(form, path, asked, value, told) {
  if (value === undefined && asked.optional) {
    const button = make("button", {type: "button", onclick: () => beside(button, () => told(path, {}))}, `Add: ${asked.words.toLowerCase()}`);
    return labelled(fieldId(form, path), asked.words, asked.hint, button);
  }
  return make("fieldset", {class: "part"}, make("legend", {class: "label"}, asked.words), ...(asked.hint ? [make("p", {class: "hint"}, asked.hint)] : []),
    ...tableFields(form, path, asked, value ?? {}, told),
    ...(asked.optional ? [removing(form, path, `Without ${asked.words.toLowerCase()}`, told)] : []));
}

/** Needed fields first, the rest folded away. @param {string} form @param {(string | number)[]} path @param {Asked} asked @param {any} value @param {Told} told */
export function tableFields(form, path, asked, value, told) {
  const names = Object.keys(asked.fields);
  const shown = names.filter((name) => asked.required.includes(name) || value?.[name] !== undefined);
  const rest = names.filter((name) => !shown.includes(name));
  const one = (/** @type {string} */ name) => field(form, [...path, name], asked.fields[name], value?.[name], told);
  return [
    ...shown.map(one),
    ...(rest.length ? [make("details", {class: "more"}, make("summary", {}, shown.length ? "More choices" : "Choices"), make("div", {class: "grid"}, ...rest.map(one)))] : []),
  ];
}

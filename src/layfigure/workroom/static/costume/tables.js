// @ts-check
// Fields for values by name, tables of sizes, and values that belong together.

import {make} from "/static/room.js";
import {beside, field, fieldId, labelled, removing, select, typed} from "/static/costume/fields.js";
import {spoken} from "/static/costume/schema.js";

/** @typedef {import("/static/costume/schema.js").Asked} Asked */
/** @typedef {import("/static/costume/fields.js").Told} Told */

/** Names of measures, for tables whose columns are measures. @type {string[]} */
let measures = [];
/** @param {string[]} names */
export function knowMeasures(names) {
  measures = names;
}

/** @param {string} id @param {Node[]} inside */
const wrong = (id, ...inside) => make("div", {class: "adding-row"}, ...inside, make("p", {class: "bad beside", id: `${id}-trouble`, role: "alert"}));

/**
 * Values by name, a row each: openings and their girths.
 * @param {string} form @param {(string | number)[]} path @param {Asked} asked @param {Record<string, any>} value @param {Told} told
 */
export function namedValues(form, path, asked, value, told) {
  const item = /** @type {Asked} */ (asked.item);
  const rows = Object.keys(value).map((name) => make("li", {},
    field(form, [...path, name], {...item, words: spoken(name), hint: ""}, value[name], told),
    removing(form, [...path, name], `Remove ${spoken(name).toLowerCase()}`, told)));
  const free = asked.keys.filter((key) => !(key in value));
  const id = fieldId(form, [...path, "new"]);
  const name = asked.keys.length ? select(free.map((key) => [key, spoken(key)]), free[0] ?? "", () => undefined) : make("input", {autocomplete: "off"});
  const amount = make("input", {autocomplete: "off", placeholder: item.example ? `like ${item.example}` : ""});
  const add = make("button", {type: "button", id, onclick: () => beside(add, () => told([...path, name.value.trim()], typed(item, amount)))}, "Add");
  name.id = `${id}-name`;
  amount.id = `${id}-value`;
  return part(asked, make("ul", {class: "items"}, ...rows),
    ...(asked.keys.length && !free.length ? [] : [wrong(id,
      make("div", {class: "field"}, make("label", {for: name.id}, "What"), name),
      make("div", {class: "field"}, make("label", {for: amount.id}, "How much"), amount), add)]));
}

/**
 * Sizes down, measures across, as on a pattern's envelope.
 * @param {string} form @param {(string | number)[]} path @param {Asked} asked @param {Record<string, Record<string, any>>} value @param {Told} told
 */
export function sizeTable(form, path, asked, value, told) {
  const cell = /** @type {Asked} */ (/** @type {Asked} */ (asked.item).item);
  const sizes = Object.keys(value);
  const columns = [...new Set(sizes.flatMap((size) => Object.keys(value[size])))];
  const id = fieldId(form, path);
  const table = make("table", {class: "size-table"},
    make("thead", {}, make("tr", {}, make("th", {scope: "col"}, "Size"), ...columns.map((name) => make("th", {scope: "col"}, spoken(name))), make("td", {}))),
    make("tbody", {}, ...sizes.map((size) => make("tr", {}, make("th", {scope: "row"}, size),
      ...columns.map((name) => {
        const own = [...path, size, name];
        const input = make("input", {autocomplete: "off", value: value[size][name] === undefined ? "" : String(value[size][name]), "aria-label": `${spoken(name)} of size ${size}`,
          placeholder: cell.example ? `like ${cell.example}` : "", onchange: () => beside(input, () => told(own, typed(cell, input)))});
        input.id = fieldId(form, own);
        input.setAttribute("aria-describedby", `${input.id}-trouble`);
        return make("td", {}, input, make("p", {class: "bad beside", id: `${input.id}-trouble`, role: "alert"}));
      }),
      make("td", {}, removing(form, [...path, size], `Remove ${size}`, told))))));
  const size = make("input", {autocomplete: "off", id: `${id}-new-size`, placeholder: "like M, or 42"});
  const measure = make("input", {autocomplete: "off", id: `${id}-new-measure`, list: `${id}-measures`, placeholder: "like bust girth"});
  const amount = make("input", {autocomplete: "off", id: `${id}-new-value`, placeholder: cell.example ? `like ${cell.example}` : ""});
  const add = make("button", {type: "button", id: `${id}-new`, onclick: () => beside(add, async () => {
    const name = measure.value.trim().toLowerCase().replace(/[^a-z0-9]+/g, "_");
    const own = size.value.trim();
    await told(own in value ? [...path, own, name] : [...path, own], own in value ? typed(cell, amount) : {[name]: typed(cell, amount)});
  })}, "Add to the table");
  return part(asked, ...(sizes.length ? [make("div", {class: "size-scroll", tabindex: "0", role: "group", "aria-label": asked.words}, table)] : []),
    make("datalist", {id: `${id}-measures`}, ...measures.map((name) => make("option", {value: spoken(name)}))),
    wrong(add.id,
      make("div", {class: "field"}, make("label", {for: size.id}, "Size"), size),
      make("div", {class: "field"}, make("label", {for: measure.id}, "Measure"), measure),
      make("div", {class: "field"}, make("label", {for: amount.id}, "How long"), amount), add));
}

/**
 * Values that are said all together: width, depth and height.
 * @param {string} form @param {(string | number)[]} path @param {Asked} asked @param {any[] | undefined} value @param {Told} told
 */
export function together(form, path, asked, value, told) {
  const names = asked.items.length === 3 ? ["Width", "Depth", "Height"] : ["Across", "Up"];
  const row = make("div", {class: "together"});
  const inputs = asked.items.map((item, k) => make("input", {autocomplete: "off", "aria-label": `${asked.words}: ${names[k].toLowerCase()}`, placeholder: names[k].toLowerCase(),
    value: value === undefined ? "" : String(value[k]), onchange: () => beside(row, async () => {
      const all = inputs.map((input, which) => typed(asked.items[which], input));
      if (all.every((one) => one !== null)) await told(path, all);
      else if (all.every((one) => one === null) && asked.optional) await told(path, null);
    })}));
  row.append(...inputs);
  return labelled(fieldId(form, path), asked.words, asked.hint, row);
}

/** @param {Asked} asked @param {...Node} inside */
function part(asked, ...inside) {
  return make("fieldset", {class: "part"}, make("legend", {class: "label"}, asked.words), ...(asked.hint ? [make("p", {class: "hint"}, asked.hint)] : []), ...inside);
}

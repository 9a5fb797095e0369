// @ts-check
// What a JSON Schema asks for, as a form needs it: plain words, and how it is typed.

/**
 * @typedef {{type: "choice" | "yes" | "number" | "text" | "quantity" | "list" | "table" | "map" | "tuple" | "other",
 *   words: string, hint: string, optional: boolean, usual: string, choices: (string | number)[], example: string,
 *   whole: boolean, item: Asked | null, items: Asked[], keys: string[], fields: Record<string, Asked>, required: string[]}} Asked
 *   map : names to values, all alike (item); keys are the names there can be, none for any. tuple : a fixed number of values (items)
 */

/** ``hole_spacing`` as a maker reads it. @param {string} name */
export function spoken(name) {
  const words = name.replaceAll("_", " ");
  return words[0].toUpperCase() + words.slice(1);
}

/** Options that say which of its kind a piece is: ``skirt``, ``helm``. */
export const FORMS = ["garment", "shape", "use", "form", "style", "made_of"];

/** Units that a quantity without one is in, by the form of its example. @type {[RegExp, (value: number) => string][]} */
const UNITS = [
  [/%/, (value) => `${+(value * 100).toFixed(1)} %`],
  [/deg/, (value) => `${value} deg`],
  [/N\/m/, (value) => `${value} N/m`],
  [/g\/m2/, (value) => `${value} g/m2`],
  [/ g$|lb/, (value) => `${+(value * 1000).toFixed(1)} g`],
  [/cm|mm|in$/, (value) => (value >= 300 ? `${+(value / 10).toFixed(2)} cm` : `${value} mm`)],
];

/** What is asked where no schema says it. @param {string} words @param {string} hint @param {Partial<Asked>} more @returns {Asked} */
export const plain = (words, hint, more) => ({type: "text", words, hint, optional: true, usual: "", choices: [], example: "", whole: false, item: null, items: [], keys: [], fields: {}, required: [], ...more});

/**
 * @param {any} schema @param {Record<string, any>} defs @param {string} name @param {boolean} required
 * @returns {Asked}
 */
export function asked(schema, defs, name, required) {
  const whole = {...schema};
  let body = resolved(whole, defs);
  let nullable = false;
  if (body.anyOf) {
    const others = body.anyOf.filter((/** @type {any} */ one) => one.type !== "null");
    nullable = others.length < body.anyOf.length;
    const enums = others.flatMap((/** @type {any} */ one) => one.enum ?? (one.const === undefined ? [] : [one.const]));
    const only = others.length && others.every((/** @type {any} */ one) => one.enum || one.const !== undefined);
    body = only ? {enum: enums} : others.length === 1 ? resolved(others[0], defs) : {};
  }
  const hint = whole.description ?? body.description ?? "";
  const fallback = whole.default ?? null;
  const example = body.examples?.[0] ?? "";
  /** @type {Asked} */
  const found = {
    type: "other", words: spoken(name), hint: hint.split("\n")[0], optional: !required || nullable, usual: "", choices: [], example,
    whole: body.type === "integer", item: null, items: [], keys: [], fields: {}, required: [],
  };
  if (body.enum || body.const !== undefined) Object.assign(found, {type: "choice", choices: body.enum ?? [body.const]});
  else if (body.type === "boolean") found.type = "yes";
  else if (body.type === "integer" || body.type === "number") found.type = "number";
  else if (body.type === "string") found.type = example ? "quantity" : "text";
  else if (body.type === "array" && body.items) {
    found.type = "list";
    found.item = asked(body.items, defs, name, true);
  } else if (body.type === "array" && body.prefixItems) {
    found.type = "tuple";
    found.items = body.prefixItems.map((/** @type {any} */ one) => asked(one, defs, name, true));
  } else if (body.type === "object" && body.additionalProperties?.type) {
    found.type = "map";
    found.item = asked(body.additionalProperties, defs, name, true);
    found.keys = body.propertyNames?.enum ?? [];
  } else if (body.type === "object" && body.properties) {
    found.type = "table";
    found.required = body.required ?? [];
    found.fields = Object.fromEntries(Object.entries(body.properties).map(([key, one]) => [key, asked(one, defs, key, found.required.includes(key))]));
  }
  if (fallback !== null && typeof fallback !== "object") {
    const unit = found.type === "quantity" ? UNITS.find(([form]) => form.test(example)) : null;
    found.usual = unit && typeof fallback === "number" ? unit[1](fallback) : found.type === "yes" ? (fallback ? "yes" : "no") : String(fallback);
  }
  return found;
}

/** @param {any} schema @param {Record<string, any>} defs */
function resolved(schema, defs) {
  if (!schema.$ref) return schema;
  const {$ref, ...rest} = schema;
  return {...defs[$ref.split("/").pop()], ...rest};
}

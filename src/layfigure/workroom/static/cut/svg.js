// @ts-check
// Drawings as elements: parsed from the workroom's own SVG, or made one by one.

const SPACE = "http://www.w3.org/2000/svg";

/**
 * An SVG document as an element of this page. Its own style sheet is left out: the page has one.
 * @param {string} text @returns {SVGSVGElement}
 */
export function parsed(text) {
  // Taken out before it is parsed: a page that lets no style sheet in complains of one even there.
  const plain = text.replace(/<style>[\s\S]*?<\/style>/, "");
  const root = new DOMParser().parseFromString(plain, "image/svg+xml").documentElement;
  return /** @type {SVGSVGElement} */ (/** @type {unknown} */ (document.importNode(root, true)));
}

/** @param {string} tag @param {Record<string, string | number>} attributes @param {...(Node | string)} children */
export function shape(tag, attributes, ...children) {
  const element = document.createElementNS(SPACE, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, String(value));
  element.append(...children);
  return element;
}

/** A piece drawn small. @param {{path: string, width: number, height: number}} outline */
export function thumbnail(outline) {
  const margin = 0.03 * Math.max(outline.width, outline.height);
  const box = [-margin, -margin, outline.width + 2 * margin, outline.height + 2 * margin];
  return shape("svg", {class: "thumb", viewBox: box.join(" "), "aria-hidden": "true"},
    shape("path", {d: outline.path, "fill-rule": "evenodd"}));
}

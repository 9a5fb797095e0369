// @ts-check
// Names of the files said as one would say them.

/** What a picture shows, in the order that is asked. @type {Record<string, string>} */
export const VIEWS = {
  front: "The front",
  back: "The back",
  left: "The character's left side",
  right: "The character's right side",
  free: "Something in between",
};

/** @param {string} words */
export const capital = (words) => words && words[0].toUpperCase() + words.slice(1);

/** @type {Record<string, string>} */
const LEVELS = {bust: "chest", under_bust: "below the chest", waist: "waist", hip: "seat"};
/** @type {Record<string, string>} */
const SINGLE = {
  crown: "Top of the head",
  chin: "Chin, its lowest point",
  nape: "Back of the neck, the bone at its base",
  crotch: "Where the legs part",
};
/** @type {Record<string, string>} */
const TIPS = {
  shoulder_point: "shoulder, the outer end of the bone",
  fingertip: "hand, tip of the longest finger",
  toe_tip: "foot, tip of the longest toe",
};
/** @type {Record<string, string>} */
const JOINTS = {elbow: "elbow", wrist: "wrist", knuckles: "knuckles", knee: "knee", ankle: "ankle"};

/** A point of the body: "Left knee, the middle". @param {string} name */
export function pointWords(name) {
  if (SINGLE[name]) return SINGLE[name];
  const level = Object.keys(LEVELS).find((one) => name.startsWith(`${one}_`));
  if (level) {
    const where = {front: "middle of the front", back: "on the spine", left: "left edge", right: "right edge"};
    return capital(`${LEVELS[level]}, ${/** @type {any} */ (where)[name.slice(level.length + 1)]}`);
  }
  const [, stem, side, end] = /^(.+?)_(left|right)(?:_(inner|outer))?$/.exec(name) ?? ["", name, "", ""];
  if (TIPS[stem]) return capital(`${side} ${TIPS[stem]}`);
  return capital(`${side} ${JOINTS[stem] ?? stem}, ${end ? `${end} edge` : "the middle"}`);
}

/** @type {Record<string, string>} */
const REGIONS = {
  head: "head", neck: "neck", torso: "trunk", upper_arm: "upper arm", forearm: "forearm",
  hand: "hand", thigh: "thigh", shank: "lower leg", foot: "foot",
};

/** A part of the body: "left lower leg". @param {string} region */
export function regionWords(region) {
  const [, stem, side] = /^(.+?)(?:_(left|right))?$/.exec(region) ?? ["", region, ""];
  return `${side ? `${side} ` : ""}${REGIONS[stem] ?? stem}`;
}

/** What the study says, in the words of this page. @param {string} words */
export const plainly = (words) => words.replaceAll(/\btorso\b/g, "trunk").replaceAll(/\bshank\b/g, "lower leg");

/** A line of the costume: "Guard top, left". @param {string} slug */
export function lineWords(slug) {
  const [, stem, side] = /^(.+?)(?:_(left|right))?$/.exec(slug) ?? ["", slug, ""];
  return `${capital(stem.replaceAll("_", " "))}${side ? `, ${side}` : ""}`;
}

/** A picture's name: "three quarter". @param {string} name */
export const pictureWords = (name) => name.replaceAll("_", " ");

/** Where the character's own left is in a picture. @param {string} view */
export function leftWords(view) {
  if (view === "front") return "Left is the character's own left: here on your right.";
  if (view === "back") return "Left is the character's own left: seen from behind, on your left.";
  return "Left and right are the character's own, not yours.";
}

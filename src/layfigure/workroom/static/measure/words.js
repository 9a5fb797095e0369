// @ts-check
// Measures in words, as a maker says them.

/** @typedef {{stored: string, taken: boolean, guess: {about: string, sure: string} | null}} OfSide */
/**
 * @typedef {{name: string, words: string, place: string, with: string, kind: string, paired: boolean, unit: string,
 *   readings: Record<string, string[]>, sides: Record<string, OfSide>, pieces: string[]}} Measure
 */

/** @param {string} words */
export const capital = (words) => words.charAt(0).toUpperCase() + words.slice(1);

/** Names of measures inside a sentence of the library, as spoken: wrist_girth_left is the left wrist girth. @param {string} sentence */
export function spoken(sentence) {
  const words = sentence.replace(/\b[a-z]+(?:_[a-z]+)+\b/g, (name) => {
    const side = name.match(/_(left|right)$/);
    return `${side ? `${side[1]} ` : ""}${name.replace(/_(left|right)$/, "").replaceAll("_", " ")}`;
  });
  return capital(words);
}

/** The first measure that a sentence names. @param {string} sentence @param {Measure[]} measures */
export function namedIn(sentence, measures) {
  const words = spoken(sentence).toLowerCase();
  return measures
    .map((measure) => ({measure, at: words.indexOf(measure.words)}))
    .filter(({at}) => at >= 0)
    .sort((a, b) => a.at - b.at || b.measure.words.length - a.measure.words.length)[0]?.measure;
}

/** @param {Measure} measure */
export const isTaken = (measure) => Object.values(measure.sides).every((side) => side.taken);

/** What a row of the list says of a measure. @param {Measure} measure */
export function inShort(measure) {
  const read = Object.entries(measure.readings).map(([hand, sizes]) => `${hand === "both" ? "" : `${hand} `}${sizes.join(", ")}`);
  return read.length ? read.join("; ") : "";
}

/** The guess for a measure, or for the side of it that was not taken. @param {Measure} measure */
export function guessWords(measure) {
  const guessed = Object.entries(measure.sides).filter(([, side]) => side.guess);
  if (!guessed.length) return "";
  const [hand, side] = guessed[0];
  const one = guessed.length === 1 && measure.paired ? `${hand} ` : "";
  return `${one}guessed ${side.guess?.about}, sure to ${side.guess?.sure}`;
}

/** @param {Measure} measure */
export const withWhat = (measure) => ({
  tape: measure.kind === "girth" ? "With a tape, snug and not tight." : "With a tape, lying close.",
  wall: "Standing against a wall, with a book held level; read the height with a tape.",
  calipers: "Straight across, between two books or boards held upright.",
  scale: "On scales.",
})[measure.with] ?? "";

/** Slugs of pieces as a maker reads them. @param {string[]} slugs */
export function pieceWords(slugs) {
  const names = [...new Set(slugs.map((slug) => slug.replace(/_(left|right)$/, "").replaceAll("_", " ")))];
  if (names.length <= 3) return names.join(", ");
  return `${names.slice(0, 3).join(", ")} and ${names.length - 3} more`;
}

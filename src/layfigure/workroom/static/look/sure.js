// @ts-check
// What the marks say so far: the figure over the picture, and how sure each line is.

import {ask, finished, make} from "/static/room.js";
import {capital, lineWords, pictureWords, plainly} from "./words.js";

/** How long the maker is left alone before the marks are read again [ms]. */
const CALM = 700;

export class Sure {
  /**
   * @param {HTMLElement} box @param {string} picture @param {(result: any) => void} found
   * @param {(click: any) => void} go to a click of this picture that would help
   */
  constructor(box, picture, found, go) {
    this.go = go;
    this.box = box;
    this.picture = picture;
    this.found = found;
    this.timer = 0;
    /** @type {AbortController | null} */
    this.asking = null;
  }

  /** Read the marks again, once the maker pauses. @param {number} [calm] */
  read(calm = CALM) {
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => this.#read(), calm);
  }

  async #read() {
    this.asking?.abort();
    this.asking = new AbortController();
    const {signal} = this.asking;
    this.box.setAttribute("aria-busy", "true");
    try {
      const result = await finished(await ask("POST", "/api/study", undefined, signal), undefined, signal);
      if (signal.aborted) return;
      this.#show(result);
      this.found(result);
    } catch (error) {
      if (signal.aborted || (error instanceof DOMException && error.name === "AbortError")) return;
      this.box.replaceChildren(make("p", {class: "soft"}, error instanceof Error ? error.message : ""));
    } finally {
      if (!signal.aborted) this.box.removeAttribute("aria-busy");
    }
  }

  /** The way to a click that would help. @param {any} click */
  #way(click) {
    return click.picture === this.picture
      ? make("button", {type: "button", class: "small", onclick: () => this.go(click)}, "Show me where")
      : make("a", {class: "button small", href: `/look/${encodeURIComponent(click.picture)}#helps`}, `Go to ${pictureWords(click.picture)}`);
  }

  /** @param {any} result */
  #show({lines, messages, next, problem, study, waiting}) {
    /** @type {HTMLElement[]} */
    const parts = [];
    const say = (/** @type {string} */ words, kind = "") => parts.push(make("p", {class: kind}, words));
    if (problem) say(`${capital(problem.what)} ${problem.advice}`, "note");
    else if (!study) say("Once a few points are set, a figure is fitted to them, and this says how sure every line is.", "soft");
    for (const message of messages) say(plainly(message), "note");
    if (next.length) parts.push(make("p", {class: "row"}, make("span", {}, make("strong", {}, "Helps most now: "), plainly(next[0].words)), this.#way(next[0])));
    if (lines.length) {
      parts.push(make("ul", {class: "sure-list"}, ...lines.map((/** @type {any} */ line) => make("li", {},
        make("strong", {}, lineWords(line.slug)), `: ${line.words}.`,
        ...(line.advice.length ? [make("details", {}, make("summary", {class: "small"}, "What would help"),
          ...line.advice.map((/** @type {string} */ advice) => make("p", {class: "soft small"}, plainly(advice))))] : [])))));
    } else if (study) say("The figure stands. Trace a line of the costume, and this says how sure it is.");
    const others = waiting.filter((/** @type {string} */ name) => name !== this.picture);
    if (study && others.length) say(`Not counted yet, for too little is marked on them: ${others.map(pictureWords).join(", ")}.`, "soft");
    this.box.replaceChildren(...parts);
  }
}

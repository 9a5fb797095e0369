// @ts-check
// Edits brought to disk one after the other, in the order they were made.

import {failed, save} from "/static/room.js";

/** How long further moves of the same mark are waited for [ms]. */
const WAITING = 350;

export class Keeping {
  /** @param {string} picture @param {() => void} kept after every edit that is on disk */
  constructor(picture, kept) {
    this.picture = picture;
    this.kept = kept;
    /** @type {{what: string, same: string, marks: unknown}[]} */
    this.waiting = [];
    /** @type {Promise<void> | null} */
    this.working = null;
    this.timer = 0;
  }

  /** Whether everything made is on disk. */
  get done() {
    return !this.waiting.length && !this.working;
  }

  /**
   * Keep the marks as they are now. same : edits of one name that come in quick succession are one step to
   * take back; empty for an edit of its own, which goes at once.
   * @param {string} what @param {unknown} marks @param {string} [same]
   */
  keep(what, marks, same = "") {
    const last = this.waiting.at(-1);
    if (last && same && last.same === same) last.marks = marks;
    else this.waiting.push({what, same, marks});
    clearTimeout(this.timer);
    if (same) this.timer = window.setTimeout(() => this.finish(), WAITING);
    else this.finish();
  }

  /** Bring everything to disk. */
  async finish() {
    clearTimeout(this.timer);
    this.working ??= this.#work().finally(() => {
      this.working = null;
    });
    await this.working;
  }

  async #work() {
    for (;;) {
      const next = this.waiting.shift();
      if (!next) return;
      try {
        const saved = await save("PUT", "/api/marks", {picture: this.picture, marks: next.marks, what: next.what}, ["marks.json"]);
        // The maker chose what is there now: the rest was made on something else.
        if (!saved) this.waiting = [];
        else this.kept();
      } catch (error) {
        this.waiting = [];
        failed(error);
      }
    }
  }
}

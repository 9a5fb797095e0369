// @ts-check
// How the picture lies under the window it is seen through.

/** @typedef {[number, number]} Place */

const MOST = 24;

export class Ground {
  constructor() {
    /** Screen pixels a picture pixel. */
    this.scale = 1;
    /** Where the picture's upper left corner is on the screen. @type {Place} */
    this.corner = [0, 0];
    /** @type {Place} */ this.size = [1, 1];
    /** @type {Place} */ this.window = [1, 1];
    this.whole = true;
  }

  /** Scale at which the whole picture is seen. */
  get least() {
    return Math.min((this.window[0] - 16) / this.size[0], (this.window[1] - 16) / this.size[1]);
  }

  showWhole() {
    this.whole = true;
    this.scale = this.least;
    this.corner = [(this.window[0] - this.size[0] * this.scale) / 2, (this.window[1] - this.size[1] * this.scale) / 2];
  }

  /** @param {Place} window */
  resize(window) {
    const middle = this.place([this.window[0] / 2, this.window[1] / 2]);
    this.window = window;
    if (this.whole) this.showWhole();
    else this.centre(middle);
  }

  /** @param {Place} spot @returns {Place} in the picture */
  place(spot) {
    return [(spot[0] - this.corner[0]) / this.scale, (spot[1] - this.corner[1]) / this.scale];
  }

  /** @param {Place} place @returns {Place} on the screen */
  spot(place) {
    return [place[0] * this.scale + this.corner[0], place[1] * this.scale + this.corner[1]];
  }

  /** Nearer or farther, with one spot staying where it is. @param {number} factor @param {Place} [about] */
  zoom(factor, about = [this.window[0] / 2, this.window[1] / 2]) {
    const place = this.place(about);
    this.scale = Math.min(Math.max(this.scale * factor, 0.7 * this.least), Math.max(MOST, this.least));
    this.corner = [about[0] - place[0] * this.scale, about[1] - place[1] * this.scale];
    this.#hold();
  }

  /** @param {number} x @param {number} y */
  pan(x, y) {
    this.corner = [this.corner[0] + x, this.corner[1] + y];
    this.#hold();
  }

  /** @param {Place} place */
  centre(place) {
    this.corner = [this.window[0] / 2 - place[0] * this.scale, this.window[1] / 2 - place[1] * this.scale];
    this.#hold();
  }

  /** Bring a place into view if it is not. @param {Place} place */
  reveal(place) {
    const [x, y] = this.spot(place);
    if (x < 24 || y < 24 || x > this.window[0] - 24 || y > this.window[1] - 24) this.centre(place);
  }

  /** The picture never leaves the window altogether. */
  #hold() {
    this.whole = false;
    this.corner = /** @type {Place} */ (this.corner.map((at, k) => {
      const long = this.size[k] * this.scale;
      const rim = Math.min(60, long / 2);
      return Math.min(Math.max(at, rim - long), this.window[k] - rim);
    }));
  }
}

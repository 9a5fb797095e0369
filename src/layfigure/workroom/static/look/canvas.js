// @ts-check
// The picture and, on a sheet of its own above it, the marks: a dragged mark never draws the picture again.

import {apart, drawMarks, moving} from "./drawn.js";
import {Ground} from "./ground.js";
import {nearestPart} from "./marks.js";

/** @typedef {[number, number]} Place */
/** @typedef {import("./drawn.js").Box} Box */
/** @typedef {import("./marks.js").Marks} Marks */
/** @typedef {{outlines: Place[][], levels: {region: string, level: string, points: Place[]}[]}} Figure */

/** Screen pixels within which a pointer takes hold of a mark. */
export const REACH = {mouse: 9, touch: 22};

/** And of a line between two marks. */
export const LINE_REACH = {mouse: 7, touch: 12};

/** Marks lie on pictures of any colour, so theirs are the same in the light and in the dark, with a white rim. */
function colours() {
  const desk = getComputedStyle(document.documentElement).getPropertyValue("--paper-deep").trim();
  return {desk, point: "#155e8a", outline: "#b35c00", line: "#7a1f5c", halo: "#ffffff", ink: "#10202c"};
}

export class Canvas {
  /** @param {HTMLElement} easel @param {HTMLCanvasElement} below @param {HTMLCanvasElement} above */
  constructor(easel, below, above) {
    this.easel = easel;
    this.below = below;
    this.above = above;
    this.ground = new Ground();
    /** The picture at falling sizes, so that drawing it small is quick. @type {{image: CanvasImageSource, share: number}[]} */
    this.levels = [];
    /** @type {Marks | null} */ this.marks = null;
    /** @type {Figure | null} */ this.figure = null;
    this.kind = "points";
    this.chosen = "";
    /** What a mark is called, to be written beside it. @type {(mark: string) => string} */
    this.called = () => "";
    /** Line that is being traced. */ this.slug = "";
    /** Part of the body whose edge is being marked. */ this.region = "torso";
    /** Where the next mark is expected. @type {Place | null} */ this.expected = null;
    /** A finger on its way to a place. @type {Place | null} */ this.finger = null;
    /** Where a point would come out of the line under the pointer. @type {Place | null} */ this.between = null;
    this.colour = colours();
    /** How much of the marks is to be drawn again. @type {{below: boolean, above: "" | "moved" | "all"}} */
    this.stale = {below: true, above: "all"};
    /** What moved is drawn here now. @type {Box[]} */ this.moved = [];
    this.frame = 0;
    new ResizeObserver(() => this.#fit()).observe(easel);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
      this.colour = colours();
      this.show();
    });
  }

  /** @param {ImageBitmap} picture */
  take(picture) {
    this.levels = [{image: picture, share: 1}];
    let [width, height, share] = [picture.width, picture.height, 1];
    while (Math.max(width, height) > 700) {
      const small = document.createElement("canvas");
      [width, height, share] = [Math.ceil(width / 2), Math.ceil(height / 2), share / 2];
      [small.width, small.height] = [width, height];
      const pen = /** @type {CanvasRenderingContext2D} */ (small.getContext("2d"));
      pen.imageSmoothingQuality = "high";
      pen.drawImage(/** @type {CanvasImageSource} */ (this.levels[this.levels.length - 1].image), 0, 0, width, height);
      this.levels.push({image: small, share});
    }
    this.show();
  }

  /** Draw everything with the next frame. */
  show() {
    this.stale.below = true;
    this.showMarks();
  }

  /** Draw with the next frame what goes with the pointer: all else is as it was drawn last. */
  showMoved() {
    this.stale.above ||= "moved";
    this.frame ||= requestAnimationFrame(() => this.#draw());
  }

  /** Draw the marks with the next frame. */
  showMarks() {
    this.stale.above = "all";
    this.frame ||= requestAnimationFrame(() => this.#draw());
  }

  /**
   * The mark under a spot, of the kind that is being set. @param {Place} spot @param {number} reach
   * @returns {string}
   */
  under(spot, reach) {
    let [best, near] = ["", reach];
    for (const name of this.marks?.names(this.kind) ?? []) {
      if (!this.ours(name)) continue;
      const [x, y] = this.ground.spot(/** @type {Place} */ (this.marks?.at(name)));
      const off = Math.hypot(x - spot[0], y - spot[1]) - (name === this.chosen ? 3 : 0);
      if (off < near) [best, near] = [name, off];
    }
    return best;
  }

  /**
   * The part of a line under a spot, out of which a point may be dragged: of the line that is being traced, or of any
   * where none is chosen. @param {Place} spot @param {number} reach
   * @returns {{slug: string, number: number, index: number, at: Place} | null}
   */
  lineUnder(spot, reach) {
    if (this.kind !== "lines" || !this.marks) return null;
    const place = this.ground.place(spot);
    let [best, near] = [null, reach / this.ground.scale];
    for (const [slug, stretches] of Object.entries(this.marks.edges)) {
      if (this.slug && slug !== this.slug) continue;
      for (const [number, stretch] of stretches.entries()) {
        const part = nearestPart(stretch, place);
        if (part && part.off < near) [best, near] = [{slug, number, index: part.index, at: part.at}, part.off];
      }
    }
    return best;
  }

  /** Whether a mark of the kind being set belongs to the line or the part of the body at hand. @param {string} mark */
  ours(mark) {
    const [kind, own] = mark.split(" ");
    if (kind === "line") return !this.slug || own === this.slug;
    return kind !== "outline" || this.marks?.outlines[+own].region === this.region;
  }

  #fit() {
    const box = this.easel.getBoundingClientRect();
    const dots = devicePixelRatio || 1;
    for (const sheet of [this.below, this.above]) {
      [sheet.width, sheet.height] = [Math.round(box.width * dots), Math.round(box.height * dots)];
    }
    this.ground.resize([box.width, box.height]);
    this.show();
  }

  #draw() {
    this.frame = 0;
    if (this.stale.below) this.#drawPicture();
    if (this.stale.above) this.#drawMarks();
    this.stale = {below: false, above: ""};
  }

  #drawPicture() {
    const pen = /** @type {CanvasRenderingContext2D} */ (this.below.getContext("2d", {alpha: false}));
    const dots = devicePixelRatio || 1;
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.fillStyle = this.colour.desk;
    pen.fillRect(0, 0, this.below.width, this.below.height);
    if (!this.levels.length) return;
    const {scale, corner, size, window} = this.ground;
    const fine = this.levels.filter((level) => level.share >= scale * dots);
    const level = fine.length ? fine[fine.length - 1] : this.levels[0];
    // Only what is seen of it is drawn.
    const from = [0, 1].map((k) => Math.max(0, -corner[k] / scale));
    const to = [0, 1].map((k) => Math.min(size[k], (window[k] - corner[k]) / scale));
    if (to[0] <= from[0] || to[1] <= from[1]) return;
    pen.imageSmoothingEnabled = scale * dots < 4;
    pen.setTransform(dots, 0, 0, dots, 0, 0);
    pen.drawImage(
      level.image, from[0] * level.share, from[1] * level.share, (to[0] - from[0]) * level.share, (to[1] - from[1]) * level.share,
      from[0] * scale + corner[0], from[1] * scale + corner[1], (to[0] - from[0]) * scale, (to[1] - from[1]) * scale,
    );
  }

  #drawMarks() {
    const pen = /** @type {CanvasRenderingContext2D} */ (this.above.getContext("2d"));
    const dots = devicePixelRatio || 1;
    const is = moving(pen, this);
    // Only what moves is wiped and drawn again: without a graphics card every pixel is work.
    const places = this.stale.above === "moved" ? apart([...this.moved, ...is].map((box) => wholeDots(box, dots))) : [null];
    this.moved = is;
    for (const place of places) {
      const [left, top, right, bottom] = place ?? [0, 0, this.above.width, this.above.height];
      pen.setTransform(1, 0, 0, 1, 0, 0);
      pen.save();
      pen.beginPath();
      pen.rect(left, top, right - left, bottom - top);
      pen.clip();
      pen.clearRect(left, top, right - left, bottom - top);
      pen.setTransform(dots, 0, 0, dots, 0, 0);
      drawMarks(pen, this, place && /** @type {Box} */ (place.map((side) => side / dots)));
      pen.restore();
    }
  }
}

/** A box in the screen's own pixels, to their edges: none is wiped in part. @param {Box} box @param {number} dots @returns {Box} */
const wholeDots = ([left, top, right, bottom], dots) =>
  [Math.floor(left * dots), Math.floor(top * dots), Math.ceil(right * dots), Math.ceil(bottom * dots)];

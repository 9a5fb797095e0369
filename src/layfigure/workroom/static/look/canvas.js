// @ts-check
// The picture and, on a sheet of its own above it, the marks: a dragged mark never draws the picture again.

import {Ground} from "./ground.js";
import {nearestPart} from "./marks.js";

/** @typedef {[number, number]} Place */
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
    this.stale = {below: true, above: true};
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

  /** Draw the marks with the next frame. */
  showMarks() {
    this.stale.above = true;
    this.frame ||= requestAnimationFrame(() => this.#draw());
  }

  /**
   * The mark under a spot, of the kind that is being set. @param {Place} spot @param {number} reach
   * @returns {string}
   */
  under(spot, reach) {
    let [best, near] = ["", reach];
    for (const name of this.marks?.names(this.kind) ?? []) {
      if (!this.#ours(name)) continue;
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
  #ours(mark) {
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
    this.stale = {below: false, above: false};
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
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.clearRect(0, 0, this.above.width, this.above.height);
    pen.setTransform(dots, 0, 0, dots, 0, 0);
    pen.lineJoin = "round";
    if (this.figure) this.#drawFigure(pen, this.figure);
    if (!this.marks) return;
    this.#drawLines(pen);
    for (const kind of ["outlines", "lines", "points"]) if (kind !== this.kind) this.#drawKind(pen, kind, false);
    this.#drawKind(pen, this.kind, true);
    if (this.between) this.#drawBetween(pen, this.ground.spot(this.between));
    if (this.expected) this.#drawExpected(pen, this.ground.spot(this.expected));
    const chosen = this.chosen ? this.marks.at(this.chosen) : null;
    if (chosen) {
      this.#drawChosen(pen, this.ground.spot(chosen));
      this.#drawName(pen, this.ground.spot(chosen), this.called(this.chosen));
    }
    if (this.finger) this.#drawGlass(pen, this.finger);
  }

  /** @param {CanvasRenderingContext2D} pen @param {Place[]} places @param {boolean} closed */
  #path(pen, places, closed) {
    pen.beginPath();
    for (const place of places) {
      const [x, y] = this.ground.spot(place);
      pen.lineTo(x, y);
    }
    if (closed) pen.closePath();
  }

  /** @param {CanvasRenderingContext2D} pen @param {Figure} figure */
  #drawFigure(pen, figure) {
    for (const [width, colour] of /** @type {[number, string][]} */ ([[4, "rgb(255 255 255 / 60%)"], [1.7, "#0b4f8a"]])) {
      pen.lineWidth = width;
      pen.strokeStyle = colour;
      for (const ring of figure.outlines) {
        this.#path(pen, ring, true);
        pen.stroke();
      }
      pen.lineWidth = width * 0.6;
      for (const level of figure.levels) {
        this.#path(pen, level.points, false);
        pen.stroke();
      }
    }
  }

  /** @param {CanvasRenderingContext2D} pen */
  #drawLines(pen) {
    for (const [slug, stretches] of Object.entries(this.marks?.edges ?? {})) {
      const now = this.kind === "lines" && slug === this.slug;
      for (const stretch of stretches) {
        this.#path(pen, stretch.points, stretch.closed);
        pen.lineWidth = now ? 5 : 3;
        pen.strokeStyle = "rgb(255 255 255 / 75%)";
        pen.stroke();
        pen.lineWidth = now ? 2.4 : 1.3;
        pen.strokeStyle = this.colour.line;
        pen.stroke();
      }
    }
  }

  /** Points are round, outlines are diamonds, lines are square: shapes tell them apart before colours do.
   * @param {CanvasRenderingContext2D} pen @param {string} kind @param {boolean} now */
  #drawKind(pen, kind, now) {
    const marks = /** @type {Marks} */ (this.marks);
    for (const name of marks.names(kind)) {
      const [x, y] = this.ground.spot(/** @type {Place} */ (marks.at(name)));
      if (x < -20 || y < -20 || x > this.ground.window[0] + 20 || y > this.ground.window[1] + 20) continue;
      const parts = name.split(" ");
      const ours = now && this.#ours(name);
      const size = ours ? 5 : 2.6;
      pen.beginPath();
      if (kind === "points") pen.arc(x, y, size, 0, 2 * Math.PI);
      else if (kind === "outlines") {
        pen.moveTo(x, y - size * 1.25);
        pen.lineTo(x + size * 1.25, y);
        pen.lineTo(x, y + size * 1.25);
        pen.lineTo(x - size * 1.25, y);
        pen.closePath();
      } else if (marks.edges[parts[1]][+parts[2]].corners.includes(+parts[3])) {
        pen.rect(x - size, y - size, 2 * size, 2 * size);
      } else pen.arc(x, y, size * 0.85, 0, 2 * Math.PI);
      pen.lineWidth = ours ? 3.4 : 2;
      pen.strokeStyle = this.colour.halo;
      pen.stroke();
      const hollow = kind === "outlines" && marks.outlines[+parts[1]].hidden;
      pen.fillStyle = hollow ? this.colour.halo : kind === "points" ? this.colour.point : kind === "outlines" ? this.colour.outline : this.colour.line;
      pen.fill();
      if (hollow) {
        pen.lineWidth = 1.6;
        pen.strokeStyle = this.colour.outline;
        pen.stroke();
      }
    }
  }

  /** @param {CanvasRenderingContext2D} pen @param {Place} spot */
  #drawChosen(pen, [x, y]) {
    for (const [width, colour] of /** @type {[number, string][]} */ ([[5, this.colour.halo], [2, this.colour.ink]])) {
      pen.lineWidth = width;
      pen.strokeStyle = colour;
      pen.beginPath();
      pen.arc(x, y, 12, 0, 2 * Math.PI);
      for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
        pen.moveTo(x + 12 * dx, y + 12 * dy);
        pen.lineTo(x + 21 * dx, y + 21 * dy);
      }
      pen.stroke();
    }
  }

  /** Dark letters with a white rim: read on a picture of any colour. @param {CanvasRenderingContext2D} pen @param {Place} spot @param {string} name */
  #drawName(pen, [x, y], name) {
    if (!name) return;
    pen.font = "600 14px system-ui, sans-serif";
    const wide = pen.measureText(name).width;
    const left = x + 28 + wide > this.ground.window[0] ? Math.max(4, x - 28 - wide) : x + 28;
    pen.textBaseline = "middle";
    pen.lineWidth = 5;
    pen.strokeStyle = this.colour.halo;
    pen.strokeText(name, left, y);
    pen.fillStyle = this.colour.ink;
    pen.fillText(name, left, y);
  }

  /** @param {CanvasRenderingContext2D} pen @param {Place} spot */
  #drawExpected(pen, [x, y]) {
    pen.save();
    pen.setLineDash([5, 4]);
    for (const [width, colour] of /** @type {[number, string][]} */ ([[4.5, this.colour.halo], [2, this.colour.point]])) {
      pen.lineWidth = width;
      pen.strokeStyle = colour;
      pen.beginPath();
      pen.arc(x, y, 16, 0, 2 * Math.PI);
      pen.stroke();
    }
    pen.restore();
  }

  /** A hollow point: what would come of dragging the line here. @param {CanvasRenderingContext2D} pen @param {Place} spot */
  #drawBetween(pen, [x, y]) {
    pen.beginPath();
    pen.arc(x, y, 4.5, 0, 2 * Math.PI);
    pen.fillStyle = this.colour.halo;
    pen.fill();
    pen.lineWidth = 2;
    pen.strokeStyle = this.colour.line;
    pen.stroke();
  }

  /** What the finger covers, shown larger beside it. @param {CanvasRenderingContext2D} pen @param {Place} spot */
  #drawGlass(pen, spot) {
    const r = 58;
    const left = spot[0] > this.ground.window[0] / 2;
    const [x, y] = [left ? r + 10 : this.ground.window[0] - r - 10, r + 10];
    const [px, py] = this.ground.place(spot);
    const wide = r / (this.ground.scale * 2.2);
    pen.save();
    pen.beginPath();
    pen.arc(x, y, r, 0, 2 * Math.PI);
    pen.fillStyle = this.colour.desk;
    pen.fill();
    pen.clip();
    if (this.levels.length) {
      pen.drawImage(this.levels[0].image, px - wide, py - wide, 2 * wide, 2 * wide, x - r, y - r, 2 * r, 2 * r);
    }
    pen.restore();
    for (const [width, colour] of /** @type {[number, string][]} */ ([[3, this.colour.halo], [1.2, this.colour.ink]])) {
      pen.lineWidth = width;
      pen.strokeStyle = colour;
      pen.beginPath();
      pen.moveTo(x - 14, y);
      pen.lineTo(x + 14, y);
      pen.moveTo(x, y - 14);
      pen.lineTo(x, y + 14);
      pen.moveTo(x + r, y);
      pen.arc(x, y, r, 0, 2 * Math.PI);
      pen.stroke();
    }
  }
}

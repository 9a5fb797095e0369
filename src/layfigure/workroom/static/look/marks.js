// @ts-check
// One picture's marks. A mark has a name of its own: "point knee_left", "outline 2 5", "line belt 0 3".

/** @typedef {[number, number]} Place */
/** @typedef {{region: string, points: Place[], hidden: boolean}} Outline */
/** @typedef {{points: Place[], corners: number[], closed: boolean, regions: string[]}} Stretch */
/** @typedef {{landmarks: Record<string, Place | null>, outlines: Outline[], edges: Record<string, Stretch[]>}} MarkData */

export class Marks {
  /** @param {MarkData} data @param {[number, number]} size of the picture */
  constructor(data, size) {
    this.landmarks = data.landmarks;
    this.outlines = data.outlines;
    this.edges = data.edges;
    this.size = size;
  }

  /** All as the files have it, apart from this one. @returns {MarkData} */
  copy() {
    return structuredClone({landmarks: this.landmarks, outlines: this.outlines, edges: this.edges});
  }

  /** Points of an outline or a stretch. @param {string[]} name @returns {Place[]} */
  #run(name) {
    return name[0] === "outline" ? this.outlines[+name[1]]?.points ?? [] : this.edges[name[1]]?.[+name[2]]?.points ?? [];
  }

  /** @param {string} mark @returns {Place | null} */
  at(mark) {
    const name = mark.split(" ");
    if (name[0] === "point") return this.landmarks[name[1]] ?? null;
    return this.#run(name)[+name[name.length - 1]] ?? null;
  }

  /** The points that come before and after one of a line. @param {string} mark @returns {Place[]} */
  beside(mark) {
    const [kind, slug, number, index] = mark.split(" ");
    if (kind !== "line") return [];
    const {points, closed} = this.edges[slug][+number];
    const ends = closed ? [points[points.length - 1], points[0]] : [];
    return [points[+index - 1] ?? ends[0], points[+index + 1] ?? ends[1]].filter(Boolean);
  }

  /** Move a mark, kept inside the picture and to a tenth of a pixel. @param {string} mark @param {Place} to */
  move(mark, to) {
    const name = mark.split(" ");
    const place = this.inside(to);
    if (name[0] === "point") this.landmarks[name[1]] = place;
    else this.#run(name)[+name[name.length - 1]] = place;
  }

  /** @param {Place} place @returns {Place} */
  inside([x, y]) {
    const kept = (/** @type {number} */ value, /** @type {number} */ most) => Math.round(Math.min(Math.max(value, 0), most) * 10) / 10;
    return [kept(x, this.size[0]), kept(y, this.size[1])];
  }

  /** Take a mark away, and a run with it when that was its last. @param {string} mark */
  remove(mark) {
    const name = mark.split(" ");
    if (name[0] === "point") {
      delete this.landmarks[name[1]];
      return;
    }
    const index = +name[name.length - 1];
    const run = this.#run(name);
    run.splice(index, 1);
    if (name[0] === "outline") {
      if (!run.length) this.outlines.splice(+name[1], 1);
      return;
    }
    const stretches = this.edges[name[1]];
    const stretch = stretches[+name[2]];
    stretch.corners = stretch.corners.filter((corner) => corner !== index).map((corner) => corner - (corner > index ? 1 : 0));
    if (run.length < 3) stretch.closed = false;
    if (!run.length) stretches.splice(+name[2], 1);
    if (!stretches.length) delete this.edges[name[1]];
  }

  /** A point of a region's outline more. @param {string} region @param {boolean} hidden @param {Place} at @returns {string} its name */
  addOutline(region, hidden, at) {
    let number = this.outlines.findIndex((outline) => outline.region === region && outline.hidden === hidden);
    // The last run of the region is gone on with: points of an outline may come in any order.
    for (let k = 0; k < this.outlines.length; k += 1) {
      if (this.outlines[k].region === region && this.outlines[k].hidden === hidden) number = k;
    }
    if (number < 0) number = this.outlines.push({region, hidden, points: []}) - 1;
    const count = this.outlines[number].points.push(this.inside(at));
    return `outline ${number} ${count - 1}`;
  }

  /**
   * A point of a line more: between two of its points where it lies on the line there, else at its end.
   * @param {string} slug @param {number} number of the stretch, one past the last for a new one
   * @param {Place} at @param {number} near how close to the line counts as on it [px]
   * @param {string[]} regions of a new stretch @returns {string} its name
   */
  addLine(slug, number, at, near, regions) {
    const stretches = (this.edges[slug] ??= []);
    if (number >= stretches.length) number = stretches.push({points: [], corners: [], closed: false, regions}) - 1;
    const part = nearestPart(stretches[number], this.inside(at));
    return this.putIn(slug, number, part && part.off < near ? part.index : stretches[number].points.length, at);
  }

  /** A point put into a stretch, before the one that has this index now. @param {string} slug @param {number} number @param {number} index @param {Place} at @returns {string} its name */
  putIn(slug, number, index, at) {
    const stretch = this.edges[slug][number];
    stretch.points.splice(index, 0, this.inside(at));
    stretch.corners = stretch.corners.map((corner) => corner + (corner >= index ? 1 : 0));
    return `line ${slug} ${number} ${index}`;
  }

  /**
   * A point halfway between a point of a line and the next, for those who cannot drag one out of the line.
   * @param {string} mark @returns {string} its name; empty where no point follows
   */
  putAfter(mark) {
    const [, slug, number, index] = mark.split(" ");
    const {points, closed} = this.edges[slug][+number];
    const next = points[+index + 1] ?? (closed ? points[0] : null);
    if (!next) return "";
    const here = points[+index];
    return this.putIn(slug, +number, +index + 1, [(here[0] + next[0]) / 2, (here[1] + next[1]) / 2]);
  }

  /** Every mark of one kind. @param {string} kind @returns {string[]} */
  names(kind) {
    if (kind === "points") return Object.keys(this.landmarks).filter((name) => this.landmarks[name]).map((name) => `point ${name}`);
    if (kind === "outlines") return this.outlines.flatMap((outline, k) => outline.points.map((_, i) => `outline ${k} ${i}`));
    return Object.entries(this.edges).flatMap(([slug, stretches]) =>
      stretches.flatMap((stretch, k) => stretch.points.map((_, i) => `line ${slug} ${k} ${i}`)));
  }
}

/**
 * The part of a stretch that comes nearest to a place: the index a point put in there would have, the nearest place on
 * it, and how far off that is; null where no part has the place beside it. @param {Stretch} stretch @param {Place} at
 * @returns {{index: number, at: Place, off: number} | null}
 */
export function nearestPart({points, closed}, at) {
  let best = null;
  for (let k = 0; k < (closed ? points.length : points.length - 1); k += 1) {
    const [a, b] = [points[k], points[(k + 1) % points.length]];
    const step = [b[0] - a[0], b[1] - a[1]];
    const share = ((at[0] - a[0]) * step[0] + (at[1] - a[1]) * step[1]) / (step[0] ** 2 + step[1] ** 2 || 1);
    /** @type {Place} */
    const on = [a[0] + share * step[0], a[1] + share * step[1]];
    const off = Math.hypot(at[0] - on[0], at[1] - on[1]);
    if (share > 0 && share < 1 && (!best || off < best.off)) best = {index: k + 1, at: on, off};
  }
  return best;
}

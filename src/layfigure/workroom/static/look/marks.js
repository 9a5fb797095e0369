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
   * A point of a line more: between two of its points where it lies there, else at its end.
   * @param {string} slug @param {number} number of the stretch, one past the last for a new one
   * @param {Place} at @param {number} near how close to the line counts as on it [px]
   * @param {string[]} regions of a new stretch @returns {string} its name
   */
  addLine(slug, number, at, near, regions) {
    const stretches = (this.edges[slug] ??= []);
    if (number >= stretches.length) number = stretches.push({points: [], corners: [], closed: false, regions}) - 1;
    const stretch = stretches[number];
    const place = this.inside(at);
    const index = between(stretch, place, near) ?? stretch.points.length;
    stretch.points.splice(index, 0, place);
    stretch.corners = stretch.corners.map((corner) => corner + (corner >= index ? 1 : 0));
    return `line ${slug} ${number} ${index}`;
  }

  /** Every mark of one kind. @param {string} kind @returns {string[]} */
  names(kind) {
    if (kind === "points") return Object.keys(this.landmarks).filter((name) => this.landmarks[name]).map((name) => `point ${name}`);
    if (kind === "outlines") return this.outlines.flatMap((outline, k) => outline.points.map((_, i) => `outline ${k} ${i}`));
    return Object.entries(this.edges).flatMap(([slug, stretches]) =>
      stretches.flatMap((stretch, k) => stretch.points.map((_, i) => `line ${slug} ${k} ${i}`)));
  }
}

/** Where in a stretch a place on its line belongs; null where it lies on none of its parts. @param {Stretch} stretch @param {Place} at @param {number} near */
function between(stretch, at, near) {
  const points = stretch.points;
  const count = stretch.closed ? points.length : points.length - 1;
  for (let k = 0; k < count; k += 1) {
    const [a, b] = [points[k], points[(k + 1) % points.length]];
    const step = [b[0] - a[0], b[1] - a[1]];
    const long = step[0] ** 2 + step[1] ** 2 || 1;
    const share = ((at[0] - a[0]) * step[0] + (at[1] - a[1]) * step[1]) / long;
    const off = Math.hypot(at[0] - a[0] - share * step[0], at[1] - a[1] - share * step[1]);
    if (share > 0 && share < 1 && off < near) return k + 1;
  }
  return null;
}

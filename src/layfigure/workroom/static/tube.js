// @ts-check
// A line in space as a thin tube: lines of the graphics card are one pixel wide and no tape.

/**
 * Corners and triangles of tubes round lines, end to end.
 * @param {{points: Float32Array, closed: boolean}[]} lines @param {number} radius [mm] @param {number} sides
 */
export function tubes(lines, radius, sides = 6) {
  const drawn = lines.filter((line) => line.points.length >= 6);
  const rings = drawn.map((line) => line.points.length / 3 + (line.closed ? 1 : 0));
  const corners = new Float32Array(rings.reduce((sum, count) => sum + count, 0) * sides * 3);
  const triangles = new Uint32Array(rings.reduce((sum, count) => sum + (count - 1), 0) * sides * 6);
  let corner = 0;
  let triangle = 0;
  drawn.forEach((line, which) => {
    const count = line.points.length / 3;
    const first = corner / 3;
    /** Across the line; carried along so that the tube does not twist. */
    let across = [0, 0, 0];
    for (let ring = 0; ring < rings[which]; ring += 1) {
      const here = ring % count;
      const before = line.closed ? (here + count - 1) % count : Math.max(0, here - 1);
      const after = line.closed ? (here + 1) % count : Math.min(count - 1, here + 1);
      const along = unit(minus(at(line.points, after), at(line.points, before)));
      if (ring === 0) across = Math.abs(along[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0];
      across = unit(minus(across, times(along, dot(across, along))));
      const other = cross(along, across);
      const middle = at(line.points, here);
      for (let side = 0; side < sides; side += 1) {
        const angle = (2 * Math.PI * side) / sides;
        for (let axis = 0; axis < 3; axis += 1) {
          corners[corner] = middle[axis] + radius * (Math.cos(angle) * across[axis] + Math.sin(angle) * other[axis]);
          corner += 1;
        }
      }
      if (ring === 0) continue;
      for (let side = 0; side < sides; side += 1) {
        const low = first + (ring - 1) * sides;
        const next = (side + 1) % sides;
        triangles.set([low + side, low + next, low + sides + side, low + next, low + sides + next, low + sides + side], triangle);
        triangle += 6;
      }
    }
  });
  return {corners, triangles};
}

/**
 * A line with the points left out that it runs straight by: every stretch between two others costs triangles.
 * Douglas and Peucker's way (The Canadian Cartographer 10, 1973).
 * @template {{points: Float32Array, closed: boolean}} Line
 * @param {Line} line @param {number} off how far it may run from a point that is left out [mm] @returns {Line}
 */
export function thinned(line, off) {
  const {points, closed} = line;
  const count = points.length / 3;
  if (count < 4) return line;
  const last = closed ? count : count - 1;
  const kept = new Uint8Array(last + 1);
  kept[0] = kept[last] = 1;
  /** @type {[number, number][]} */
  const stretches = [[0, last]];
  // A closed line begins where it ends: halved, so that there is a chord to be off from.
  if (closed) {
    const half = count >> 1;
    kept[half] = 1;
    stretches.splice(0, 1, [0, half], [half, last]);
  }
  for (let stretch = stretches.pop(); stretch; stretch = stretches.pop()) {
    const [from, to] = stretch;
    const start = at(points, from);
    const way = minus(at(points, to % count), start);
    const long = Math.max(dot(way, way), 1e-9);
    let [most, where] = [off * off, 0];
    for (let k = from + 1; k < to; k += 1) {
      const here = minus(at(points, k), start);
      const rest = minus(here, times(way, Math.min(1, Math.max(0, dot(here, way) / long))));
      const away = dot(rest, rest);
      if (away > most) [most, where] = [away, k];
    }
    if (!where) continue;
    kept[where] = 1;
    stretches.push([from, where], [where, to]);
  }
  const chosen = [];
  for (let k = 0; k < count; k += 1) if (kept[k]) chosen.push(...at(points, k));
  return {...line, points: new Float32Array(chosen)};
}

/** @param {Float32Array} points @param {number} k */
const at = (points, k) => [points[3 * k], points[3 * k + 1], points[3 * k + 2]];
/** @param {number[]} a @param {number[]} b */
const minus = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
/** @param {number[]} a @param {number} s */
const times = (a, s) => [a[0] * s, a[1] * s, a[2] * s];
/** @param {number[]} a @param {number[]} b */
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
/** @param {number[]} a @param {number[]} b */
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
/** @param {number[]} a */
const unit = (a) => times(a, 1 / Math.max(Math.hypot(a[0], a[1], a[2]), 1e-9));

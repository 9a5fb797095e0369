// @ts-check
// Which triangles of a closed skin a camera can see: where a processor draws, the others cost as much as they do.

/** A face turned away by less than this is kept [share of the view, squared]: its corners are rounded as it is drawn. */
const EDGEWISE = 1e-6;

/**
 * Keeps every face that turns toward the camera with a part inside the view; the drawing is the same without the rest.
 * @param {Float32Array} positions x y z in turn @param {Uint32Array} faces corners, anticlockwise seen from outside
 * @param {ArrayLike<number>} seen 16, column by column: from places to the camera's clip coordinates
 * @param {Uint32Array} kept written in place, as long as faces @returns {number} how many corners were written
 */
export function facesSeen(positions, faces, seen, kept) {
  const count = positions.length / 3;
  if (across.length < count) [across, up, beyond] = [new Float32Array(count), new Float32Array(count), new Uint8Array(count)];
  for (let k = 0; k < count; k += 1) {
    const x = positions[3 * k], y = positions[3 * k + 1], z = positions[3 * k + 2];
    const w = seen[3] * x + seen[7] * y + seen[11] * z + seen[15];
    const u = (seen[0] * x + seen[4] * y + seen[8] * z + seen[12]) / w;
    const v = (seen[1] * x + seen[5] * y + seen[9] * z + seen[13]) / w;
    across[k] = u;
    up[k] = v;
    // One bit a side of the view; behind the eye there are no sides.
    beyond[k] = w <= 0 ? BEHIND : (u > 1 ? 1 : u < -1 ? 2 : 0) | (v > 1 ? 4 : v < -1 ? 8 : 0);
  }
  let written = 0;
  for (let f = 0; f < faces.length; f += 3) {
    const a = faces[f], b = faces[f + 1], c = faces[f + 2];
    const out = beyond[a] & beyond[b] & beyond[c];
    if (out) continue;
    const any = beyond[a] | beyond[b] | beyond[c];
    if (any < BEHIND && (across[b] - across[a]) * (up[c] - up[a]) - (across[c] - across[a]) * (up[b] - up[a]) < -EDGEWISE) continue;
    kept[written] = a;
    kept[written + 1] = b;
    kept[written + 2] = c;
    written += 3;
  }
  return written;
}

const BEHIND = 16;
/** Where vertices are seen, kept from one drawing to the next. */
let [across, up, beyond] = [new Float32Array(0), new Float32Array(0), new Uint8Array(0)];

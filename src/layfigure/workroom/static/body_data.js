// @ts-check
// Reading the bytes of a body: see workroom/body_data.py for how they are laid out.

/**
 * @typedef {{name: string, kind: "tape" | "edge", closed: boolean, points: Float32Array}} Line points in mm, x y z in turn
 * @typedef {{told: Record<string, any>, positions: Float32Array | null, lines: Line[]}} Body positions null when only lines came
 */

/** @param {ArrayBuffer} bytes @returns {Body} */
export function readBody(bytes) {
  const length = new DataView(bytes).getUint32(0, true);
  const told = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 4, length)));
  const steps = new Int16Array(bytes, 4 + length);
  let from = 0;
  /** @param {number} points */
  const take = (points) => {
    const found = new Float32Array(points * 3);
    for (let k = 0; k < found.length; k += 1) found[k] = steps[from + k] * told.step;
    from += found.length;
    return found;
  };
  const positions = told.points ? take(told.points) : null;
  const lines = told.lines.map((/** @type {any} */ line) => ({...line, points: take(line.points)}));
  return {told, positions, lines};
}

/** Triangles of every body, asked for once. @type {Promise<Uint32Array> | null} */
let faces = null;

/** @param {(method: string, path: string) => Promise<any>} ask @param {string} version of the workroom */
export function bodyFaces(ask, version) {
  faces ??= ask("GET", `/api/body/faces?of=${version}`).then((bytes) => new Uint32Array(bytes));
  return faces;
}

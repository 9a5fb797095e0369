// @ts-check
// A body in space, with lines on it: turned by mouse, touch and keyboard, changed in place.
//
//   const view = await showBody(element, {positions, faces, lines, highlight, words});
//   if (!view) …                       no WebGL, or no three.js in this package: show a still picture
//   view.update({positions, lines, highlight, words});
//   view.lookAt("waist_girth") or view.turnTo({yaw: 180});
//   view.pick(event.clientX, event.clientY)   → {point, face, share} on the skin, or null
//   view.onScreen(points)   → where places in space are seen, in pixels of the element
//   view.lineAt(event.clientX, event.clientY)   → name of the line under a pointer, or ""

import {make} from "/static/room.js";
import {KEY, litAtCorners, SKY} from "/static/lit_corners.js";
import {orbit, seenFrom} from "/static/orbit.js";
import {facesSeen} from "/static/seen_faces.js";
import {thinned, tubes} from "/static/tube.js";

/**
 * @typedef {import("/static/body_data.js").Line} Line
 * @typedef {{positions: Float32Array, faces: Uint32Array, lines?: Line[], highlight?: string | null, words?: string, sides?: boolean}} Shown
 *   highlight : name, or the beginning of the names, of the lines to draw bright; sides : with buttons to turn it, unless false
 */

const TAPE_WIDTH = 4.5;
const EDGE_WIDTH = 2;
/** A line is drawn no further than this from any of its points [mm]: less than it is wide by far. */
const STRAIGHT = 0.2;
const FIELD_OF_VIEW = 28;
/** How near to a line a pointer must be to mean it [px]. */
const NEAR_LINE = 12;
/** A line further behind the skin that is seen lies on the other side [mm]. */
const SEEN_DEPTH = 45;
/** Whether no graphics card draws; null before it was asked. @type {boolean | null} */
let processorDraws = null;
/** Without a graphics card the body is drawn finely once it has stood still for so long [ms]. */
const AT_REST = 600;
const KEYS = "Arrow keys turn the body, plus and minus bring it nearer and further.";

/**
 * Show a body inside an element. Null where it cannot be drawn in space.
 * @param {HTMLElement} element @param {Shown} shown
 */
export async function showBody(element, shown) {
  /** @type {any} */
  let three;
  /** @type {any} */
  let renderer;
  const plainly = (processorDraws ??= drawnByProcessor());
  try {
    // Not in every package, and large: asked for only where a body is shown.
    three = await import(/** @type {any} */ ("/static/built/three.js"));
    renderer = new three.WebGLRenderer({antialias: !plainly, alpha: true, powerPreference: "low-power"});
  } catch {
    return null;
  }
  return new BodyView(element, shown, three, renderer, plainly);
}

class BodyView {
  /**
   * @param {HTMLElement} element @param {Shown} shown @param {any} three @param {any} renderer
   * @param {boolean} plainly one sample a pixel while it moves or changes, four when it rests
   */
  constructor(element, shown, three, renderer, plainly) {
    this.element = element;
    this.three = three;
    this.renderer = renderer;
    this.plainly = plainly;
    this.resting = 0;
    this.waiting = 0;
    this.words = "";
    /** What is worn over the body. @type {any} */
    this.worn = null;
    this.bare = shown.sides === false;
    /** Whether it is turned by the maker, and others follow it. */
    this.leads = false;
    /** @type {Line[]} */
    this.lines = [];
    /** @type {string | null} */
    this.highlight = null;

    this.canvas = /** @type {HTMLCanvasElement} */ (renderer.domElement);
    this.canvas.className = "body-canvas";
    this.canvas.tabIndex = 0;
    this.canvas.setAttribute("role", "img");
    this.canvas.setAttribute("aria-description", KEYS);
    this.canvas.title = KEYS;
    element.replaceChildren(this.canvas, ...(shown.sides === false ? [] : [this.sideButtons()]));

    this.scene = new three.Scene();
    this.camera = new three.PerspectiveCamera(FIELD_OF_VIEW, 1, 20, 20000);
    this.camera.up.set(0, 0, 1);
    this.scene.add(this.camera);
    this.lights();

    this.skin = new three.BufferGeometry();
    this.skin.setIndex(new three.BufferAttribute(shown.faces, 1));
    this.faces = shown.faces;
    this.positions = new Float32Array(shown.positions.length);
    this.normals = new Float32Array(shown.positions.length);
    for (const [name, array] of /** @type {const} */ ([["position", this.positions], ["normal", this.normals]])) {
      const attribute = new three.BufferAttribute(array, 3);
      attribute.setUsage(35048); // dynamic draw: written again with every size typed
      this.skin.setAttribute(name, attribute);
    }
    this.skinLook = plainly ? litAtCorners(three) : new three.MeshLambertMaterial();
    this.body = new three.Mesh(this.skin, this.skinLook);
    this.body.frustumCulled = false;
    this.drawn = plainly ? this.seenSkin() : this.body;
    this.scene.add(this.drawn);
    this.tape = this.lineMesh(2);
    this.edges = this.lineMesh(1);

    /** @type {import("/static/orbit.js").Eye} */
    this.eye = {yaw: -14, pitch: 6, away: 4200, centre: [0, 0, 850]};
    this.moves = orbit(this.canvas, this.eye, () => this.draw());

    this.colours();
    const dark = matchMedia("(prefers-color-scheme: dark)");
    dark.addEventListener("change", () => { this.colours(); this.draw(); });
    new ResizeObserver(() => this.resized()).observe(element);
    this.canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
    this.canvas.addEventListener("webglcontextrestored", () => this.draw());

    this.update(shown);
    this.resized();
    this.wholeBody();
  }

  /** Change what is shown; what is left out stays. @param {Partial<Shown>} shown */
  update({positions, lines, highlight, words}) {
    if (positions) {
      this.positions.set(positions);
      smoothNormals(this.positions, this.faces, this.normals);
      this.skin.attributes.position.needsUpdate = true;
      this.skin.attributes.normal.needsUpdate = true;
      this.skin.boundingSphere = null;
    }
    if (words !== undefined) this.words = words;
    if (highlight !== undefined) this.highlight = highlight;
    if (lines) this.lines = lines;
    if (lines || highlight !== undefined) this.layLines();
    this.draw();
  }

  /**
   * A coloured surface over the body, in place of the one before; none to take it away.
   * @param {{positions: Float32Array, faces: Uint32Array, colours: Float32Array} | null} surface colours : red, green and blue of every vertex
   */
  wear(surface) {
    const {three} = this;
    if (!this.worn) {
      this.worn = new three.Mesh(new three.BufferGeometry(), new three.MeshLambertMaterial({vertexColors: true, side: three.DoubleSide}));
      this.worn.frustumCulled = false;
      this.scene.add(this.worn);
    }
    this.worn.visible = Boolean(surface);
    if (surface) {
      const normals = new Float32Array(surface.positions.length);
      smoothNormals(surface.positions, surface.faces, normals);
      const geometry = this.worn.geometry;
      geometry.setIndex(new three.BufferAttribute(surface.faces, 1));
      for (const [name, array] of /** @type {const} */ ([["position", surface.positions], ["normal", normals], ["color", surface.colours]])) geometry.setAttribute(name, new three.BufferAttribute(array, 3));
    }
    this.draw();
  }

  /** Turn so that a line is seen well, and come as near as it allows. @param {string} name or how names begin */
  lookAt(name) {
    const lines = this.lines.filter((line) => line.name.startsWith(name));
    if (!lines.length) {
      this.wholeBody();
      return;
    }
    const box = boundsOf(lines.map((line) => line.points));
    const centre = /** @type {[number, number, number]} */ (box.low.map((low, axis) => 0.5 * (low + box.high[axis])));
    const size = Math.hypot(...box.low.map((low, axis) => box.high[axis] - low));
    // The trunk's middle at the height of the tape tells which side it lies on.
    const [across, back] = [centre[0], centre[1] - this.middleDepth(box.low[2] - 40, box.high[2] + 40)];
    const round = lines.some((line) => line.closed);
    let yaw = -18;
    if (!round && Math.abs(back) > 15 && Math.abs(back) > 0.35 * Math.abs(across)) yaw = back > 0 ? 162 : -18;
    if (Math.abs(across) > 60) yaw = Math.sign(across) * (!round && back > 25 ? 130 : 38);
    const pitch = round && size < 1200 ? 14 : 6;
    this.moves.go({yaw, pitch, centre: [0.75 * centre[0], 0.5 * centre[1], centre[2]], away: Math.min(4400, 620 + 2.1 * size)});
  }

  /** Come near to a part of the body. @param {Float32Array} points of a surface on it */
  lookAround(points) {
    const box = boundsOf([points]);
    const centre = /** @type {[number, number, number]} */ (box.low.map((low, axis) => 0.5 * (low + box.high[axis])));
    const size = Math.hypot(...box.low.map((low, axis) => box.high[axis] - low));
    this.moves.go({yaw: centre[0] > 60 ? 30 : centre[0] < -60 ? -30 : -18, pitch: 6, centre: [0.75 * centre[0], 0.5 * centre[1], centre[2]], away: Math.min(4400, 500 + 2 * size)});
  }

  /** Everything from crown to sole, clear of the words at the foot of the view. */
  wholeBody() {
    const box = boundsOf([this.positions]);
    const height = box.high[2] - box.low[2];
    if (this.bare) {
      // Nothing stands over the view: as large as it goes, arms and all.
      const half = Math.tan((this.camera.fov * Math.PI) / 360);
      const away = Math.max(0.53 * height, (0.55 * (box.high[0] - box.low[0])) / this.camera.aspect) / half;
      this.moves.go({yaw: this.eye.yaw, centre: [0, 0.5 * (box.low[1] + box.high[1]), box.low[2] + 0.5 * height], away: away + 0.5 * (box.high[1] - box.low[1])});
      return;
    }
    this.moves.go({yaw: this.eye.yaw, centre: [0, 0.5 * (box.low[1] + box.high[1]), box.low[2] + 0.45 * height], away: 2.6 * height});
  }

  /** @param {Partial<import("/static/orbit.js").Eye>} place */
  turnTo(place) {
    this.moves.go(place);
  }

  /**
   * The place on the skin under a point of the window.
   * @param {number} x @param {number} y clientX and clientY
   * @returns {{point: [number, number, number], face: number, share: [number, number, number]} | null}
   *   share : weights of the face's three corners
   */
  pick(x, y) {
    const {three} = this;
    const frame = this.canvas.getBoundingClientRect();
    const at = new three.Vector2((2 * (x - frame.left)) / frame.width - 1, 1 - (2 * (y - frame.top)) / frame.height);
    const ray = new three.Raycaster();
    this.place();
    this.camera.updateMatrixWorld();
    ray.setFromCamera(at, this.camera);
    const hit = ray.intersectObject(this.body)[0];
    if (!hit) return null;
    const {barycoord} = hit;
    return {point: [hit.point.x, hit.point.y, hit.point.z], face: hit.faceIndex, share: [barycoord.x, barycoord.y, barycoord.z]};
  }

  /** Where places are seen. @param {ArrayLike<number>} points x y z in turn [mm] @returns {{x: number, y: number}[]} pixels of the element */
  onScreen(points) {
    this.place();
    this.camera.updateMatrixWorld();
    const {clientWidth: width, clientHeight: height} = this.canvas;
    const at = new this.three.Vector3();
    const found = [];
    for (let k = 0; k + 2 < points.length; k += 3) {
      at.set(points[k], points[k + 1], points[k + 2]).project(this.camera);
      found.push({x: (0.5 + 0.5 * at.x) * width, y: (0.5 - 0.5 * at.y) * height});
    }
    return found;
  }

  /** Whether the skin beside a place looks toward the viewer. @param {number[]} point */
  facesUs(point) {
    let [best, nearest] = [Infinity, 0];
    for (let k = 0; k < this.positions.length; k += 3) {
      const off = (this.positions[k] - point[0]) ** 2 + (this.positions[k + 1] - point[1]) ** 2 + (this.positions[k + 2] - point[2]) ** 2;
      if (off < best) [best, nearest] = [off, k];
    }
    const eye = this.camera.position;
    return this.normals[nearest] * (eye.x - point[0]) + this.normals[nearest + 1] * (eye.y - point[1]) + this.normals[nearest + 2] * (eye.z - point[2]) > 0;
  }

  /** The line under a pointer, of those that are seen. @param {number} x @param {number} y clientX and clientY */
  lineAt(x, y) {
    const frame = this.canvas.getBoundingClientRect();
    const [px, py] = [x - frame.left, y - frame.top];
    /** @type {{off: number, name: string, point: number[]}[]} */
    const near = [];
    for (const line of this.lines) {
      const seen = this.onScreen(line.points);
      let [best, at] = [NEAR_LINE, -1];
      for (let k = 0; k < seen.length; k += 1) {
        const next = seen[k + 1] ?? (line.closed ? seen[0] : seen[k]);
        const off = fromStretch(px, py, seen[k], next);
        if (off < best) [best, at] = [off, k];
      }
      if (at >= 0) near.push({off: best, name: line.name, point: [...line.points.slice(3 * at, 3 * at + 3)]});
    }
    if (!near.length) return "";
    const skin = this.pick(x, y)?.point;
    const seen = near.filter(({point}) => !skin || Math.hypot(point[0] - skin[0], point[1] - skin[1], point[2] - skin[2]) < SEEN_DEPTH);
    return seen.sort((a, b) => a.off - b.off)[0]?.name ?? "";
  }

  /** Free the graphics card. */
  close() {
    cancelAnimationFrame(this.waiting);
    clearTimeout(this.resting);
    this.renderer.dispose();
    this.element.replaceChildren();
  }

  /** Draw at the next frame; once, however often it is asked for. The element hears "shown" after it. */
  draw() {
    this.waiting ||= requestAnimationFrame(() => this.drawNow());
  }

  /** Draw at once, to be seen with the next frame: where nothing else is to come before it. */
  drawNow() {
    cancelAnimationFrame(this.waiting);
    this.waiting = 0;
    this.place();
    if (this.plainly) this.leaveOutUnseen();
    this.sample(this.plainly ? 1 : Math.min(2, devicePixelRatio));
    this.renderer.render(this.scene, this.camera);
    if (this.plainly) this.drawFinelyAtRest();
    this.canvas.setAttribute("aria-label", `${this.words} Seen from ${seenFrom(this.eye)}.`);
    this.element.dispatchEvent(new CustomEvent("shown"));
  }

  /** The skin again, of which only the faces that are seen are drawn. */
  seenSkin() {
    const geometry = new this.three.BufferGeometry();
    for (const name of ["position", "normal"]) geometry.setAttribute(name, this.skin.attributes[name]);
    const index = new this.three.BufferAttribute(new Uint32Array(this.faces.length), 1);
    index.setUsage(35048);
    geometry.setIndex(index);
    const mesh = new this.three.Mesh(geometry, this.skinLook);
    mesh.frustumCulled = false;
    return mesh;
  }

  leaveOutUnseen() {
    const {index} = this.drawn.geometry;
    this.camera.updateMatrixWorld();
    const seen = this.camera.projectionMatrix.clone().multiply(this.camera.matrixWorldInverse);
    const count = facesSeen(this.positions, this.faces, seen.elements, index.array);
    this.drawn.geometry.setDrawRange(0, count);
    index.clearUpdateRanges();
    index.addUpdateRange(0, count);
    index.needsUpdate = true;
  }

  drawFinelyAtRest() {
    clearTimeout(this.resting);
    this.resting = setTimeout(() => {
      if (this.waiting) return;
      this.sample(Math.max(2, devicePixelRatio));
      this.renderer.render(this.scene, this.camera);
    }, AT_REST);
  }

  /** Draw with so many samples across a pixel of the page from now on. @param {number} ratio */
  sample(ratio) {
    if (this.renderer.getPixelRatio() !== ratio) this.renderer.setPixelRatio(ratio);
  }

  place() {
    const {yaw, pitch, away, centre} = this.eye;
    const [a, b] = [(yaw * Math.PI) / 180, (pitch * Math.PI) / 180];
    this.camera.position.set(
      centre[0] + away * Math.sin(a) * Math.cos(b),
      centre[1] - away * Math.cos(a) * Math.cos(b),
      centre[2] + away * Math.sin(b),
    );
    this.camera.lookAt(...centre);
  }

  lights() {
    const {three} = this;
    // Soft, from above the viewer's left shoulder, wherever the viewer goes.
    const key = new three.DirectionalLight(KEY.colour, KEY.strength);
    key.position.set(...KEY.from);
    this.camera.add(key, key.target);
    this.sky = new three.HemisphereLight(SKY.above, SKY.below, SKY.strength);
    this.sky.position.set(0, 0, 1);
    this.scene.add(this.sky);
  }

  /** A mesh for lines, and a faint one that shows where they run behind. @param {number} order */
  lineMesh(order) {
    const {three} = this;
    const geometry = new three.BufferGeometry();
    const front = new three.Mesh(geometry, new three.MeshBasicMaterial({side: three.DoubleSide}));
    const behind = new three.Mesh(geometry, new three.MeshBasicMaterial({side: three.DoubleSide, transparent: true, opacity: 0.22, depthFunc: three.GreaterDepth, depthWrite: false}));
    for (const mesh of [front, behind]) {
      mesh.frustumCulled = false;
      mesh.renderOrder = order;
      this.scene.add(mesh);
    }
    return {geometry, front, behind, lines: /** @type {Line[]} */ ([])};
  }

  layLines() {
    const bright = (/** @type {Line} */ line) => line.kind === "tape" && (!this.highlight || line.name.startsWith(this.highlight));
    const width = (/** @type {Line} */ line) => (line.kind === "tape" ? TAPE_WIDTH : EDGE_WIDTH);
    const split = /** @type {const} */ ([[this.tape, this.lines.filter(bright)], [this.edges, this.lines.filter((line) => !bright(line))]]);
    for (const [mesh, lines] of split) {
      // Of all that lies on a body, one tape changes with what is typed.
      if (lines.length && lines.length === mesh.lines.length && lines.every((line, k) => line === mesh.lines[k])) continue;
      mesh.lines = lines;
      const {corners, triangles} = tubes(lines.map((line) => thinned(line, STRAIGHT)), lines.length ? width(lines[0]) : 1, mesh === this.tape ? 8 : 4);
      mesh.geometry.setAttribute("position", new this.three.BufferAttribute(corners, 3));
      mesh.geometry.setIndex(new this.three.BufferAttribute(triangles, 1));
      mesh.front.visible = mesh.behind.visible = lines.length > 0;
    }
    // A costume has many edges: what runs behind would only confuse.
    this.edges.behind.visible = false;
  }

  colours() {
    const style = getComputedStyle(this.element);
    const colour = (/** @type {string} */ name) => new this.three.Color(style.getPropertyValue(name).trim() || "#888888");
    this.skinLook.color = colour("--skin");
    this.tape.front.material.color = this.tape.behind.material.color = colour("--thread");
    this.edges.front.material.color = this.edges.behind.material.color = colour("--act");
  }

  resized() {
    const {clientWidth: width} = this.element;
    const height = this.canvas.clientHeight || width;
    if (!width) return;
    this.renderer.setSize(width, height, false);
    this.camera.aspect = width / height;
    // On a narrow canvas the width decides how much is seen.
    this.camera.fov = this.camera.aspect >= 0.62 ? FIELD_OF_VIEW : Math.min(60, (FIELD_OF_VIEW * 0.62) / this.camera.aspect);
    this.camera.updateProjectionMatrix();
    this.draw();
  }

  /** Mean depth of the skin between two heights, arms left out. @param {number} low @param {number} high */
  middleDepth(low, high) {
    let [sum, count] = [0, 0];
    for (let k = 0; k < this.positions.length; k += 3) {
      const z = this.positions[k + 2];
      if (z > low && z < high && Math.abs(this.positions[k]) < 160) {
        sum += this.positions[k + 1];
        count += 1;
      }
    }
    return count ? sum / count : 0;
  }

  sideButtons() {
    const sides = /** @type {const} */ ([["Front", 0], ["Left", 90], ["Back", 180], ["Right", -90]]);
    return make("div", {class: "body-sides", role: "group", "aria-label": "See the body from"},
      ...sides.map(([word, yaw]) => make("button", {type: "button", class: "quiet", onclick: () => this.turnTo({yaw, pitch: 4})}, word)),
      make("button", {type: "button", class: "quiet", onclick: () => this.wholeBody()}, "Whole"));
  }
}

/** Whether no graphics card draws: then every sample of a pixel costs as much as another pixel. */
function drawnByProcessor() {
  const probe = document.createElement("canvas").getContext("webgl2");
  if (!probe) return false;
  const named = probe.getExtension("WEBGL_debug_renderer_info");
  const name = String(probe.getParameter(named ? named.UNMASKED_RENDERER_WEBGL : probe.RENDERER));
  probe.getExtension("WEBGL_lose_context")?.loseContext();
  return /swiftshader|llvmpipe|softpipe|software|basic render/i.test(name);
}

/**
 * Normals of vertices, by the area of the faces round them, written in place.
 * @param {Float32Array} positions @param {Uint32Array} faces @param {Float32Array} normals
 */
function smoothNormals(positions, faces, normals) {
  normals.fill(0);
  for (let f = 0; f < faces.length; f += 3) {
    const a = 3 * faces[f], b = 3 * faces[f + 1], c = 3 * faces[f + 2];
    const ux = positions[b] - positions[a], uy = positions[b + 1] - positions[a + 1], uz = positions[b + 2] - positions[a + 2];
    const vx = positions[c] - positions[a], vy = positions[c + 1] - positions[a + 1], vz = positions[c + 2] - positions[a + 2];
    const nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx;
    // Written out: with every size typed this is done for each of 27 000 faces.
    normals[a] += nx; normals[a + 1] += ny; normals[a + 2] += nz;
    normals[b] += nx; normals[b + 1] += ny; normals[b + 2] += nz;
    normals[c] += nx; normals[c + 1] += ny; normals[c + 2] += nz;
  }
  for (let k = 0; k < normals.length; k += 3) {
    const x = normals[k], y = normals[k + 1], z = normals[k + 2];
    const share = 1 / (Math.sqrt(x * x + y * y + z * z) || 1);
    normals[k] = x * share;
    normals[k + 1] = y * share;
    normals[k + 2] = z * share;
  }
}

/** How far a point lies from a stretch between two others [px]. @param {number} x @param {number} y @param {{x: number, y: number}} a @param {{x: number, y: number}} b */
function fromStretch(x, y, a, b) {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const share = Math.min(1, Math.max(0, ((x - a.x) * dx + (y - a.y) * dy) / (dx * dx + dy * dy || 1)));
  return Math.hypot(x - a.x - share * dx, y - a.y - share * dy);
}

/** @param {Float32Array[]} arrays */
function boundsOf(arrays) {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (const array of arrays) {
    for (let k = 0; k < array.length; k += 1) {
      if (array[k] < low[k % 3]) low[k % 3] = array[k];
      if (array[k] > high[k % 3]) high[k % 3] = array[k];
    }
  }
  return {low, high};
}

// @ts-check
// How a piece sits on its wearer: where it presses or stands off, in colour on the body and in words beside.

import {ask, byId, make, Refusal} from "/static/room.js";
import {bodyFaces, readBody} from "/static/body_data.js";
import {showBody} from "/static/body_view.js";

/** From least to greatest; told apart by lightness too, for eyes that mix red and green. */
const RAMPS = /** @type {Record<string, string[]>} */ ({
  "presses": ["#f0e9d2", "#9fc7c9", "#e0a63c", "#b4460f", "#5a0f1c"],
  "stands off": ["#8c1d1d", "#f0e9d2", "#8fb6d6", "#1f4e79"],
});
/** @type {Awaited<ReturnType<typeof showBody>> | undefined} */
let view;
/** @type {{wearer: string, piece: any, name: string, words: Node[]}} */
let shown;
let sitting = true;

/** @param {typeof shown} now words : what is said of the fit, to stand beside the picture */
export function openSits(now) {
  shown = now;
  byId("sits-title").textContent = `How it sits: ${now.name}`;
  byId("sits-words").replaceChildren(...now.words);
  byId("sits-worst").textContent = "Looking…";
  byId("sits-legend").replaceChildren();
  byId("sits").showModal();
  draw();
}

async function draw() {
  const {wearer, piece} = shown;
  byId("sits-trouble").textContent = "";
  try {
    let body = readBody(await ask("GET", `/api/edge/${wearer}/body/wearer`));
    const seated = body.told.posture === "seated";
    byId("sits-posture").hidden = !seated;
    const how = seated && sitting ? "?sitting=true" : "";
    if (how) body = readBody(await ask("GET", `/api/edge/${wearer}/body/wearer${how}`));
    const fit = readFit(await ask("GET", `/api/fit/${wearer}/${piece.slug}${how}`));
    const ramp = RAMPS[fit.told.what];
    if (body.positions) {
      const words = `The wearer with ${shown.name}.`;
      byId("sits-body").hidden = false;
      if (view) view.update({positions: body.positions, words});
      else view = await showBody(byId("sits-body"), {positions: body.positions, faces: await bodyFaces(ask, byId("sits-body").dataset.version ?? ""), lines: [], words});
    }
    byId("sits-body").hidden = !view;
    view?.wear({positions: fit.positions, faces: fit.faces, colours: coloured(fit.bands, ramp)});
    view?.lookAround(fit.positions);
    byId("sits-worst").textContent = `${fit.told.worst[0].toUpperCase()}${fit.told.worst.slice(1)}.`;
    byId("sits-legend").replaceChildren(...fit.told.words.map((/** @type {string} */ words, /** @type {number} */ k) => {
      const swatch = make("span", {class: "swatch"});
      swatch.style.background = ramp[k];
      return make("li", {}, swatch, `${words[0].toUpperCase()}${words.slice(1)}`, make("span", {class: "number soft"}, share(fit.told.shares[k])));
    }));
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    byId("sits-worst").textContent = "";
    byId("sits-body").hidden = true;
    byId("sits-trouble").textContent = error.trouble.what;
  }
}

/** @param {number} part */
const share = (part) => (part === 0 ? "nowhere" : part < 0.01 ? "under 1 %" : `${Math.round(100 * part)} % of it`);

/** See workroom/worn_fit.py for how the bytes are laid out. @param {ArrayBuffer} bytes */
function readFit(bytes) {
  const length = new DataView(bytes).getUint32(0, true);
  const told = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 4, length)));
  const padded = (/** @type {number} */ size) => size + ((4 - (size % 4)) % 4);
  let from = 4 + length;
  const steps = new Int16Array(bytes, from, 3 * told.points);
  from += padded(6 * told.points);
  const bands = new Uint8Array(bytes, from, told.points);
  from += padded(told.points);
  return {told, bands, positions: Float32Array.from(steps, (step) => step * told.step), faces: new Uint32Array(bytes, from, 3 * told.faces)};
}

/** @param {Uint8Array} bands @param {string[]} ramp */
function coloured(bands, ramp) {
  const colours = new Float32Array(3 * bands.length);
  const linear = ramp.map((hex) => [1, 3, 5].map((at) => {
    const value = parseInt(hex.slice(at, at + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  }));
  bands.forEach((band, k) => colours.set(linear[band], 3 * k));
  return colours;
}

byId("sits-close").addEventListener("click", () => byId("sits").close());
for (const button of byId("sits-posture").querySelectorAll("button")) {
  button.addEventListener("click", () => {
    sitting = button.value === "sitting";
    for (const other of byId("sits-posture").querySelectorAll("button")) other.setAttribute("aria-pressed", String(other === button));
    draw();
  });
}

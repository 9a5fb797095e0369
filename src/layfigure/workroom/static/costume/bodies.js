// @ts-check
// Character and wearer side by side, carrying the same lines; one of them may be pointed out.

import {ask, byId, failed, finished, make} from "/static/room.js";
import {inTurn} from "/static/in_turn.js";
import {shape} from "/static/cut/svg.js";
import {spoken} from "/static/costume/schema.js";

let view = "front";
let wearer = "";
/** Edges pointed out. @type {Set<string>} */
let pointed = new Set();
/** @type {any} */
let seen = null;
/** @type {AbortController | null} */
let drawing = null;

/** @param {string} whose */
export async function drawBodies(whose) {
  wearer = whose;
  drawing?.abort();
  if (!wearer) {
    byId("panels").replaceChildren(make("p", {class: "soft"}, "The lines are drawn as soon as somebody is measured, on the page Measure."));
    return;
  }
  const own = drawing = new AbortController();
  byId("lines-working").hidden = false;
  try {
    const task = await inTurn("lines", () => ask("POST", `/api/lines/${wearer}`, {view}));
    if (own.signal.aborted) return;
    const drawn = await finished(task, (share, doing) => {
      byId("lines-share").value = share;
      byId("lines-words").textContent = doing ? `${spoken(doing)}…` : "Drawing…";
    }, own.signal);
    if (own.signal.aborted) return;
    seen = drawn;
    show();
  } catch (error) {
    if (!own.signal.aborted) failed(error);
  } finally {
    if (own === drawing) byId("lines-working").hidden = true;
  }
}

function show() {
  byId("panels").replaceChildren(...seen.panels.map((/** @type {any} */ panel) => make("figure", {class: "body"},
    shape("svg", {viewBox: `0 0 ${panel.width} ${panel.height}`, role: "img", "aria-label": `${panel.title}, from the ${view}, with ${Object.keys(seen.edges).length} lines`},
      shape("image", {href: panel.picture, width: panel.width, height: panel.height}),
      ...panel.lines.map((/** @type {any} */ line) => {
        const path = shape("path", {d: line.path, class: `edge${line.seen ? "" : " behind"}`, "data-edge": line.edge});
        path.addEventListener("click", () => pointAt([line.edge]));
        path.append(shape("title", {}, spoken(line.edge)));
        return path;
      })),
    make("figcaption", {}, panel.title))));
  mark();
}

/** Point edges out on both bodies, and say what a tape reads there. @param {string[]} edges */
export function pointAt(edges) {
  pointed = new Set(edges.flatMap((edge) => [edge, `${edge}_left`, `${edge}_right`]));
  mark();
}

function mark() {
  for (const path of byId("panels").querySelectorAll("path.edge")) path.classList.toggle("pointed", pointed.has(path.dataset.edge));
  const told = Object.entries(seen?.edges ?? {}).filter(([slug]) => pointed.has(slug));
  byId("line-told").replaceChildren(...told.slice(0, 4).map(([slug, edge]) => make("p", {},
    make("strong", {}, `${spoken(slug)}: `), [...edge.checks, edge.sure].filter(Boolean).join("; "), ".")));
}

for (const button of document.querySelectorAll(".views button")) {
  button.addEventListener("click", () => {
    view = /** @type {HTMLElement} */ (button).dataset.view ?? "front";
    for (const other of document.querySelectorAll(".views button")) other.setAttribute("aria-pressed", String(other === button));
    drawBodies(wearer);
  });
}

// @ts-check
// Character and wearer side by side, carrying the same lines; one of them may be pointed out.

import {ask, byId, failed, finished, make} from "/static/room.js";
import {inTurn} from "/static/in_turn.js";
import {shape} from "/static/cut/svg.js";
import {hold, readyToHold} from "/static/costume/holding.js";
import {spoken} from "/static/costume/schema.js";
import {lookAtEdge, pointOut, showInSpace, turnBoth} from "/static/costume/space.js";

let view = "front";
let wearer = "";
/** Edges pointed out. @type {Set<string>} */
let pointed = new Set();
/** @type {any} */
let seen = null;
/** @type {AbortController | null} */
let drawing = null;
/** Whether the bodies are drawn in space; unknown until it was tried. @type {boolean | null} */
let inSpace = null;
/** Hears that an edge was moved and saved. @type {() => Promise<void>} */
let moved = async () => {};

/** @param {() => Promise<void>} listener */
export function whenMoved(listener) {
  moved = listener;
}

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
    const task = await inTurn("lines", () => ask("POST", `/api/lines/${wearer}`, {view, pictures: inSpace === false}));
    if (own.signal.aborted) return;
    const drawn = await finished(task, (share, doing) => {
      byId("lines-share").value = share;
      byId("lines-words").textContent = doing ? `${spoken(doing)}…` : "Drawing…";
    }, own.signal);
    if (own.signal.aborted) return;
    seen = drawn;
    if (inSpace !== false) {
      inSpace = await showInSpace(wearer, drawn.whom, chosen);
      if (!inSpace) {
        drawBodies(wearer);
        return;
      }
      readyToHold({wearer, edges: Object.keys(drawn.edges).filter((slug) => drawn.edges[slug].movable), changed: moved});
      mark();
      return;
    }
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

/** A line was clicked on a body. @param {string} slug */
function chosen(slug) {
  if (seen.edges[slug]?.movable) hold(slug);
  else pointAt([slug]);
}
byId("held-edge").addEventListener("change", async () => {
  await hold(byId("held-edge").value);
  lookAtEdge(byId("held-edge").value || " ");
});

/** Point edges out on both bodies, and say what a tape reads there. @param {string[]} edges */
export function pointAt(edges) {
  pointed = new Set(edges.flatMap((edge) => [edge, `${edge}_left`, `${edge}_right`]));
  const one = edges.length === 1 ? Object.keys(seen?.edges ?? {}).find((slug) => pointed.has(slug) && seen.edges[slug].movable) : "";
  if (inSpace && one) {
    byId("line-told").replaceChildren();
    hold(one);
  } else mark();
}

function mark() {
  if (inSpace) {
    if (!pointed.size) return;
    hold("");
    pointOut(pointed);
  }
  for (const path of byId("panels").querySelectorAll("path.edge")) path.classList.toggle("pointed", pointed.has(path.dataset.edge));
  const told = Object.entries(seen?.edges ?? {}).filter(([slug]) => pointed.has(slug));
  byId("line-told").replaceChildren(...told.slice(0, 4).map(([slug, edge]) => make("p", {},
    make("strong", {}, `${spoken(slug)}: `), [...edge.checks, edge.sure].filter(Boolean).join("; "), ".")));
}

for (const button of document.querySelectorAll(".views button")) {
  button.addEventListener("click", () => {
    view = /** @type {HTMLElement} */ (button).dataset.view ?? "front";
    for (const other of document.querySelectorAll(".views button")) other.setAttribute("aria-pressed", String(other === button));
    if (inSpace) turnBoth(view);
    else drawBodies(wearer);
  });
}

// @ts-check
// Printing: how many sheets is said first, and how they are joined is shown.

import {ask, byId, finished, make, Refusal} from "/static/room.js";
import {inTurn} from "/static/in_turn.js";
import {parsed} from "/static/cut/svg.js";
import {nameOf} from "/static/cut/shelf.js";

/** @type {{wearer: string, pieces: any[], chosen: string}} */
let table = {wearer: "", pieces: [], chosen: ""};
/** @type {AbortController | null} */
let counting = null;

/** @param {{wearer: string, pieces: any[], chosen: string}} now @param {"one" | "all"} what */
export function openPaper(now, what) {
  table = now;
  byId("paper-what").value = what;
  byId("paper-what").options[0].textContent = `This piece: ${nameOf(table.pieces.find(({piece}) => piece.slug === table.chosen).piece)}`;
  byId("paper-list").replaceChildren(...table.pieces.map(({piece}) => {
    const box = make("input", {type: "checkbox", value: piece.slug, onchange: count});
    box.checked = piece.slug === table.chosen;
    return make("label", {class: "check"}, box, nameOf(piece));
  }));
  byId("paper-files").replaceChildren();
  byId("paper").showModal();
  count();
}

/** @param {"pdf" | "svg" | "dxf"} [kind] */
function wanted(kind = "pdf") {
  const what = byId("paper-what").value;
  const some = [...byId("paper-list").querySelectorAll("input:checked")].map((box) => box.value);
  return {pieces: what === "all" ? [] : what === "one" ? [table.chosen] : some, paper: byId("paper-size").value, kind, what};
}

/** A sheet is drawn no narrower than this, so that its name can be read [px]. */
const LEAST = 30;

/** Names of sheets can be read on many and do not shout on few [px]. */
const LETTERS = [11, 18];

/** The preview as large as there is room for; what is larger yet is scrolled. @param {SVGSVGElement} preview */
function sized(preview) {
  const [, , width, height] = (preview.getAttribute("viewBox") ?? "").split(" ").map(Number);
  const room = byId("paper-tiles").clientWidth - 20;
  const page = Number(preview.querySelector(".page")?.getAttribute("width"));
  const scale = Math.max(Math.min(room / width, 300 / height), Math.min(LEAST / page, room / width));
  preview.setAttribute("width", String(width * scale));
  preview.setAttribute("height", String(height * scale));
  for (const name of preview.querySelectorAll(".name")) {
    const drawn = Number(name.getAttribute("font-size"));
    const size = Math.min(LETTERS[1], Math.max(LETTERS[0], drawn * scale)) / scale;
    name.setAttribute("font-size", String(size));
    // Capitals stay in the middle of their sheet.
    name.setAttribute("y", String(Number(name.getAttribute("y")) + 0.35 * (size - drawn)));
  }
  return preview;
}

/** @param {number} sheets */
const sheetWords = (sheets) => (sheets === 1 ? "1 sheet" : `${sheets} sheets`);

async function count() {
  const {what, ...asked} = wanted();
  byId("paper-some").hidden = what !== "some";
  byId("paper-make").disabled = true;
  byId("paper-tiles").replaceChildren();
  byId("paper-trouble").textContent = "";
  counting?.abort();
  if (what === "some" && !asked.pieces.length) {
    byId("paper-count").textContent = "Tick at least one piece.";
    return;
  }
  byId("paper-count").textContent = "Counting the sheets…";
  const own = counting = new AbortController();
  try {
    const task = await inTurn("sheets", () => ask("POST", `/api/sheets/${table.wearer}`, asked));
    if (own.signal.aborted) return;
    const seen = await finished(task, (_, doing) => {
      if (!own.signal.aborted) byId("paper-count").textContent = `Counting the sheets: ${doing || "waiting"}…`;
    }, own.signal);
    if (own.signal.aborted) return;
    const plan = seen.sheets - seen.joined;
    const joined = asked.paper === "projector" ? ""
      : ` ${sheetWords(seen.joined)} to join${plan ? `, ${plan === 1 ? "1 page" : `${plan} pages`} of plan and test square` : ""}.`;
    byId("paper-count").textContent = `${sheetWords(seen.sheets)} in all.${joined}`;
    byId("paper-tiles").replaceChildren(sized(parsed(seen.preview)));
    byId("paper-make").disabled = false;
  } catch (error) {
    told(error);
  }
}

/** @param {"pdf" | "svg" | "dxf"} kind */
async function makeFile(kind) {
  const {what, ...asked} = wanted(kind);
  if (what === "some" && !asked.pieces.length) return;
  byId("paper-trouble").textContent = "";
  byId("paper-files").replaceChildren(make("p", {class: "working"}, make("progress", {"aria-label": "Working"}), kind === "pdf" ? "drawing the sheets…" : "drawing the pieces…"));
  // Whoever has pressed a button sees what becomes of it: the dialog may be longer than the window.
  byId("paper-files").scrollIntoView({block: "nearest"});
  try {
    const made = await finished(await ask("POST", `/api/print/${table.wearer}`, asked));
    byId("paper-files").replaceChildren(
      ...(made.sheets ? [make("p", {class: "good"}, `Ready: ${sheetWords(made.sheets)}. Print at 100 %, then measure the test square before you cut.`)] : []),
      make("a", {class: "button", id: "paper-file", href: made.address, target: "_blank", rel: "noopener"}, kind === "pdf" ? "Open the pattern to print" : `Open the ${kind.toUpperCase()} file`));
    byId("paper-files").scrollIntoView({block: "nearest"});
  } catch (error) {
    byId("paper-files").replaceChildren();
    told(error);
  }
}

/** @param {unknown} error */
function told(error) {
  if (error instanceof DOMException && error.name === "AbortError") return;
  byId("paper-count").textContent = "";
  if (!(error instanceof Refusal)) throw error;
  byId("paper-trouble").textContent = `${error.trouble.what} ${error.trouble.advice}`;
}

for (const id of ["paper-what", "paper-size"]) byId(id).addEventListener("change", count);
byId("paper-make").addEventListener("click", () => makeFile("pdf"));
byId("paper-svg").addEventListener("click", () => makeFile("svg"));
byId("paper-dxf").addEventListener("click", () => makeFile("dxf"));
byId("paper-close").addEventListener("click", () => byId("paper").close());

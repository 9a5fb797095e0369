// @ts-check
// What every page shares: talking to the workroom, saving, taking back, and saying how things stand.

/** @typedef {{what: string, where: string, advice: string, kind?: string}} Trouble */

const token = /** @type {HTMLMetaElement} */ (document.querySelector("meta[name=workroom-token]")).content;

/** Revision of every file as this page last read it. @type {Record<string, string>} */
export let revisions = {};

/** An answer that is no success, with what to do about it. */
export class Refusal extends Error {
  /** @param {number} status @param {Trouble} trouble */
  constructor(status, trouble) {
    super(`${trouble.where ? `${trouble.where}: ` : ""}${trouble.what}${trouble.advice ? ` ${trouble.advice}` : ""}`);
    this.status = status;
    this.trouble = trouble;
  }
}

/**
 * Ask the workroom: what JSON says, the bytes of bodies and fits, a blob of anything else. Throws Refusal.
 * @param {string} method @param {string} path @param {unknown} [body] JSON, or FormData as it is
 * @param {AbortSignal} [signal]
 */
export async function ask(method, path, body, signal) {
  /** @type {Record<string, string>} */
  const headers = {"x-workroom-token": token};
  /** @type {BodyInit | undefined} */
  let sent;
  if (body instanceof FormData) sent = body;
  else if (body !== undefined) {
    headers["content-type"] = "application/json";
    sent = JSON.stringify(body);
  }
  let answer;
  const before = written;
  try {
    answer = await fetch(path, {method, headers, body: sent, signal});
  } catch (error) {
    if (signal?.aborted) throw error;
    throw new Refusal(0, {what: "The workroom does not answer.", where: "", advice: "Is its command still running? Nothing confirmed is lost."});
  }
  const kind = answer.headers.get("content-type") ?? "";
  // Numbers come as they are: a blob would go through another process of the browser first.
  const data = kind.includes("json") ? await answer.json() : kind.includes("octet-stream") ? await answer.arrayBuffer() : await answer.blob();
  if (!answer.ok) throw new Refusal(answer.status, data);
  // How the files stand is not yet what this page shows: it goes on with what it read.
  // Nor does an answer count that an edit has overtaken: it tells of the files before it.
  const reading = method === "GET";
  if (data && data.revisions && path !== "/api/state" && !(reading && (saving || before !== written))) took(data);
  if (!reading) written += 1;
  return data;
}

/** Where a page listens: "files" when a file changed by another hand, "undone" after undo or redo. */
export const news = new EventTarget();

/**
 * Save an edit. The server refuses it where a file is another by now; then the maker chooses.
 * @param {string} method @param {string} path @param {Record<string, unknown>} body
 * @param {string[]} files names of the files the edit reads and writes
 * @returns {Promise<any>} the answer, or null when the maker chose what is there now
 */
export async function save(method, path, body, files) {
  say("Saving…");
  saving += 1;
  try {
    return await savedOrChosen(method, path, body, files);
  } finally {
    saving -= 1;
  }
}
/** Edits on their way. */
let saving = 0;
/** Edits and other doings that were answered. */
let written = 0;

/** @param {string} method @param {string} path @param {Record<string, unknown>} body @param {string[]} files */
async function savedOrChosen(method, path, body, files) {
  for (;;) {
    const base = Object.fromEntries(files.map((name) => [name, revisions[name] ?? "absent"]));
    try {
      const data = await ask(method, path, {...body, base});
      say("Saved");
      quiet();
      return data;
    } catch (error) {
      if (!(error instanceof Refusal) || error.status !== 409) {
        say("Not saved");
        throw error;
      }
      const choice = await conflict(error.trouble);
      took(await ask("GET", "/api/state"));
      if (choice === "theirs") {
        say("");
        news.dispatchEvent(new CustomEvent("files", {detail: files}));
        return null;
      }
    }
  }
}

/** @param {Trouble} trouble @returns {Promise<"theirs" | "mine">} */
function conflict(trouble) {
  const dialog = /** @type {HTMLDialogElement} */ (document.getElementById("conflict"));
  const text = /** @type {HTMLElement} */ (document.getElementById("conflict-text"));
  text.textContent = `${trouble.where} was changed by another program or window since you opened it here. Your edit has not been written.`;
  return new Promise((resolve) => {
    /** @param {Event} event */
    const choose = (event) => {
      const value = event.target instanceof HTMLButtonElement ? event.target.value : "theirs";
      if (event.type === "click" && !(event.target instanceof HTMLButtonElement)) return;
      dialog.removeEventListener("click", choose);
      dialog.removeEventListener("cancel", choose);
      dialog.close();
      resolve(value === "mine" ? "mine" : "theirs");
    };
    dialog.addEventListener("click", choose);
    dialog.addEventListener("cancel", choose);
    dialog.showModal();
  });
}

/** @param {any} data an answer that says how the files stand */
function took(data) {
  revisions = data.revisions;
  stepButton("undo", data.undo);
  stepButton("redo", data.redo);
  if ("problem" in data) trouble(data.problem);
}

/** @param {"undo" | "redo"} name @param {string} what */
function stepButton(name, what) {
  const button = /** @type {HTMLButtonElement} */ (document.getElementById(name));
  button.disabled = !what;
  button.title = what ? `${name === "undo" ? "Take back" : "Do again"}: ${what}` : "";
}

/** Show what stands in the way, or nothing. @param {Trouble | null} problem */
export function trouble(problem) {
  const box = /** @type {HTMLElement} */ (document.getElementById("trouble"));
  box.hidden = !problem;
  if (!problem) return;
  const where = document.createElement("strong");
  where.textContent = problem.where ? `${problem.where}: ` : "";
  box.replaceChildren(where, `${problem.what} ${problem.advice}`);
}

/** Show an error wherever it came from. @param {unknown} error */
export function failed(error) {
  if (error instanceof Refusal) trouble(error.trouble);
  else if (!(error instanceof DOMException && error.name === "AbortError")) {
    trouble({what: "Something went wrong on this page.", where: "", advice: "Load it again; what was saved is safe."});
    throw error;
  }
}

/** Clear what an earlier error said. */
export const quiet = () => trouble(null);

/** One short word beside undo and redo. @param {string} words */
export function say(words) {
  /** @type {HTMLElement} */ (document.getElementById("saved")).textContent = words;
}

/** What a page must bring to disk before a step is taken back, or the wrong one would be. @type {Set<() => Promise<void>>} */
export const beforeSteps = new Set();

/** @param {"undo" | "redo"} which */
async function step(which) {
  try {
    await Promise.all([...beforeSteps].map((finish) => finish()));
    const data = await ask("POST", `/api/${which}`);
    if (!data.done) return;
    say(which === "undo" ? `Took back: ${data.done}` : `Did again: ${data.done}`);
    news.dispatchEvent(new CustomEvent("undone", {detail: data.done}));
  } catch (error) {
    failed(error);
  }
}

/**
 * Watch a task until it ends. Throws Refusal when it failed, an AbortError when it was cancelled.
 * @param {{number: string}} task @param {(share: number, doing: string) => void} [tell] @param {AbortSignal} [signal]
 * @returns {Promise<any>} its result
 */
export async function finished(task, tell, signal) {
  for (;;) {
    const seen = await ask("GET", `/api/tasks/${task.number}?wait=true`, undefined, signal);
    tell?.(seen.share, seen.doing);
    if (seen.state === "done") return seen.result;
    if (seen.state === "failed") throw new Refusal(422, seen.error);
    if (seen.state === "cancelled") throw new DOMException("stopped", "AbortError");
  }
}

/**
 * An element, with attributes and children; text is only ever text.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag @param {Record<string, string | boolean | undefined | ((event: any) => void)>} [attributes]
 * @param {...(Node | string)} children @returns {HTMLElementTagNameMap[K]}
 */
export function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(name.slice(2), value);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== undefined) element.setAttribute(name, value);
  }
  element.append(...children);
  return element;
}

/** @param {string} id */
export const byId = (id) => /** @type {any} */ (document.getElementById(id));

/** How often an open page asks whether another hand changed a file [ms]. */
const LOOKING = 1500;

async function look() {
  if (document.visibilityState === "visible") {
    try {
      const before = written;
      const data = await ask("GET", "/api/state");
      const known = Object.keys(revisions).length > 0;
      const changed = Object.keys({...revisions, ...data.revisions}).filter((name) => revisions[name] !== data.revisions[name]);
      if (!known) took(data);
      else if (changed.length && !saving && before === written) {
        trouble(data.problem);
        news.dispatchEvent(new CustomEvent("files", {detail: changed}));
      }
    } catch (error) {
      if (error instanceof Refusal && error.status === 0) trouble(error.trouble);
    }
  }
  setTimeout(look, LOOKING);
}

// On a small screen the moments are wider than the page: the one that is open comes into sight.
document.querySelector(".moments [aria-current]")?.scrollIntoView({block: "nearest", inline: "nearest"});

byId("undo")?.addEventListener("click", () => step("undo"));
byId("redo")?.addEventListener("click", () => step("redo"));
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const typing = event.target instanceof HTMLElement && event.target.matches("input:not([type=checkbox]):not([type=radio]):not([type=range]), textarea");
  const key = event.key.toLowerCase();
  if (typing || (key !== "z" && key !== "y")) return;
  event.preventDefault();
  step(key === "y" || event.shiftKey ? "redo" : "undo");
});

/** Resolves once the page knows how the files stand. */
export const ready = document.body.dataset.moment ? look() : Promise.resolve();

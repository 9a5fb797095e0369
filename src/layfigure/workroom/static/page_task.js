// @ts-check
// The long task of a page, with its progress, its words and its stop button: a newer one takes over from an older.

import {ask, byId, failed, finished, quiet} from "/static/room.js";
import {inTurn} from "/static/in_turn.js";

/**
 * The elements are those of `id`: itself, `id-share`, `id-words` and `id-stop`; `nothing` says how it ended.
 * @param {string} id @param {string} kind of request, see inTurn
 * @param {{patient?: boolean}} [ways] patient: a task that is stopped still has a result worth waiting for
 * @returns {(begin: () => Promise<any>, then: (result: any) => void | Promise<void>, waiting: string) => Promise<void>}
 */
export function pageTask(id, kind, {patient = false} = {}) {
  let turn = 0;
  /** @type {AbortController | null} */
  let stopper = null;
  /** @type {string | null} */
  let running = null;

  byId(`${id}-stop`).addEventListener("click", () => {
    if (!patient) stopper?.abort();
    if (running) ask("DELETE", `/api/tasks/${running}`).catch(failed);
  });

  return async function run(begin, then, waiting) {
    const own = ++turn;
    stopper?.abort();
    stopper = new AbortController();
    const from = document.activeElement;
    byId(id).hidden = false;
    byId(`${id}-share`).value = 0;
    byId(`${id}-words`).textContent = waiting;
    told("");
    try {
      const task = await inTurn(kind, begin);
      if (own !== turn) return;
      running = task.number;
      const result = await finished(task, (share, doing) => {
        byId(`${id}-share`).value = share;
        byId(`${id}-words`).textContent = doing ? `${capital(doing)}…` : waiting;
      }, stopper.signal);
      if (own !== turn) return;
      quiet();
      await then(result);
    } catch (error) {
      if (own !== turn) return;
      if (error instanceof DOMException) told("Stopped. What is shown may be older than your files.");
      else failed(error);
    } finally {
      if (own === turn) {
        const within = byId(id).contains(document.activeElement);
        byId(id).hidden = true;
        running = null;
        if (within || document.activeElement === document.body) goBack(from);
      }
    }
  };
}

/** Whoever began it by keyboard goes on where that was, or at what was written anew in its place. @param {Element | null} from */
function goBack(from) {
  if (!from || from === document.body) return;
  const now = from.isConnected ? from : from.id ? document.getElementById(from.id) : null;
  /** @type {HTMLElement | null} */ (now)?.focus({preventScroll: true});
}

/** Say on the page that there is nothing, and why. @param {string} words */
export function told(words) {
  byId("nothing").hidden = !words;
  byId("nothing").textContent = words;
}

/** @param {string} words */
export const capital = (words) => words && words[0].toUpperCase() + words.slice(1);

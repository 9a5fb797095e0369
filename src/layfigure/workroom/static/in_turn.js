// @ts-check
// Requests of one kind sent one after the other: a newer task cancels an older one, and never the other way.

/** @type {Map<string, Promise<unknown>>} */
const last = new Map();

/**
 * @template T
 * @param {string} kind @param {() => Promise<T>} send @returns {Promise<T>}
 */
export function inTurn(kind, send) {
  const next = (last.get(kind) ?? Promise.resolve()).catch(() => undefined).then(send);
  last.set(kind, next);
  return next;
}

// @ts-check
// A part of the page that is written anew while somebody is in it with the keyboard.

const REACHABLE = "button, input, select, textarea, a[href], summary";

/** Write a part anew; what had the focus, or what stands in its place, has it again. @param {HTMLElement} box @param {() => void} write */
export function keepFocus(box, write) {
  const active = document.activeElement;
  const within = active instanceof HTMLElement && active !== box && box.contains(active);
  const place = within ? [...box.querySelectorAll(REACHABLE)].indexOf(active) : -1;
  const same = within ? active.id || active.textContent : "";
  const open = [...box.querySelectorAll("details[open] > summary")].map((summary) => summary.textContent);
  write();
  for (const summary of box.querySelectorAll("details > summary")) {
    if (open.includes(summary.textContent)) /** @type {HTMLDetailsElement} */ (summary.parentElement).open = true;
  }
  if (!within) return;
  const all = /** @type {HTMLElement[]} */ ([...box.querySelectorAll(REACHABLE)]);
  (all.find((one) => (one.id || one.textContent) === same) ?? all[Math.min(place, all.length - 1)])?.focus();
}

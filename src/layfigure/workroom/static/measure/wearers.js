// @ts-check
// Who is measured: everybody there is a file of, and somebody new.

import {ask, byId, failed, make, news, quiet, Refusal} from "/static/room.js";

async function load() {
  try {
    const {wearers} = await ask("GET", "/api/wearers");
    byId("wearers").replaceChildren(...wearers.map(card));
    byId("wearers").hidden = !wearers.length;
    byId("who-title").textContent = wearers.length ? "Who will wear it?" : "Nobody is measured yet";
  } catch (error) {
    failed(error);
  }
}

/** @param {any} wearer */
function card(wearer) {
  if (wearer.problem) {
    return make("li", {class: "card"}, make("strong", {class: "wearer-name"}, wearer.name),
      make("p", {class: "bad"}, `${wearer.problem.where ? `${wearer.problem.where}: ` : ""}${wearer.problem.what} ${wearer.problem.advice}`));
  }
  const taken = wearer.taken === 1 ? "1 measure" : `${wearer.taken || "no"} measures`;
  return make("li", {class: "card"}, make("a", {class: "wearer-name", href: `/measure/${wearer.slug}`}, wearer.name),
    make("p", {class: "soft"}, `${taken} taken, ${wearer.posture === "seated" ? "sitting" : "standing"}, in ${wearer.unit === "in" ? "inches" : "centimetres"}`));
}

/** @param {SubmitEvent} event */
async function begin(event) {
  event.preventDefault();
  const form = new FormData(/** @type {HTMLFormElement} */ (event.target));
  const name = String(form.get("name")).trim();
  byId("name").toggleAttribute("aria-invalid", false);
  byId("new-trouble").textContent = "";
  if (!name) {
    byId("name").setAttribute("aria-invalid", "true");
    byId("new-trouble").textContent = "Give a name first; an alias will do.";
    byId("name").focus();
    return;
  }
  try {
    const {slug} = await ask("POST", "/api/wearers", {name, unit: form.get("unit"), posture: form.get("posture"), guess_from: form.get("guess_from")});
    quiet();
    location.assign(`/measure/${slug}`);
  } catch (error) {
    if (error instanceof Refusal && error.status === 422) byId("new-trouble").textContent = `${error.trouble.what} ${error.trouble.advice}`;
    else failed(error);
  }
}

byId("new-wearer").addEventListener("submit", begin);
for (const happened of ["files", "undone"]) news.addEventListener(happened, load);
await load();

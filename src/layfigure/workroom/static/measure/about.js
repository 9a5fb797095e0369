// @ts-check
// What is said about a wearer beside her measures, and removing her.

import {byId, failed, save} from "/static/room.js";

/** @param {any} wearer @param {() => Promise<void>} changed */
export function about(wearer, changed) {
  byId("about-name").textContent = wearer.name;
  const values = {wearer: wearer.name, unit: wearer.unit, posture: wearer.posture, guess: wearer.guess_from, worn: wearer.worn_under.join(", ")};
  for (const [id, value] of Object.entries(values)) {
    const field = byId(`about-${id}`);
    if (document.activeElement !== field) field.value = value;
  }
  byId("about").onsubmit = (/** @type {Event} */ event) => event.preventDefault();
  byId("about").onchange = async (/** @type {Event} */ event) => {
    const {name, value} = /** @type {HTMLInputElement} */ (event.target);
    if (name === "name" && !value.trim()) {
      byId("about-wearer").value = wearer.name;
      return;
    }
    const said = name === "worn_under" ? value.split(",").map((one) => one.trim()).filter(Boolean) : value.trim();
    try {
      await save("PATCH", `/api/wearers/${wearer.slug}`, {[name]: said}, [wearer.file]);
      await changed();
    } catch (error) {
      failed(error);
    }
  };
  byId("remove").onclick = () => byId("removing").showModal();
  byId("remove-not").onclick = () => byId("removing").close();
  byId("remove-yes").onclick = async () => {
    byId("removing").close();
    try {
      if (await save("DELETE", `/api/wearers/${wearer.slug}`, {}, [wearer.file])) location.assign("/measure");
    } catch (error) {
      failed(error);
    }
  };
}

// @ts-check
// Pictures dropped in, one question each, and all pictures as cards.

import {ask, byId, failed, make, news, Refusal, save} from "/static/room.js";
import {capital, pictureWords, VIEWS} from "./words.js";

const MOST_BYTES = 40_000_000;

/** A guess from a file's name, which the maker only has to confirm. @param {string} name */
function guessedView(name) {
  const words = name.toLowerCase();
  return Object.keys(VIEWS).find((view) => new RegExp(`(^|[^a-z])${view}([^a-z]|$)`).test(words)) ?? "";
}

/** @param {File} file */
function ask_about(file) {
  const shell = /** @type {HTMLTemplateElement} */ (byId("dropped-one")).content.cloneNode(true);
  const item = /** @type {HTMLLIElement} */ (/** @type {DocumentFragment} */ (shell).firstElementChild);
  const form = /** @type {HTMLFormElement} */ (item.querySelector("form"));
  const image = /** @type {HTMLImageElement} */ (item.querySelector("img"));
  const bad = /** @type {HTMLElement} */ (item.querySelector(".bad"));
  const address = URL.createObjectURL(file);
  const leave = () => {
    URL.revokeObjectURL(address);
    item.remove();
  };
  image.src = address;
  image.alt = `The picture ${file.name}`;
  image.addEventListener("error", () => {
    image.hidden = true;
  });
  /** @type {HTMLElement} */ (item.querySelector(".dropped-name")).textContent = file.name;
  const guess = guessedView(file.name);
  const group = `view-${Math.random().toString(36).slice(2)}`;
  item.querySelector("fieldset")?.append(...Object.entries(VIEWS).map(([view, words]) => make("label", {class: "check"},
    make("input", {type: "radio", name: group, value: view, checked: view === guess}), words)));
  item.querySelector("button[value=leave]")?.addEventListener("click", leave);
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const view = /** @type {HTMLInputElement | null} */ (form.querySelector(`input[name=${group}]:checked`))?.value;
    if (!view) {
      bad.textContent = "Say first which side it shows.";
      return;
    }
    const sent = new FormData();
    sent.append("file", file);
    sent.append("view", view);
    sent.append("photograph", String(/** @type {HTMLInputElement} */ (form.querySelector("[name=photograph]")).checked));
    const button = /** @type {HTMLButtonElement} */ (form.querySelector("button.main"));
    button.disabled = true;
    bad.textContent = "";
    try {
      const taken = await ask("POST", "/api/pictures", sent);
      leave();
      await load();
      if (!byId("dropped").children.length && byId("cards").children.length === 1) location.assign(`/look/${encodeURIComponent(taken.picture)}`);
      else /** @type {HTMLElement | null} */ (document.querySelector(`[data-card="${CSS.escape(taken.picture)}"] a`))?.focus();
    } catch (error) {
      button.disabled = false;
      if (error instanceof Refusal && error.status) bad.textContent = `${capital(error.trouble.what)} ${error.trouble.advice}`;
      else failed(error);
    }
  });
  return item;
}

/** @param {Iterable<File>} files */
function dropped(files) {
  const items = [];
  for (const file of files) {
    if (file.size > MOST_BYTES) items.push(make("li", {class: "bad", role: "alert"}, `${file.name} is larger than 40 MB; a smaller copy will do.`));
    else items.push(ask_about(file));
  }
  byId("dropped").append(...items);
  /** @type {HTMLElement | null} */ (byId("dropped").querySelector("input[type=radio]:checked, input[type=radio]"))?.focus();
}

/** @param {any} card */
function marked(card) {
  if (!card.landmarks && !card.lines) return "Nothing marked yet";
  const parts = [`${card.landmarks} ${card.landmarks === 1 ? "point" : "points"} of the body`];
  if (card.lines) parts.push(`${card.lines} ${card.lines === 1 ? "line" : "lines"} traced`);
  return parts.join(", ");
}

/** @param {any} card */
function cardOf(card) {
  const address = `/look/${encodeURIComponent(card.name)}`;
  const change = async (/** @type {Record<string, unknown>} */ edit) => {
    try {
      const body = {picture: card.name, view: card.view, yaw: card.yaw, photograph: card.photograph, ...edit};
      if (await save("PATCH", "/api/pictures", body, ["marks.json", "costume.toml"])) await load();
    } catch (error) {
      failed(error);
    }
  };
  const view = make("select", {id: `view-${card.name}`, onchange: (event) => change({view: event.target.value, yaw: null})},
    ...Object.entries(VIEWS).map(([name, words]) => make("option", {value: name}, words)));
  view.value = card.view;
  const photograph = make("input", {type: "checkbox", onchange: (event) => change({photograph: event.target.checked})});
  photograph.checked = card.photograph;
  const yaw = card.view !== "free" ? [] : [make("div", {class: "field"},
    make("label", {for: `yaw-${card.name}`}, "How far round, in degrees", make("span", {class: "hint"}, "From the front toward the character's left; minus toward their right. Leave it empty to have it found.")),
    make("input", {id: `yaw-${card.name}`, type: "number", min: "-180", max: "180", step: "1", value: card.yaw === null ? "" : String(Math.round(card.yaw)),
      onchange: (event) => change({yaw: event.target.value === "" || !event.target.checkValidity() ? null : Number(event.target.value)})}))];
  return make("li", {class: "card picture-card", "data-card": card.name},
    make("a", {href: address, class: "picture-open"},
      card.missing ? make("span", {class: "no-file"}, "Its file is not in the folder") : make("img", {src: `/api/pictures/image?small=true&picture=${encodeURIComponent(card.name)}`, alt: "", loading: "lazy"}),
      make("span", {class: "picture-name"}, pictureWords(card.name))),
    make("p", {class: "soft"}, marked(card)),
    make("p", {}, make("a", {class: "button main", href: address}, card.landmarks ? "Go on marking" : "Mark it")),
    make("details", {}, make("summary", {}, VIEWS[card.view]),
      make("div", {class: "stack"},
        make("div", {class: "field"}, make("label", {for: `view-${card.name}`}, "What it shows"), view), ...yaw,
        make("label", {class: "check"}, photograph, "A real person is to be seen in it"),
        make("button", {type: "button", onclick: async () => {
          try {
            if (await save("DELETE", "/api/pictures", {picture: card.name}, ["marks.json", "costume.toml"])) await load();
          } catch (error) {
            failed(error);
          }
        }}, "Take it out, with its marks"))));
}

/** A reference that nothing is marked on yet. @param {{file: string, name: string, note: string}} reference */
function referenceOf({file, name, note}) {
  const id = `known-${file}`;
  const view = make("select", {id}, make("option", {value: ""}, "Which side do you see?"),
    ...Object.entries(VIEWS).map(([side, words]) => make("option", {value: side}, words)));
  view.value = guessedView(name);
  const bad = make("p", {class: "bad", role: "alert"});
  return make("li", {class: "card picture-card"},
    make("div", {class: "picture-open"},
      make("img", {src: `/api/pictures/known/image?file=${encodeURIComponent(file)}`, alt: "", loading: "lazy"}),
      make("span", {class: "picture-name"}, pictureWords(name))),
    ...(note ? [make("p", {class: "soft"}, note)] : []),
    make("div", {class: "field"}, make("label", {for: id}, "What it shows"), view), bad,
    make("button", {type: "button", onclick: async () => {
      bad.textContent = view.value ? "" : "Say first which side it shows.";
      if (!view.value) return;
      try {
        const done = await save("POST", "/api/pictures/known", {file, view: view.value}, ["marks.json"]);
        if (done) location.assign(`/look/${encodeURIComponent(done.picture)}`);
      } catch (error) {
        failed(error);
      }
    }}, "Mark this one too"));
}

async function load() {
  const {pictures, references} = await ask("GET", "/api/pictures");
  byId("all").hidden = !pictures.length;
  byId("known").hidden = !references.length;
  byId("references").replaceChildren(...references.map(referenceOf));
  byId("cards").replaceChildren(...pictures.map(cardOf));
}

const place = byId("drop");
const files = /** @type {HTMLInputElement} */ (byId("files"));
files.addEventListener("change", () => {
  dropped(files.files ?? []);
  files.value = "";
});
for (const [name, over] of /** @type {[string, boolean][]} */ ([["dragenter", true], ["dragover", true], ["dragleave", false], ["drop", false]])) {
  // A picture dropped beside the place must not replace the page.
  document.addEventListener(name, (/** @type {any} */ event) => {
    event.preventDefault();
    place.classList.toggle("over", over && Boolean(event.dataTransfer));
    if (name === "drop") dropped(event.dataTransfer?.files ?? []);
  });
}
const again = () => load().catch(failed);
news.addEventListener("undone", again);
news.addEventListener("files", again);
await again();

// @ts-check
// Lines of the costume: traced point by point, or said in words.

import {ask, failed, make, Refusal, save} from "/static/room.js";
import {capital, lineWords, regionWords} from "./words.js";

/** @typedef {{slug: string, group: string, side: string, closed: boolean, words: string | null}} Line */
/** @typedef {{slug: string, label: string, words: string | null, side: string, group: string}} Traceable */

/** Lines as they may be marked: one of both sides on either, or once for both. @param {Line[]} lines @returns {Traceable[]} */
export function traceable(lines) {
  const groups = new Set();
  const found = [];
  for (const line of lines) {
    if (line.group !== line.slug && !groups.has(line.group)) {
      groups.add(line.group);
      if (line.words === null) found.push({...line, slug: line.group, side: "both", label: `${lineWords(line.group)}, both sides alike`});
    }
    found.push({...line, label: lineWords(line.slug)});
  }
  return found;
}

const SIDES = [
  ["middle", "The trunk, neck or head"], ["left", "The character's left side"],
  ["right", "The character's right side"], ["both", "Both sides alike"],
];

/**
 * @param {HTMLElement} box
 * @param {{lines: Line[], slug: string, stretch: number, marks: import("./marks.js").Marks, regions: string[], chosen: string}} asked
 * @param {{line: (slug: string) => void, stretch: (number: number) => void, change: (what: string) => void,
 *   begun: (slug: string) => Promise<void>, corner: () => void, between: () => void}} doings
 */
export function showLines(box, asked, doings) {
  const {lines, slug, marks} = asked;
  const all = traceable(lines);
  const line = all.find((one) => one.slug === slug);
  const select = make("select", {id: "line", onchange: (event) => doings.line(event.target.value)},
    make("option", {value: ""}, all.length ? "Which line…" : "None yet"),
    ...all.map((one) => make("option", {value: one.slug}, `${one.label}${one.words !== null ? " (said in words)" : marks.edges[one.slug] ? " (traced here)" : ""}`)));
  select.value = slug;
  /** @type {HTMLElement[]} */
  const parts = [make("div", {class: "field"}, make("label", {for: "line"}, "Line"), select)];
  if (line && line.words === null) parts.push(tracing(asked, doings));
  if (line) parts.push(saying(line, lines, doings));
  // A form that is being filled in stays as it is when the rest is written anew.
  const filled = /** @type {HTMLElement | null} */ (box.querySelector(".begin-line:not(.begun)"));
  parts.push(filled ?? beginning(doings, !all.length));
  box.replaceChildren(make("div", {class: "guide-words"},
    make("h2", {id: "guide-title"}, line ? line.label : "Which line do you trace?"),
    ...(line && line.words !== null
      ? [make("p", {}, "This line is said in words: ", make("q", {}, line.words), ". It needs no tracing.")]
      : [make("p", {}, line ? "Click along it, point by point. Drag the line itself, or click on it, to put a point in between." : "A belt, the edge of a plate, a hem, a window: choose it, or begin a new one.")]),
    ...parts));
}

/** What is said of the stretch that is being traced. @param {Parameters<typeof showLines>[1]} asked @param {Parameters<typeof showLines>[2]} doings */
function tracing({slug, stretch, marks, regions, chosen}, doings) {
  const stretches = marks.edges[slug] ?? [];
  const now = stretches[stretch];
  const box = make("div", {class: "stack"});
  if (stretches.length > 1 || stretch >= stretches.length && stretches.length) {
    box.append(make("div", {class: "row", role: "group", "aria-label": "Stretches of this line"},
      ...stretches.map((one, k) => make("button", {type: "button", class: "small", "aria-pressed": String(k === stretch), onclick: () => doings.stretch(k)}, `Stretch ${k + 1}: ${one.points.length} points`))));
  }
  if (!now) return box;
  const closed = make("input", {type: "checkbox", id: "closed", disabled: now.points.length < 3, onchange: (event) => {
    now.closed = event.target.checked;
    doings.change(`close ${slug.replaceAll("_", " ")}`);
  }});
  closed.checked = now.closed;
  const [, , own, index] = chosen.split(" ");
  const onIt = chosen.startsWith(`line ${slug} `) && +own === stretch;
  box.append(
    make("label", {class: "check", for: "closed"}, closed, "Seen whole: it runs back to its first point"),
    make("div", {class: "row"},
      make("button", {type: "button", disabled: !onIt, "aria-pressed": String(onIt && now.corners.includes(+index)), onclick: doings.corner}, "Sharp corner"),
      make("button", {type: "button", id: "put-between", disabled: !onIt || (+index === now.points.length - 1 && !now.closed), onclick: doings.between}, "A point after it"),
      make("button", {type: "button", class: "quiet", onclick: () => doings.stretch(stretches.length)}, "It goes on elsewhere")),
    make("details", {}, make("summary", {}, now.regions.length ? `On the ${now.regions.map(regionWords).join(", ")}` : "On which part of the body?"),
      make("p", {class: "soft small"}, "Better said than guessed where an arm hangs before the trunk."),
      make("div", {class: "region-checks"}, ...regions.map((region) => {
        const check = make("input", {type: "checkbox", onchange: (event) => {
          now.regions = event.target.checked ? [...now.regions, region] : now.regions.filter((one) => one !== region);
          doings.change(`say where ${slug.replaceAll("_", " ")} lies`);
        }});
        check.checked = now.regions.includes(region);
        return make("label", {class: "check"}, check, capital(regionWords(region)));
      }))));
  return box;
}

/** @param {string} id @param {string} value */
function sideField(id, value) {
  const select = make("select", {id}, ...SIDES.map(([side, words]) => make("option", {value: side}, words)));
  select.value = value;
  return make("div", {class: "field"}, make("label", {for: id}, "It lies on"), select);
}

/** A field for words that says back where they lie. @param {string} id @param {string} value @param {() => string} side @param {string | null} slug */
function wordsField(id, value, side, slug) {
  const said = make("p", {class: "small", "aria-live": "polite"});
  let timer = 0;
  /** @type {AbortController | null} */
  let asking = null;
  const look = () => {
    clearTimeout(timer);
    timer = window.setTimeout(async () => {
      const words = input.value.trim();
      said.textContent = "";
      if (!words) return;
      asking?.abort();
      asking = new AbortController();
      try {
        const found = await ask("POST", "/api/costume/words", {words, side: side(), slug}, asking.signal);
        said.className = "small good";
        said.textContent = found.says;
      } catch (error) {
        if (!(error instanceof Refusal) || error.status !== 422) return;
        said.className = "small bad";
        said.textContent = `${capital(error.trouble.what)} ${error.trouble.advice}`;
      }
    }, 250);
  };
  const input = make("input", {id, value, maxlength: "300", autocomplete: "off", placeholder: "halfway from knee to ankle", oninput: look});
  return {input, look, box: make("div", {class: "field"},
    make("label", {for: id}, "Where it lies, in words", make("span", {class: "hint"}, "At the waist · 30 % from wrist to elbow · 5 cm above the knee, pointing up 3 cm at the front · along the outside from hip to ankle")), input, said)};
}

/** @param {string} problem @param {HTMLElement} box */
const complain = (problem, box) => {
  box.textContent = problem;
};

/** Say a line in words, or no longer. @param {Traceable} line @param {Line[]} lines @param {Parameters<typeof showLines>[2]} doings */
function saying(line, lines, doings) {
  const stated = lines.find((one) => one.slug === line.slug || one.group === line.slug);
  const both = stated && stated.group !== stated.slug;
  const trouble = make("p", {class: "bad", role: "alert"});
  const side = sideField("said-side", both ? "both" : line.side);
  const sideNow = () => /** @type {HTMLSelectElement} */ (side.querySelector("select")).value;
  const words = wordsField("said-words", line.words ?? "", sideNow, line.group);
  side.querySelector("select")?.addEventListener("change", words.look);
  const send = async (/** @type {string | null} */ said) => {
    try {
      const body = {words: said, side: sideNow(), closed: stated?.closed ?? true};
      if (await save("PUT", `/api/costume/edges/${line.group}`, body, ["costume.toml"])) await doings.begun(both && said === null ? line.slug : said === null ? line.group : line.slug);
    } catch (error) {
      if (error instanceof Refusal && error.status === 422) complain(`${capital(error.trouble.what)} ${error.trouble.advice}`, trouble);
      else failed(error);
    }
  };
  return make("details", {}, make("summary", {}, line.words === null ? "Say it in words instead" : "Change the words"),
    make("div", {class: "stack"}, side, words.box, trouble, make("div", {class: "row"},
      make("button", {type: "button", onclick: () => words.input.value.trim() && send(words.input.value.trim())}, "Say it so"),
      ...(line.words === null ? [] : [make("button", {type: "button", class: "quiet", onclick: () => send(null)}, "Trace it instead")]))));
}

/** Begin a line. @param {Parameters<typeof showLines>[2]} doings @param {boolean} open */
function beginning(doings, open) {
  const trouble = make("p", {class: "bad", role: "alert"});
  const name = make("input", {id: "new-name", maxlength: "80", autocomplete: "off", placeholder: "Top of the guard"});
  const side = sideField("new-side", "middle");
  const sideNow = () => /** @type {HTMLSelectElement} */ (side.querySelector("select")).value;
  const closed = make("input", {type: "checkbox", id: "new-closed", checked: true});
  const words = wordsField("new-words", "", sideNow, null);
  side.querySelector("select")?.addEventListener("change", words.look);
  const form = make("form", {class: "stack", novalidate: true, onsubmit: async (event) => {
    event.preventDefault();
    if (!name.value.trim()) {
      complain("Give it a name first.", trouble);
      name.focus();
      return;
    }
    try {
      const said = words.input.value.trim() || null;
      const done = await save("POST", "/api/costume/edges", {name: name.value.trim(), words: said, side: sideNow(), closed: closed.checked}, ["costume.toml"]);
      if (!done) return;
      form.parentElement?.classList.add("begun");
      await doings.begun(sideNow() === "both" && said !== null ? `${done.slug}_left` : done.slug);
    } catch (error) {
      if (error instanceof Refusal && error.status === 422) complain(`${capital(error.trouble.what)} ${error.trouble.advice}`, trouble);
      else failed(error);
    }
  }},
  make("div", {class: "field"}, make("label", {for: "new-name"}, "What do you call it?"), name),
  side,
  make("label", {class: "check", for: "new-closed"}, closed, make("span", {}, "On the body it closes on itself, like a belt, a hem or a window",
    make("span", {class: "hint"}, "Not so a line with two ends: a stripe down a leg, a seam along an arm."))),
  words.box, trouble,
  make("button", {class: "main"}, "Begin it"));
  return make("details", {class: "begin-line", open}, make("summary", {}, "A new line"), form);
}

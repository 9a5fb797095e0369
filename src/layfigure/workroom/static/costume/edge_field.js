// @ts-check
// Which edge bounds a piece: one that is there, or words typed on the spot.

import {ask, make} from "/static/room.js";
import {beside, labelled, select} from "/static/costume/fields.js";
import {spoken} from "/static/costume/schema.js";

const SAY = " say";

/**
 * @param {{id: string, role: string, what: string, required: boolean, value: string | undefined, edges: any[],
 *   side: () => string, told: (value: any) => Promise<void>, reword: (slug: string, words: string) => Promise<void>}} wanted
 * told : the name of an edge, {words}, or null. reword : other words for an edge that is there.
 */
export function edgeField(wanted) {
  const {id, role, what, required, value, edges} = wanted;
  /** @type {[string, string][]} */
  const options = [
    ...(required && value ? [] : /** @type {[string, string][]} */ ([["", required ? "choose…" : "as usual"]])),
    [SAY, "say it in words…"],
    ...edges.map((edge) => /** @type {[string, string]} */ ([edge.slug, spoken(edge.slug) + (edge.words ? `: ${edge.words}` : ", marked on pictures")])),
  ];
  if (value && !edges.some((edge) => edge.slug === value)) options.push([value, spoken(value)]);
  const words = make("input", {autocomplete: "off", placeholder: "halfway from hip to knee", "aria-label": `${spoken(role)}, in words`});
  const choice = select(options, value ?? (required ? SAY : ""), () => {
    shown();
    if (choice.value === SAY) words.focus();
    else beside(choice, () => wanted.told(choice.value || null));
  });
  const hint = make("p", {class: "hint"});
  words.addEventListener("change", () => beside(words, async () => {
    const said = words.value.trim();
    if (!said) return;
    const edge = edges.find((one) => one.slug === choice.value);
    if (edge) await wanted.reword(edge.slug, said);
    else {
      await ask("POST", "/api/costume/words", {words: said, side: wanted.side()});
      await wanted.told({words: said});
    }
  }));
  words.id = `${id}-words`;
  words.setAttribute("aria-describedby", `${id}-words-trouble`);
  function shown() {
    const edge = edges.find((one) => one.slug === choice.value);
    words.hidden = !(choice.value === SAY || edge?.words);
    if (edge?.words) words.value = edge.words;
    const others = (edge?.bounds ?? []).length;
    hint.textContent = edge && others > 1 ? `This edge bounds ${others} pieces; other words move them all.` : "";
  }
  shown();
  const place = labelled(id, spoken(role), what, choice);
  place.append(words, make("p", {class: "bad beside", id: `${id}-words-trouble`, role: "alert"}), hint);
  return place;
}

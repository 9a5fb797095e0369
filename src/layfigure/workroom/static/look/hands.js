// @ts-check
// What mouse, fingers and pen do to the picture.

import {LINE_REACH, REACH} from "./canvas.js";

/** @typedef {[number, number]} Place */
/** @typedef {NonNullable<ReturnType<import("./canvas.js").Canvas["lineUnder"]>>} Part */
/**
 * What the page does with it. Places are in the picture.
 * @typedef {{choose: (mark: string) => void, drag: (mark: string, to: Place) => void, dropped: (mark: string) => void,
 *   set: (at: Place) => void, taken: (mark: string, back: Place) => void,
 *   draw: (part: Part) => string, put: (mark: string) => void, untake: (mark: string) => void}} Doings
 * draw : a point out of the line, told its name once it is there. put : it is let go. untake : it was none after all.
 */

/** How far a pointer may stray and still have clicked [px]. */
const STILL = {mouse: 4, touch: 9};

/** @param {import("./canvas.js").Canvas} canvas @param {Doings} doings */
export function listen(canvas, doings) {
  const {easel, ground} = canvas;
  /** @type {Map<number, Place>} */
  const fingers = new Map();
  /** @type {{kind: "mark" | "ground" | "finger" | "two", mark: string, from: Place, before: Place, grip: Place, moved: boolean, part: Part | null, drawn: boolean} | null} */
  let doing = null;
  let space = false;
  /** Where the easel lay when the first pointer came down. @type {DOMRect | null} */
  let place = null;
  addEventListener("scroll", () => { place = null; }, {passive: true});
  addEventListener("resize", () => { place = null; });

  /** @param {PointerEvent | WheelEvent} event @returns {Place} */
  const spotOf = (event) => {
    // Asking where the easel lies may lay the page out: once when a pointer comes down, not while it moves.
    if (!place || !fingers.size) place = easel.getBoundingClientRect();
    const box = place;
    return [event.clientX - box.left, event.clientY - box.top];
  };
  const kindOf = (/** @type {PointerEvent} */ event) => (event.pointerType === "touch" ? "touch" : "mouse");

  easel.addEventListener("pointerdown", (event) => {
    const spot = spotOf(event);
    fingers.set(event.pointerId, spot);
    easel.setPointerCapture(event.pointerId);
    if (fingers.size === 2) {
      // A second finger: whatever the first began was no mark.
      if (doing) takeBack(doing);
      canvas.finger = null;
      doing = {kind: "two", mark: "", from: spot, before: spot, grip: [0, 0], moved: true, part: null, drawn: false};
      canvas.showMarks();
      return;
    }
    const mark = event.button === 0 && !space ? canvas.under(spot, REACH[kindOf(event)]) : "";
    const part = mark || event.button !== 0 || space ? null : canvas.lineUnder(spot, LINE_REACH[kindOf(event)]);
    const at = mark ? /** @type {Place} */ (canvas.marks?.at(mark)) : ground.place(spot);
    const own = ground.spot(at);
    doing = {
      kind: mark ? "mark" : kindOf(event) === "touch" ? "finger" : "ground",
      mark, from: spot, before: at, grip: [own[0] - spot[0], own[1] - spot[1]], moved: event.button !== 0 || space,
      part, drawn: false,
    };
    if (mark) doings.choose(mark);
  });

  /** What a pointer has done so far was none of the maker's meaning. @param {NonNullable<typeof doing>} one */
  const takeBack = (one) => {
    if (one.drawn) doings.untake(one.mark);
    else if (one.kind === "mark" && one.moved) doings.taken(one.mark, one.before);
  };

  /** Show a mouse where a point would come out of the line. @param {PointerEvent} event */
  const hover = (event) => {
    const spot = spotOf(event);
    const part = event.pointerType === "touch" || event.buttons || space || canvas.under(spot, REACH.mouse) ? null : canvas.lineUnder(spot, LINE_REACH.mouse);
    if (!part && !canvas.between) return;
    canvas.between = part?.at ?? null;
    canvas.showMoved();
  };
  easel.addEventListener("pointermove", (event) => {
    if (!fingers.size) hover(event);
  });
  easel.addEventListener("pointerleave", () => {
    if (!canvas.between) return;
    canvas.between = null;
    canvas.showMoved();
  });

  easel.addEventListener("pointermove", (event) => {
    const last = fingers.get(event.pointerId);
    if (!last || !doing) return;
    const spot = spotOf(event);
    fingers.set(event.pointerId, spot);
    if (doing.kind === "two") {
      const other = [...fingers].find(([id]) => id !== event.pointerId)?.[1];
      if (!other) return;
      const [was, is] = [last, spot].map((one) => Math.hypot(one[0] - other[0], one[1] - other[1]));
      ground.pan((spot[0] - last[0]) / 2, (spot[1] - last[1]) / 2);
      if (was > 1) ground.zoom(is / was, [(spot[0] + other[0]) / 2, (spot[1] + other[1]) / 2]);
      canvas.show();
      return;
    }
    doing.moved ||= Math.hypot(spot[0] - doing.from[0], spot[1] - doing.from[1]) > STILL[kindOf(event)];
    if (!doing.moved) return;
    if (doing.part && !doing.drawn) {
      // From here on it is a mark like any other, that follows the pointer.
      const own = ground.spot(doing.part.at);
      doing = {...doing, kind: "mark", mark: doings.draw(doing.part), drawn: true, grip: [own[0] - doing.from[0], own[1] - doing.from[1]]};
      canvas.between = null;
    }
    if (doing.kind === "mark") {
      doings.drag(doing.mark, ground.place([spot[0] + doing.grip[0], spot[1] + doing.grip[1]]));
      canvas.finger = kindOf(event) === "touch" ? spot : null;
      canvas.showMoved();
    } else if (doing.kind === "ground") {
      easel.classList.add("moving");
      ground.pan(spot[0] - last[0], spot[1] - last[1]);
      canvas.show();
    } else {
      canvas.finger = spot;
      canvas.showMoved();
    }
  });

  /** @param {PointerEvent} event */
  const end = (event) => {
    if (!fingers.delete(event.pointerId)) return;
    const done = doing;
    easel.classList.remove("moving");
    canvas.finger = null;
    canvas.showMarks();
    if (done?.kind === "two") {
      if (!fingers.size) doing = null;
      return;
    }
    doing = null;
    if (!done) return;
    if (event.type === "pointercancel") {
      takeBack(done);
    } else if (done.kind === "mark") {
      if (done.drawn) doings.put(done.mark);
      else if (done.moved) doings.dropped(done.mark);
    } else if (done.kind === "finger" || !done.moved) {
      const at = ground.place(spotOf(event));
      if (at[0] >= 0 && at[1] >= 0 && at[0] <= ground.size[0] && at[1] <= ground.size[1]) doings.set(at);
    }
  };
  easel.addEventListener("pointerup", end);
  easel.addEventListener("pointercancel", end);

  easel.addEventListener("wheel", (event) => {
    event.preventDefault();
    const step = event.deltaY * (event.deltaMode === 1 ? 18 : 1) * (event.ctrlKey ? 4 : 1);
    ground.zoom(Math.exp(-Math.min(Math.max(step, -240), 240) * 0.0016), spotOf(event));
    canvas.show();
  }, {passive: false});

  const holding = (/** @type {KeyboardEvent} */ event, /** @type {boolean} */ down) => {
    if (event.key !== " " || document.activeElement !== easel) return;
    event.preventDefault();
    space = down;
    easel.classList.toggle("held", down);
  };
  easel.addEventListener("keydown", (event) => holding(event, true));
  easel.addEventListener("keyup", (event) => holding(event, false));
  easel.addEventListener("blur", () => {
    space = false;
    easel.classList.remove("held");
  });
  return {
    get space() { return space; },
    /** Whether a pointer is down. */
    get busy() { return fingers.size > 0; },
    /** Resolves once no pointer is down. */
    free: async () => {
      while (fingers.size) await new Promise((resolve) => setTimeout(resolve, 50));
    },
  };
}

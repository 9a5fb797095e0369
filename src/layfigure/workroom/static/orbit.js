// @ts-check
// Turning round a body: where the eye is, and how mouse, touch and keyboard move it.

/** @typedef {{yaw: number, pitch: number, away: number, centre: [number, number, number]}} Eye angles in degrees; yaw 0 looks at the front, 90 at the wearer's left */

const NEAREST = 250;
const FURTHEST = 6000;
const STEEPEST = 80;
const TURN = 15;
const NEARER = 0.85;
/** How long a turn takes [ms]; none where motion is unwelcome. */
const TURNING = 380;

/** @param {Eye} eye @returns {string} where it looks from, in words */
export function seenFrom(eye) {
  const yaw = ((eye.yaw % 360) + 360) % 360;
  const sides = ["the front", "the front and left", "the left", "the back and left", "the back", "the back and right", "the right", "the front and right"];
  return sides[Math.round(yaw / 45) % 8];
}

/**
 * Let an element turn an eye.
 * @param {HTMLElement} element @param {Eye} eye changed in place @param {() => void} moved
 */
export function orbit(element, eye, moved) {
  /** @type {Map<number, {x: number, y: number}>} */
  const fingers = new Map();
  let apart = 0;
  let step = 0;

  const turn = (/** @type {number} */ yaw, /** @type {number} */ pitch) => {
    cancelAnimationFrame(step);
    eye.yaw += yaw;
    eye.pitch = Math.min(STEEPEST, Math.max(-STEEPEST, eye.pitch + pitch));
    moved();
  };
  const nearer = (/** @type {number} */ factor) => {
    cancelAnimationFrame(step);
    eye.away = Math.min(FURTHEST, Math.max(NEAREST, eye.away * factor));
    moved();
  };
  const spread = () => {
    const [a, b] = [...fingers.values()];
    return Math.hypot(a.x - b.x, a.y - b.y);
  };

  element.addEventListener("pointerdown", (event) => {
    fingers.set(event.pointerId, {x: event.clientX, y: event.clientY});
    element.setPointerCapture(event.pointerId);
    if (fingers.size === 2) apart = spread();
  });
  element.addEventListener("pointermove", (event) => {
    const finger = fingers.get(event.pointerId);
    if (!finger) return;
    const [x, y] = [event.clientX - finger.x, event.clientY - finger.y];
    fingers.set(event.pointerId, {x: event.clientX, y: event.clientY});
    if (fingers.size === 1) turn(-0.4 * x, 0.3 * y);
    else if (fingers.size === 2) {
      const now = spread();
      nearer(apart / Math.max(now, 1));
      apart = now;
    }
  });
  for (const end of ["pointerup", "pointercancel"]) {
    element.addEventListener(end, (event) => fingers.delete(/** @type {PointerEvent} */ (event).pointerId));
  }
  // The wheel scrolls the page, unless the maker has come here on purpose.
  element.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && document.activeElement !== element) return;
    event.preventDefault();
    nearer(event.deltaY > 0 ? 1 / NEARER : NEARER);
  }, {passive: false});
  element.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    /** @type {Record<string, () => void>} */
    const keys = {
      ArrowLeft: () => turn(TURN, 0), ArrowRight: () => turn(-TURN, 0),
      ArrowUp: () => turn(0, TURN), ArrowDown: () => turn(0, -TURN),
      "+": () => nearer(NEARER), "=": () => nearer(NEARER), "-": () => nearer(1 / NEARER),
    };
    if (!keys[event.key]) return;
    event.preventDefault();
    keys[event.key]();
  });

  /** Go to another place, the short way round. @param {Partial<Eye>} place */
  const go = (place) => {
    cancelAnimationFrame(step);
    const from = {...eye, centre: /** @type {[number, number, number]} */ ([...eye.centre])};
    const to = {...from, ...place};
    to.yaw = from.yaw + ((((to.yaw - from.yaw) % 360) + 540) % 360) - 180;
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const began = performance.now();
    const move = () => {
      const t = still ? 1 : Math.min(1, (performance.now() - began) / TURNING);
      const share = t * t * (3 - 2 * t);
      const between = (/** @type {number} */ a, /** @type {number} */ b) => a + (b - a) * share;
      eye.yaw = between(from.yaw, to.yaw);
      eye.pitch = between(from.pitch, to.pitch);
      eye.away = between(from.away, to.away);
      for (const axis of [0, 1, 2]) eye.centre[axis] = between(from.centre[axis], to.centre[axis]);
      moved();
      if (t < 1) step = requestAnimationFrame(move);
    };
    move();
  };
  return {turn, nearer, go};
}

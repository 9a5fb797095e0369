// @ts-check
// One drawing in mm in a window: moved and zoomed by hand, wheel, pinch and keys, never blurred.

/** Pixels of a millimetre at true size, as CSS has it: 96 to the inch. */
export const TRUE_SIZE = 96 / 25.4;
const CLOSEST = 40;
const STEP = 1.25;

/**
 * @param {HTMLElement} stage takes the pointer and the keys
 * @param {() => SVGSVGElement | null} drawing what is shown, its size in mm in its viewBox as it came
 * @param {(state: {left: number, top: number, scale: number}) => void} moved told after every change
 */
export function pieceView(stage, drawing, moved) {
  const state = {left: 0, top: 0, scale: 1};
  let size = {width: 100, height: 100};
  let whole = true;
  let asked = 0;

  function show() {
    if (asked) return;
    asked = requestAnimationFrame(() => {
      asked = 0;
      const svg = drawing();
      const {clientWidth, clientHeight} = stage;
      svg?.setAttribute("viewBox", `${state.left} ${state.top} ${clientWidth / state.scale} ${clientHeight / state.scale}`);
      moved(state);
    });
  }

  function fit() {
    const {clientWidth, clientHeight} = stage;
    whole = true;
    if (clientWidth < 60 || clientHeight < 60) return;
    // The rulers take a strip above and to the left.
    state.scale = Math.min((clientWidth - 56) / size.width, (clientHeight - 56) / size.height, CLOSEST);
    state.left = (size.width - (clientWidth + 24) / state.scale) / 2;
    state.top = (size.height - (clientHeight + 24) / state.scale) / 2;
    show();
  }

  /** @param {number} scale @param {number} [x] @param {number} [y] pixels of the stage that stay where they are */
  function zoomTo(scale, x = stage.clientWidth / 2, y = stage.clientHeight / 2) {
    const smallest = Math.min(stage.clientWidth / size.width, stage.clientHeight / size.height) / 4;
    const next = Math.min(CLOSEST, Math.max(smallest, scale));
    state.left += x / state.scale - x / next;
    state.top += y / state.scale - y / next;
    state.scale = next;
    whole = false;
    show();
  }

  /** @param {number} x @param {number} y pixels */
  function move(x, y) {
    state.left -= x / state.scale;
    state.top -= y / state.scale;
    // Something of the piece stays in sight.
    const {clientWidth, clientHeight} = stage;
    const reach = 40 / state.scale;
    state.left = Math.min(size.width - reach, Math.max(reach - clientWidth / state.scale, state.left));
    state.top = Math.min(size.height - reach, Math.max(reach - clientHeight / state.scale, state.top));
    whole = false;
    show();
  }

  /** @type {Map<number, {x: number, y: number}>} */
  const fingers = new Map();
  const spread = () => {
    const [a, b] = [...fingers.values()];
    return {far: Math.hypot(a.x - b.x, a.y - b.y), x: (a.x + b.x) / 2, y: (a.y + b.y) / 2};
  };
  stage.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    stage.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, {x: event.offsetX, y: event.offsetY});
  });
  stage.addEventListener("pointermove", (event) => {
    const last = fingers.get(event.pointerId);
    if (!last) return;
    const before = fingers.size === 2 ? spread() : null;
    const box = stage.getBoundingClientRect();
    const now = {x: event.clientX - box.left, y: event.clientY - box.top};
    fingers.set(event.pointerId, now);
    if (before) {
      const after = spread();
      move(after.x - before.x, after.y - before.y);
      zoomTo(state.scale * after.far / Math.max(before.far, 1), after.x, after.y);
    } else if (fingers.size === 1) move(now.x - last.x, now.y - last.y);
  });
  for (const ended of ["pointerup", "pointercancel", "lostpointercapture"]) {
    stage.addEventListener(ended, (event) => fingers.delete(/** @type {PointerEvent} */ (event).pointerId));
  }
  stage.addEventListener("wheel", (event) => {
    event.preventDefault();
    const box = stage.getBoundingClientRect();
    const lines = event.deltaMode === 1 ? 16 : 1;
    zoomTo(state.scale * Math.exp(-event.deltaY * lines * 0.0015), event.clientX - box.left, event.clientY - box.top);
  }, {passive: false});
  stage.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const far = event.shiftKey ? 200 : 50;
    /** @type {Record<string, () => void>} */
    const keys = {
      ArrowLeft: () => move(far, 0), ArrowRight: () => move(-far, 0), ArrowUp: () => move(0, far), ArrowDown: () => move(0, -far),
      "+": () => zoomTo(state.scale * STEP), "=": () => zoomTo(state.scale * STEP), "-": () => zoomTo(state.scale / STEP),
      "0": fit, "1": () => zoomTo(TRUE_SIZE),
    };
    if (!(event.key in keys)) return;
    event.preventDefault();
    keys[event.key]();
  });
  new ResizeObserver(() => (whole ? fit() : show())).observe(stage);

  return {
    /** Show a new drawing whole. @param {{width: number, height: number}} drawn mm */
    opened(drawn) {
      size = drawn;
      fit();
    },
    fit,
    closer: () => zoomTo(state.scale * STEP),
    farther: () => zoomTo(state.scale / STEP),
    trueSize: () => zoomTo(TRUE_SIZE),
    again: show,
  };
}

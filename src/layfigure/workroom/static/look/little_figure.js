// @ts-check
// A small figure that shows where on the body the next point is.

const SVG = "http://www.w3.org/2000/svg";

/** Places on the figure seen from the front; the character's left is on the right. @type {Record<string, [number, number]>} */
const FRONT = {
  crown: [50, 4], chin: [50, 28], nape: [50, 33], crotch: [50, 115],
  shoulder_point: [72, 43], elbow: [78.5, 83], wrist: [85, 110], knuckles: [87.5, 119], fingertip: [90, 128],
  knee: [57.5, 153], ankle: [57.5, 199], toe_tip: [58, 210],
  bust: [66, 60], under_bust: [65, 69], waist: [62, 82], hip: [66, 104],
};
/** Half the breadth of a limb at a joint. @type {Record<string, number>} */
const HALF = {elbow: 4.5, wrist: 3.5, knuckles: 4, knee: 5, ankle: 3.2};
/** Places on the figure seen from its left, facing left. @type {Record<string, [number, number]>} */
const SIDE = {
  crown: [49, 4], chin: [41.5, 28], nape: [57, 34], crotch: [50, 115],
  shoulder_point: [50, 44], elbow: [53, 83], wrist: [48, 110], knuckles: [46, 118], fingertip: [44.5, 128],
  knee: [49, 153], ankle: [52, 199], toe_tip: [34, 209],
  bust_front: [34.5, 59], bust_back: [62, 56], under_bust_front: [36.5, 68], under_bust_back: [60, 66],
  waist_front: [40, 82], waist_back: [57.5, 82], hip_front: [38.5, 102], hip_back: [63.5, 104],
};

const TRUNK = "M45 30V35C40 39 31 38 27 45C30 50 33 56 34 60C35 70 38 76 38 82C38 90 34 97 34 104L36 117H64L66 104C66 97 62 90 62 82C62 76 65 70 66 60C67 56 70 50 73 45C69 38 60 39 55 35V30Z";
const LEG = "M50 112C50 128 52 140 53 152C51.5 168 53 185 54.5 200L53 207C54 211 61 211 63 207L60.5 200C62 186 64.5 168 62.5 152C63.5 140 67 122 66 104Z";
const ARM = "M69 41C75 43 76 50 77 56L82.5 82L88 109C91 114 92 122 91 127C89 131 86 128 85 122L82 111L74.5 85L68 60Z";
const SIDE_TRUNK = "M44 26L45 34C40 42 35 50 34.5 59C35 68 40 74 40 82C39 90 38 96 38.5 104C39 122 42 138 43 152C43 168 48 184 49 198L38 206C33 207 33 211 37 211H56C58 206 56 202 56.5 197C60 180 58 166 56 152C60 138 64 120 63.5 104C63 94 57.5 90 57.5 82C58 74 62 66 62 56C62 46 60 40 57 34L55 26Z";
const SIDE_ARM = "M45 46C46 40 55 40 56 47L57.5 82L51.5 110C50 118 49 126 45.5 129C42 128 42.5 118 44.5 110L48.5 84Z";

/** @param {string} d @param {string} [kind] */
function path(d, kind = "") {
  const element = document.createElementNS(SVG, "path");
  element.setAttribute("d", d);
  element.setAttribute("class", `figure-body ${kind}`);
  return element;
}

/** @param {Element} parent @param {string} transform @param {...Element} children */
function group(parent, transform, ...children) {
  const element = document.createElementNS(SVG, "g");
  element.setAttribute("transform", transform);
  element.append(...children);
  parent.append(element);
}

/** @param {number} cx @param {number} cy @param {number} rx @param {number} ry @param {string} kind */
function oval(cx, cy, rx, ry, kind) {
  const element = document.createElementNS(SVG, "ellipse");
  for (const [name, value] of Object.entries({cx, cy, rx, ry})) element.setAttribute(name, String(value));
  element.setAttribute("class", kind);
  return element;
}

/**
 * Where a point is on the figure. @param {string} name @param {string} view @returns {[number, number] | null}
 */
export function placeOnFigure(name, view) {
  const turned = view === "back" || view === "right";
  const [, stem, side, end] = /^(.+?)(?:_(left|right))?(?:_(inner|outer))?$/.exec(name) ?? ["", name, "", ""];
  if (view === "left" || view === "right") {
    const place = SIDE[name] ?? SIDE[stem];
    return place ? [turned ? 100 - place[0] : place[0], place[1]] : null;
  }
  const level = /^(bust|under_bust|waist|hip)_(front|back)$/.exec(name);
  if (level) return [50, FRONT[level[1]][1]];
  const place = FRONT[stem];
  if (!place) return null;
  let [x, y] = place;
  if (end) x += (end === "outer" ? 1 : -1) * (HALF[stem] ?? 4);
  if (side === "right") x = 100 - x;
  return [turned ? 100 - x : x, y];
}

/** The figure with one point on it. @param {string} view @param {string} name @param {Iterable<string>} set points that are set */
export function littleFigure(view, name, set) {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", "0 -4 100 222");
  svg.setAttribute("class", "little-figure");
  svg.setAttribute("aria-hidden", "true");
  if (view === "left" || view === "right") {
    group(svg, view === "right" ? "matrix(-1 0 0 1 100 0)" : "",
      path(SIDE_TRUNK), oval(49, 16, 10, 12, "figure-body"), path("M39.5 14L37 20L40 21Z"), path(SIDE_ARM, "figure-near"));
  } else {
    group(svg, "", path(TRUNK), path(LEG), path(ARM), oval(50, 16, 8.5, 12, "figure-body"));
    group(svg, "matrix(-1 0 0 1 100 0)", path(LEG), path(ARM));
  }
  for (const other of set) {
    const at = placeOnFigure(other, view);
    if (at && other !== name) svg.append(oval(at[0], at[1], 1.7, 1.7, "figure-set"));
  }
  const at = placeOnFigure(name, view);
  if (at) svg.append(oval(at[0], at[1], 7, 7, "figure-ring"), oval(at[0], at[1], 3, 3, "figure-next"));
  return svg;
}

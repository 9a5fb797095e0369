// @ts-check
// What marks look like on the picture, and how much of it those take up that are on the move.

/** @typedef {[number, number]} Place */
/** @typedef {[number, number, number, number]} Box left, top, right and bottom [px] */
/** @typedef {import("./canvas.js").Canvas} Canvas */
/** @typedef {import("./canvas.js").Figure} Figure */
/** @typedef {CanvasRenderingContext2D} Pen */

/** Half the size of the cross round the chosen mark, and of any mark with its rim [px]. */
const CROSS = 21;
const MARK = 12;
/** Radius of the glass, and how far from the rim of the window it lies [px]. */
const [GLASS, GLASS_IN] = [58, 10];
/** A line's halo to either side of it, and a little [px]. */
const HALO = 4;

/**
 * Draw all marks. @param {Pen} pen @param {Canvas} canvas
 * @param {Box | null} within  what lies outside this box is known to stand there already; null: draw everything
 */
export function drawMarks(pen, canvas, within) {
  pen.lineJoin = "round";
  if (canvas.figure) drawFigure(pen, canvas, canvas.figure);
  if (!canvas.marks) return;
  drawLines(pen, canvas, within);
  for (const kind of ["outlines", "lines", "points"]) if (kind !== canvas.kind) drawKind(pen, canvas, kind, false, within);
  drawKind(pen, canvas, canvas.kind, true, within);
  if (canvas.between) drawBetween(pen, canvas, canvas.ground.spot(canvas.between));
  if (canvas.expected) drawExpected(pen, canvas, canvas.ground.spot(canvas.expected));
  const chosen = canvas.chosen ? canvas.marks.at(canvas.chosen) : null;
  if (chosen) {
    drawChosen(pen, canvas, canvas.ground.spot(chosen));
    drawName(pen, canvas, canvas.ground.spot(chosen), canvas.called(canvas.chosen));
  }
  if (canvas.finger) drawGlass(pen, canvas, canvas.finger);
}

/**
 * Where that is drawn which moves with a pointer: the chosen mark, its cross and name, the line beside it, the glass.
 * @param {Pen} pen @param {Canvas} canvas @returns {Box[]}
 */
export function moving(pen, canvas) {
  const {ground} = canvas;
  /** @type {Box[]} */
  const boxes = [];
  if (canvas.between) boxes.push(around([ground.spot(canvas.between)], MARK));
  if (canvas.finger) boxes.push(around([glassAt(canvas, canvas.finger)], GLASS + 2));
  const chosen = canvas.chosen ? canvas.marks?.at(canvas.chosen) : null;
  if (!chosen) return boxes;
  const spot = ground.spot(chosen);
  boxes.push(around([spot], CROSS + 3), ...nameBox(pen, canvas, spot, canvas.called(canvas.chosen)));
  for (const next of canvas.marks?.beside(canvas.chosen) ?? []) boxes.push(around([spot, ground.spot(next)], HALO));
  return boxes;
}

/** @param {Place[]} spots @param {number} rim @returns {Box} */
function around(spots, rim) {
  const [across, down] = [0, 1].map((k) => spots.map((spot) => spot[k]));
  return [Math.min(...across) - rim, Math.min(...down) - rim, Math.max(...across) + rim, Math.max(...down) + rim];
}

/** @param {Box} box @param {Box | null} other null: everything */
const meets = (box, other) => !other || (box[0] < other[2] && other[0] < box[2] && box[1] < other[3] && other[1] < box[3]);

/** Boxes that meet, taken together until none does. @param {Box[]} boxes @returns {Box[]} */
export function apart(boxes) {
  /** @type {Box[]} */
  const found = [];
  for (let box of boxes) {
    for (let met = found.findIndex((other) => meets(box, other)); met >= 0; met = found.findIndex((other) => meets(box, other))) {
      const [other] = found.splice(met, 1);
      box = [Math.min(box[0], other[0]), Math.min(box[1], other[1]), Math.max(box[2], other[2]), Math.max(box[3], other[3])];
    }
    found.push(box);
  }
  return found;
}

/** @param {Pen} pen @param {Canvas} canvas @param {Place[]} places @param {boolean} closed */
function path(pen, canvas, places, closed) {
  pen.beginPath();
  for (const place of places) {
    const [x, y] = canvas.ground.spot(place);
    pen.lineTo(x, y);
  }
  if (closed) pen.closePath();
}

/** @param {Pen} pen @param {Canvas} canvas @param {Figure} figure */
function drawFigure(pen, canvas, figure) {
  for (const [width, colour] of /** @type {[number, string][]} */ ([[4, "rgb(255 255 255 / 60%)"], [1.7, "#0b4f8a"]])) {
    pen.lineWidth = width;
    pen.strokeStyle = colour;
    for (const ring of figure.outlines) {
      path(pen, canvas, ring, true);
      pen.stroke();
    }
    pen.lineWidth = width * 0.6;
    for (const level of figure.levels) {
      path(pen, canvas, level.points, false);
      pen.stroke();
    }
  }
}

/** @param {Pen} pen @param {Canvas} canvas @param {Box | null} within */
function drawLines(pen, canvas, within) {
  for (const [slug, stretches] of Object.entries(canvas.marks?.edges ?? {})) {
    const now = canvas.kind === "lines" && slug === canvas.slug;
    for (const stretch of stretches) {
      if (!meets(around(stretch.points.map((place) => canvas.ground.spot(place)), HALO), within)) continue;
      path(pen, canvas, stretch.points, stretch.closed);
      pen.lineWidth = now ? 5 : 3;
      pen.strokeStyle = "rgb(255 255 255 / 75%)";
      pen.stroke();
      pen.lineWidth = now ? 2.4 : 1.3;
      pen.strokeStyle = canvas.colour.line;
      pen.stroke();
    }
  }
}

/** Points are round, outlines are diamonds, lines are square: shapes tell them apart before colours do.
 * @param {Pen} pen @param {Canvas} canvas @param {string} kind @param {boolean} now @param {Box | null} within */
function drawKind(pen, canvas, kind, now, within) {
  const {colour, ground} = canvas;
  const marks = /** @type {import("./marks.js").Marks} */ (canvas.marks);
  for (const name of marks.names(kind)) {
    const [x, y] = ground.spot(/** @type {Place} */ (marks.at(name)));
    if (x < -20 || y < -20 || x > ground.window[0] + 20 || y > ground.window[1] + 20) continue;
    if (!meets([x - MARK, y - MARK, x + MARK, y + MARK], within)) continue;
    const parts = name.split(" ");
    const ours = now && canvas.ours(name);
    const size = ours ? 5 : 2.6;
    pen.beginPath();
    if (kind === "points") pen.arc(x, y, size, 0, 2 * Math.PI);
    else if (kind === "outlines") {
      pen.moveTo(x, y - size * 1.25);
      pen.lineTo(x + size * 1.25, y);
      pen.lineTo(x, y + size * 1.25);
      pen.lineTo(x - size * 1.25, y);
      pen.closePath();
    } else if (marks.edges[parts[1]][+parts[2]].corners.includes(+parts[3])) {
      pen.rect(x - size, y - size, 2 * size, 2 * size);
    } else pen.arc(x, y, size * 0.85, 0, 2 * Math.PI);
    pen.lineWidth = ours ? 3.4 : 2;
    pen.strokeStyle = colour.halo;
    pen.stroke();
    const hollow = kind === "outlines" && marks.outlines[+parts[1]].hidden;
    pen.fillStyle = hollow ? colour.halo : kind === "points" ? colour.point : kind === "outlines" ? colour.outline : colour.line;
    pen.fill();
    if (hollow) {
      pen.lineWidth = 1.6;
      pen.strokeStyle = colour.outline;
      pen.stroke();
    }
  }
}

/** @param {Pen} pen @param {Canvas} canvas @param {Place} spot */
function drawChosen(pen, canvas, [x, y]) {
  for (const [width, colour] of /** @type {[number, string][]} */ ([[5, canvas.colour.halo], [2, canvas.colour.ink]])) {
    pen.lineWidth = width;
    pen.strokeStyle = colour;
    pen.beginPath();
    pen.arc(x, y, 12, 0, 2 * Math.PI);
    for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
      pen.moveTo(x + 12 * dx, y + 12 * dy);
      pen.lineTo(x + CROSS * dx, y + CROSS * dy);
    }
    pen.stroke();
  }
}

/** Where a name begins beside its mark; on the other side where it would leave the window.
 * @param {Pen} pen @param {Canvas} canvas @param {number} x @param {string} name */
function nameFrom(pen, canvas, x, name) {
  pen.font = "600 14px system-ui, sans-serif";
  pen.textBaseline = "middle";
  const size = pen.measureText(name);
  return {size, left: x + 28 + size.width > canvas.ground.window[0] ? Math.max(4, x - 28 - size.width) : x + 28};
}

/** @param {Pen} pen @param {Canvas} canvas @param {Place} spot @param {string} name @returns {Box[]} */
function nameBox(pen, canvas, [x, y], name) {
  if (!name) return [];
  const {size, left} = nameFrom(pen, canvas, x, name);
  return [[
    left - size.actualBoundingBoxLeft - HALO, y - size.actualBoundingBoxAscent - HALO,
    left + size.actualBoundingBoxRight + HALO, y + size.actualBoundingBoxDescent + HALO,
  ]];
}

/** Dark letters with a white rim: read on a picture of any colour. @param {Pen} pen @param {Canvas} canvas @param {Place} spot @param {string} name */
function drawName(pen, canvas, [x, y], name) {
  if (!name) return;
  const {left} = nameFrom(pen, canvas, x, name);
  pen.lineWidth = 5;
  pen.strokeStyle = canvas.colour.halo;
  pen.strokeText(name, left, y);
  pen.fillStyle = canvas.colour.ink;
  pen.fillText(name, left, y);
}

/** @param {Pen} pen @param {Canvas} canvas @param {Place} spot */
function drawExpected(pen, canvas, [x, y]) {
  pen.save();
  pen.setLineDash([5, 4]);
  for (const [width, colour] of /** @type {[number, string][]} */ ([[4.5, canvas.colour.halo], [2, canvas.colour.point]])) {
    pen.lineWidth = width;
    pen.strokeStyle = colour;
    pen.beginPath();
    pen.arc(x, y, 16, 0, 2 * Math.PI);
    pen.stroke();
  }
  pen.restore();
}

/** A hollow point: what would come of dragging the line here. @param {Pen} pen @param {Canvas} canvas @param {Place} spot */
function drawBetween(pen, canvas, [x, y]) {
  pen.beginPath();
  pen.arc(x, y, 4.5, 0, 2 * Math.PI);
  pen.fillStyle = canvas.colour.halo;
  pen.fill();
  pen.lineWidth = 2;
  pen.strokeStyle = canvas.colour.line;
  pen.stroke();
}

/** The glass lies away from the finger. @param {Canvas} canvas @param {Place} finger @returns {Place} its middle */
function glassAt(canvas, finger) {
  const {window} = canvas.ground;
  return [finger[0] > window[0] / 2 ? GLASS + GLASS_IN : window[0] - GLASS - GLASS_IN, GLASS + GLASS_IN];
}

/** What the finger covers, shown larger beside it. @param {Pen} pen @param {Canvas} canvas @param {Place} spot */
function drawGlass(pen, canvas, spot) {
  const r = GLASS;
  const [x, y] = glassAt(canvas, spot);
  const [px, py] = canvas.ground.place(spot);
  const wide = r / (canvas.ground.scale * 2.2);
  pen.save();
  pen.beginPath();
  pen.arc(x, y, r, 0, 2 * Math.PI);
  pen.fillStyle = canvas.colour.desk;
  pen.fill();
  pen.clip();
  if (canvas.levels.length) {
    pen.drawImage(canvas.levels[0].image, px - wide, py - wide, 2 * wide, 2 * wide, x - r, y - r, 2 * r, 2 * r);
  }
  pen.restore();
  for (const [width, colour] of /** @type {[number, string][]} */ ([[3, canvas.colour.halo], [1.2, canvas.colour.ink]])) {
    pen.lineWidth = width;
    pen.strokeStyle = colour;
    pen.beginPath();
    pen.moveTo(x - 14, y);
    pen.lineTo(x + 14, y);
    pen.moveTo(x, y - 14);
    pen.lineTo(x, y + 14);
    pen.moveTo(x + r, y);
    pen.arc(x, y, r, 0, 2 * Math.PI);
    pen.stroke();
  }
}

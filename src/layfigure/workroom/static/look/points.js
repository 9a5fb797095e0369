// @ts-check
// In which order points of the body are asked for: those that say most about the figure first.

/** The sixteen that a study begins well with, as the tests of the study have them. */
const FRONT = [
  "crown", "chin", "bust_left", "bust_right", "waist_left", "waist_right", "hip_left", "hip_right", "crotch",
  "elbow_left", "wrist_left", "wrist_right", "knee_left", "knee_right", "ankle_left", "ankle_right",
];
const SIDE = [
  "crown", "chin", "nape", "bust_front", "bust_back", "waist_front", "waist_back", "hip_front", "hip_back",
  "elbow", "wrist", "knuckles", "knee", "ankle", "toe_tip", "under_bust_front",
];
const MORE = [
  "elbow_right", "shoulder_point_left", "shoulder_point_right", "under_bust_left", "under_bust_right",
  "knuckles_left", "knuckles_right", "fingertip_left", "fingertip_right", "toe_tip_left", "toe_tip_right",
];
const PAIRED = new Set(["elbow", "wrist", "knuckles", "knee", "ankle", "toe_tip"]);

/**
 * Points to ask for in a picture. first : the sixteen. more : further ones worth setting. rest : all others.
 * @param {string} view @param {string[]} all
 */
export function pointOrder(view, all) {
  let first = FRONT;
  if (view === "back") first = FRONT.map((name) => (name === "chin" ? "nape" : name));
  if (view === "left" || view === "right") first = SIDE.map((name) => (PAIRED.has(name) ? `${name}_${view}` : name));
  const more = view === "left" || view === "right" ? [`shoulder_point_${view}`, `fingertip_${view}`] : MORE;
  const rest = all.filter((name) => !first.includes(name) && !more.includes(name));
  return {first, more, rest};
}

/**
 * Turns the items of a Sight into SVG.
 * @typedef {import("./types.js").Item} Item
 * @typedef {import("./types.js").XY} XY
 */

const SVG = "http://www.w3.org/2000/svg";

/** Kinds from the bottom of the drawing to its top. */
export const KINDS = [
  "shade", "contour", "building", "side", "zone", "pin", "old fence", "old post", "walk", "string", "bay", "run", "stretch", "gate",
  "hole", "line post", "post", "dimension", "tape", "corner", "point",
];

/**
 * @param {string} name
 * @param {Record<string, string | number>} [attributes]
 * @returns {SVGElement}
 */
export function shape(name, attributes = {}) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  return made;
}

/** A number of metres as short as a drawing needs it. @param {number} value */
const short = (value) => String(Math.round(value * 10000) / 10000);

/** @param {XY[]} points @param {boolean} [closed] */
export function trace(points, closed = false) {
  return points.map(([x, y], k) => `${k ? "L" : "M"}${short(x)} ${short(y)}`).join("") + (closed ? "Z" : "");
}

/** A word of the plan as a class name. @param {string} word */
const asClass = (word) => word.replaceAll(" ", "-");

/** @param {Item} item */
function outline(item) {
  const points = item.points ?? [];
  if (!item.arc || points.length !== 2) return trace(points, item.closed);
  const { radius, left, large } = item.arc;
  const [from, to] = points;
  // the drawing is mirrored to have y up, so a turn to the left is drawn with the sweep flag set
  return `${trace([from])}A${short(radius)} ${short(radius)} 0 ${large ? 1 : 0} ${left ? 1 : 0} ${short(to[0])} ${short(to[1])}`;
}

/** A text that keeps its size on the screen and stands upright. @param {XY} at @param {string} text @param {number} turn degrees @param {string} kind */
function words(at, text, turn, kind) {
  const made = shape("text", { class: `words on-${asClass(kind)}` });
  made.style.setProperty("--x", `${short(at[0])}px`);
  made.style.setProperty("--y", `${short(at[1])}px`);
  if (turn) made.style.setProperty("--turn", `${short(turn)}deg`);
  made.textContent = text;
  return made;
}

/** Half way along the longest part of a chain, and the angle at which words along it can be read. @param {XY[]} points */
function middle(points) {
  let [a, b] = [points[0], points[points.length - 1]];
  const far = (/** @type {XY} */ p, /** @type {XY} */ q) => Math.hypot(q[0] - p[0], q[1] - p[1]);
  for (let k = 1; k < points.length; k++) if (k === 1 || far(points[k - 1], points[k]) > far(a, b)) [a, b] = [points[k - 1], points[k]];
  const slope = (Math.atan2(b[1] - a[1], b[0] - a[0]) * 180) / Math.PI;
  const turn = slope > 90 ? slope - 180 : slope <= -90 ? slope + 180 : slope;
  return { at: /** @type {XY} */ ([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]), turn };
}

/** @param {Item} item */
function box(item) {
  const [x, y] = /** @type {XY} */ (item.centre);
  if (!item.width) return dots([[x, y]], "held");
  if (item.marks?.includes("round")) return disc(item.centre, item.width / 2);
  const [w, d] = [item.width, item.depth ?? item.width];
  const made = shape("rect", {
    x: short(x - w / 2), y: short(y - d / 2), width: short(w), height: short(d), class: "body",
    transform: `rotate(${short(item.axis ?? 0)} ${short(x)} ${short(y)})`,
  });
  made.style.setProperty("--half", short(w / 2));
  return made;
}

/** @param {XY | undefined} at @param {number} radius */
function disc(at, radius) {
  const [x, y] = /** @type {XY} */ (at);
  const made = shape("circle", { cx: short(x), cy: short(y), r: short(radius), class: "body" });
  made.style.setProperty("--half", short(radius));
  return made;
}

/** How far it is to the next thing of its kind: a mark that keeps a least size on the screen leaves half of it free. @param {SVGElement} element @param {number} m */
export function give(element, m) {
  element.style.setProperty("--room", short(m));
  return element;
}

/** A mark that keeps its size on the screen. @param {XY} at @param {string} kind */
export function spot(at, kind) {
  const made = shape("path", { class: `spot ${asClass(kind)}`, d: "M-1 0A1 1 0 1 0 1 0A1 1 0 1 0 -1 0Z" });
  made.style.setProperty("--x", `${short(at[0])}px`);
  made.style.setProperty("--y", `${short(at[1])}px`);
  return made;
}

export const CORNERED = ["zone", "building", "old fence"];

/** Grips at the corners of a thing that is moved by hand; they are seen while it is chosen. @param {Item} item */
function grips(item) {
  const group = shape("g", { class: "corners" });
  for (const [k, at] of (item.points ?? []).entries()) {
    const grip = spot(at, "corner-grip");
    grip.dataset.index = String(k);
    group.append(grip);
  }
  return group;
}

/** What is not seen, and makes a small mark easy to touch. @param {XY} at */
function reach(at) {
  const made = spot(at, "");
  made.setAttribute("class", "reach");
  return made;
}

/** @param {Item} item @param {SVGElement} group */
function fill(item, group) {
  const { kind, points, centre } = item;
  for (const ring of item.rings ?? []) group.append(shape("path", { d: trace(ring, true), class: "swing" }));
  if (points?.length) {
    const line = shape("path", { d: outline(item), class: "line" });
    if (item.half) {
      line.classList.add("band");
      line.style.strokeWidth = `${short(2 * item.half)}px`; // an attribute would give way to the page
    }
    group.append(line);
    if (["run", "stretch", "side", "gate", "tape", "dimension", "zone", "old fence", "walk"].includes(kind))
      group.append(shape("path", { d: outline(item), class: "grip" }));
  }
  if (centre && kind === "line post") group.append(dots([centre], item.marks?.[0] ?? "wood"));
  else if (centre && kind === "post") group.append(box(item));
  else if (centre && item.radius && kind !== "corner")
    group.append(disc(centre, item.radius));
  if (kind === "gate" && points?.length === 2) give(group, Math.hypot(points[1][0] - points[0][0], points[1][1] - points[0][1]));
  for (const at of item.spots ?? []) group.append(spot(at, "hinge"));
  if (centre && (kind === "corner" || kind === "point")) group.append(spot(centre, kind), reach(centre));
  if (item.drag === "point" && points && CORNERED.includes(kind)) group.append(grips(item));
}

/** The mean of the corners of a ring. @param {XY[]} ring @returns {XY} */
function centreOf(ring) {
  return [ring.reduce((sum, [x]) => sum + x, 0) / ring.length, ring.reduce((sum, [, y]) => sum + y, 0) / ring.length];
}

/** Where the words of an item stand, and how they are turned; null for one without any. @param {Item} item */
export function placeOfWords(item) {
  if (!item.text) return null;
  if (item.centre) return { at: item.centre, turn: 0 };
  if (!item.points?.length) return null;
  return item.closed ? { at: centreOf(item.points), turn: 0 } : middle(item.points);
}

/** The words of an item. @param {Item} item @returns {SVGElement | null} */
export function wordsOf(item) {
  const place = placeOfWords(item);
  return place && words(place.at, /** @type {string} */ (item.text), place.turn, item.kind);
}

/** Many small things as one: a dot for each place. @param {XY[]} places @param {string} kind */
export function dots(places, kind) {
  return shape("path", { d: places.map(([x, y]) => `M${short(x)} ${short(y)}h0`).join(""), class: `dots ${asClass(kind)}` });
}

/** @param {Item} item @returns {SVGElement} */
export function drawn(item) {
  const group = shape("g", { class: ["item", `kind-${asClass(item.kind)}`, ...(item.marks ?? []).map((mark) => `is-${asClass(mark)}`)].join(" ") });
  group.dataset.id = item.id;
  if (item.about) group.dataset.about = item.about;
  if (item.drag) group.dataset.drag = item.drag;
  fill(item, group);
  return group;
}

/**
 * What is dragged, drawn where the hand is before anybody answered: its own corners, and lines to what it hangs on.
 * @typedef {import("./types.js").XY} XY
 * @typedef {import("./types.js").Item} Item
 */

import { shape, spot, trace } from "./paint.js";

const MEET_M = 0.5;

/** @param {XY} a @param {XY} b @returns {XY} */
const minus = (a, b) => [a[0] - b[0], a[1] - b[1]];

/** The part of a way that goes along a line. @param {XY} way @param {XY} along @returns {XY} */
function part(way, along) {
  const far = along[0] ** 2 + along[1] ** 2;
  const share = far ? (way[0] * along[0] + way[1] * along[1]) / far : 0;
  return [along[0] * share, along[1] * share];
}

/** Other ends of the legs and sides that meet a point. @param {import("./hands.js").Bench} bench @param {XY} at @returns {XY[]} */
function neighbours({ drawing }, at) {
  const found = [];
  for (const { item } of drawing.held.values()) {
    if ((item.kind !== "dimension" && item.kind !== "side") || item.points?.length !== 2) continue;
    for (const k of [0, 1]) {
      const [x, y] = minus(item.points[k], at);
      if (Math.hypot(x, y) < MEET_M) found.push(item.points[1 - k]);
    }
  }
  return found;
}

/**
 * @param {import("./hands.js").Bench} bench @param {Item} item
 * @param {{index: number, grip: XY, meets?: {at: XY, ends: XY[]}}} held @param {XY} at
 */
export function drawGhost(bench, item, held, at) {
  const points = item.points ?? [];
  const line = (/** @type {string} */ d) => shape("path", { d, class: "trial-line" });
  if (held.index >= 0 && points[held.index]) {
    const moved = points.map((one, k) => (k === held.index ? at : one));
    return bench.overlay.replaceChildren(line(trace(moved, item.closed)), spot(at, "trial"));
  }
  if (item.centre) {
    // while it moves what meets it moves with it: what met it at first is remembered
    const meets = (held.meets ??= { at: item.centre, ends: neighbours(bench, item.centre) });
    const [end] = meets.ends;
    const way = minus(at, meets.at);
    const along = item.drag !== "point" && end ? part(way, minus(meets.at, end)) : way;
    const to = /** @type {XY} */ ([meets.at[0] + along[0], meets.at[1] + along[1]]);
    return bench.overlay.replaceChildren(...meets.ends.map((one) => line(trace([one, to]))), spot(to, "trial"));
  }
  const way = item.drag === "along" && points.length > 1 ? part(minus(at, held.grip), minus(points[1], points[0])) : minus(at, held.grip);
  const moved = points.map(([x, y]) => /** @type {XY} */ ([x + way[0], y + way[1]]));
  return bench.overlay.replaceChildren(line(trace(moved, item.closed)));
}

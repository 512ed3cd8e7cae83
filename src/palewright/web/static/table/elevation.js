/**
 * The elevation of a run under the plan, with the same ids so that a post lights in both.
 * @typedef {import("./types.js").Elevation} Elevation
 * @typedef {import("./types.js").XY} XY
 */

import { shape, trace } from "./paint.js";

const ROOM = 26;
const LABEL_PIXELS = 22;
const GAP_PIXELS = 40;
const LONG_M = 100; // what is longer would be a mere line with heights drawn four times
const LETTER_PIXELS = 6.2;
const ROW_PIXELS = 12;

/** @param {SVGSVGElement} page @param {Elevation} run */
export function drawElevation(page, { ground: line = [], unknown = [], bays = [], posts = [], extent, say }) {
  const { width, height } = page.getBoundingClientRect();
  if (!width) return { exaggerated: 1 };
  const [s0, z0, s1, z1] = extent;
  const flat = (width - 2 * ROOM) / Math.max(s1 - s0, 0.5);
  const up = Math.min((height - 2 * ROOM) / Math.max(z1 - z0, 0.5), flat * (s1 - s0 > LONG_M ? 12 : 4));
  /** @type {(at: XY) => XY} */
  const put = ([s, z]) => [ROOM + (s - s0) * flat, height - ROOM - (z - z0) * up];
  page.replaceChildren();
  page.setAttribute("viewBox", `0 0 ${width} ${height}`);
  const ground = shape("path", { d: trace(line.map(put)), class: "earth-line" });
  if (line.length > 1) {
    const [first, last] = [put(line[0]), put(line[line.length - 1])];
    page.append(shape("path", { d: `${trace(line.map(put))}L${last[0]} ${height}L${first[0]} ${height}Z`, class: "earth" }));
  }
  for (const [from, to] of unknown)
    page.append(shape("rect", { x: put([from, 0])[0], y: 0, width: (to - from) * flat, height, class: "unknown" }));
  for (const bay of bays) page.append(bayOf(bay, put));
  page.append(ground);
  let labelled = -LABEL_PIXELS;
  const rows = [-100, -100]; // how far steps are told, in two rows over the fence
  for (const post of posts) {
    const [x] = put([post.at, 0]);
    const room = x - labelled >= LABEL_PIXELS;
    if (room) labelled = x;
    const half = post.step ? (post.step.length * LETTER_PIXELS) / 2 : 0;
    const row = rows.findIndex((end) => x - half > end);
    if (row >= 0 && post.step) rows[row] = x + half + 3;
    page.append(postOf(post, put, flat, room ? height - 5 : 0, row));
  }
  let told = -GAP_PIXELS;
  for (const bay of bays) {
    if (!bay.gap) continue;
    const [x] = put([bay.gap.at, 0]);
    const room = x - told >= GAP_PIXELS;
    if (room) told = x;
    page.append(gapOf(bay.gap, put, room));
  }
  page.setAttribute("aria-label", say);
  return { exaggerated: up / flat };
}

/** @param {import("./types.js").Bay} bay @param {(at: XY) => XY} put */
function bayOf(bay, put) {
  const corners = /** @type {XY[]} */ ([[bay.from, bay.bottom[0]], [bay.to, bay.bottom[1]], [bay.to, bay.top[1]], [bay.from, bay.top[0]]]);
  const group = shape("g", { class: `bay${bay.gate ? " gate" : ""}${bay.breaks?.length ? " breaks" : ""}` });
  group.dataset.id = bay.gate ?? bay.id;
  group.append(shape("path", { d: trace(corners.map(put), true) }));
  const title = shape("title");
  title.textContent = [bay.text, ...(bay.breaks ?? [])].join("\n");
  group.append(title);
  return group;
}

/** @param {import("./types.js").SidePost} post @param {(at: XY) => XY} put @param {number} flat @param {number} low  where its number stands; 0: nowhere @param {number} row  in which its step is told; -1: in none */
function postOf(post, put, flat, low, row) {
  const group = shape("g", { class: "post" });
  group.dataset.id = post.id;
  const [x, top] = put([post.at, post.top]);
  const half = Math.max(post.half * flat, 1);
  const [, ground] = put([post.at, post.ground]);
  const [, foot] = put([post.at, post.foot]);
  group.append(shape("rect", { x: x - half, y: top, width: 2 * half, height: Math.max(ground - top, 0) }));
  group.append(shape("rect", { x: x - half, y: ground, width: 2 * half, height: Math.max(foot - ground, 0), class: "buried" }));
  if (low) {
    const number = shape("text", { x, y: low, class: "number" });
    number.textContent = /^post (\S+)/.exec(post.id)?.[1] ?? ""; // line posts of wire have no number
    group.append(number);
  }
  if (post.step && row >= 0) {
    const step = shape("text", { x, y: top - 6 - row * ROW_PIXELS, class: "step" });
    step.textContent = post.step;
    group.append(step);
  }
  const title = shape("title");
  title.textContent = [post.text, post.step].filter(Boolean).join("\n");
  group.append(title);
  return group;
}

/** @param {{at: number, z0: number, z1: number, text: string}} gap @param {(at: XY) => XY} put @param {boolean} room  for its words */
function gapOf(gap, put, room) {
  const [x, low] = put([gap.at, gap.z0]);
  const [, high] = put([gap.at, gap.z1]);
  const group = shape("g", { class: "gap" });
  group.append(shape("path", { d: `M${x - 3} ${low}h6M${x - 3} ${high}h6M${x} ${low}V${high}` }));
  if (!room) return group;
  const text = shape("text", { x: x + 5, y: low + 12 });
  text.textContent = gap.text;
  group.append(text);
  return group;
}

/**
 * Which words have room on the drawing: the weightier first, and none over another. Looked at anew when the eye rests.
 * @typedef {import("./drawing.js").Drawing} Drawing
 * @typedef {{left: number, top: number, right: number, bottom: number}} Box  pixels
 */

import { placeOfWords } from "./paint.js";

const WEIGHT = ["corner", "gate", "dimension", "zone", "building", "point", "run", "side", "tape", "post", "stretch", "old fence", "contour", "bay"];
const LEAST = /** @type {Record<string, number>} */ ({ bay: 60, post: 14, stretch: 1 }); // pixels a metre
const LIFT = /** @type {Record<string, number>} */ ({ dimension: -5, tape: -5, side: 15, run: 15, gate: 15, stretch: -5, corner: -9, point: -9, post: -9 });
/** From how near an item has its words; braced posts of wire stand far apart. @param {import("./types.js").Item} item */
const least = ({ kind, marks }) => (kind === "post" && marks?.includes("wire") ? 1 : (LEAST[kind] ?? 0));

const HIGH = 15;
const REST_MS = 90;

/** @type {Map<string, number>} */
const widths = new Map();
const pen = document.createElement("canvas").getContext("2d");

/** How wide a text is on the drawing. @param {string} text */
function widthOf(text) {
  const known = widths.get(text);
  if (known !== undefined) return known;
  if (pen) pen.font = `13px ${getComputedStyle(document.body).fontFamily}`;
  const made = pen?.measureText(text).width ?? 7 * text.length;
  widths.set(text, made);
  return made;
}

/** @param {Drawing} drawing */
export function roomFor(drawing) {
  let waiting = 0;
  return () => {
    clearTimeout(waiting);
    waiting = setTimeout(() => clear(drawing), REST_MS);
  };
}

/** @param {Drawing} drawing */
function clear(drawing) {
  const view = drawing.view;
  if (!view) return;
  const all = [...drawing.held.values()].filter(({ item, element, words }) => element && item.text && (words || view.scale > (least(item))));
  const weight = (/** @type {{item: {kind: string}}} */ { item }) => WEIGHT.indexOf(item.kind);
  const stands = (/** @type {{item: {id: string}}} */ { item }) => Number(drawing.stands(item.id));
  all.sort((a, b) => stands(b) - stands(a) || weight(a) - weight(b));
  /** @type {Map<string, Box[]>} */
  const taken = new Map();
  for (const { item } of all) {
    const box = boxOf(item, view);
    const kept = drawing.stands(item.id);
    let free = Boolean(box) && (kept || view.scale > least(item));
    if (box && free) {
      const cells = cellsOf(box);
      free = kept || cells.every((cell) => (taken.get(cell) ?? []).every((other) => apart(box, other)));
      if (free) for (const cell of cells) taken.set(cell, [...(taken.get(cell) ?? []), box]);
    }
    drawing.speak(item.id, free || kept);
  }
}

/** What the words of an item cover; null where that is out of view. @param {import("./types.js").Item} item @param {import("./drawing.js").View} view @returns {Box | null} */
function boxOf(item, view) {
  const place = placeOfWords(item);
  if (!place) return null;
  const turn = (place.turn * Math.PI) / 180;
  const [wide, lift] = [widthOf(item.text ?? "") / 2, (LIFT[item.kind] ?? 4) - 4];
  const [sin, cos] = [Math.sin(turn), Math.cos(turn)];
  const x = (place.at[0] - view.x0) * view.scale + lift * sin;
  const y = (view.y1 - place.at[1]) * view.scale + lift * cos;
  const [dx, dy] = [wide * Math.abs(cos) + (HIGH / 2) * Math.abs(sin), wide * Math.abs(sin) + (HIGH / 2) * Math.abs(cos)];
  const box = { left: x - dx, top: y - dy, right: x + dx, bottom: y + dy };
  const [width, height] = [(view.x1 - view.x0) * view.scale, (view.y1 - view.y0) * view.scale];
  return box.right < 0 || box.left > width || box.bottom < 0 || box.top > height ? null : box;
}

/** @param {Box} box */
function cellsOf(box) {
  const cells = [];
  for (let x = Math.floor(box.left / 80); x <= Math.floor(box.right / 80); x++)
    for (let y = Math.floor(box.top / 40); y <= Math.floor(box.bottom / 40); y++) cells.push(`${x} ${y}`);
  return cells;
}

/** @param {Box} a @param {Box} b */
const apart = (a, b) => a.right < b.left || b.right < a.left || a.bottom < b.top || b.bottom < a.top;

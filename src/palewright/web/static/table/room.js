/**
 * Which words have room on the drawing: the weightier first, and none over another. Looked at anew when the eye rests.
 */

const WEIGHT = ["corner", "gate", "dimension", "zone", "building", "point", "run", "side", "tape", "post", "old fence", "contour", "bay"];
const REST_MS = 90;

/** @param {import("./paint.js").Drawing} drawing @param {SVGSVGElement} page */
export function roomFor(drawing, page) {
  let waiting = 0;
  return () => {
    clearTimeout(waiting);
    waiting = setTimeout(() => clear(drawing, page), REST_MS);
  };
}

/** @param {import("./paint.js").Drawing} drawing @param {SVGSVGElement} page */
function clear(drawing, page) {
  const field = page.getBoundingClientRect();
  const all = [...drawing.held.values()].filter(({ item }) => item.text);
  const weight = (/** @type {{item: {kind: string}}} */ { item }) => WEIGHT.indexOf(item.kind);
  all.sort((a, b) => weight(a) - weight(b));
  /** @type {Map<string, DOMRect[]>} */
  const taken = new Map();
  const texts = all.map(({ element }) => /** @type {SVGElement | null} */ (element.querySelector(".words")));
  for (const text of texts) text?.classList.remove("no-room");
  const boxes = texts.map((text) => text?.getBoundingClientRect());
  for (const [k, box] of boxes.entries()) {
    const text = texts[k];
    if (!text || !box || !box.width || box.right < field.left || box.left > field.right || box.bottom < field.top || box.top > field.bottom) continue;
    const cells = cellsOf(box);
    const free = cells.every((cell) => (taken.get(cell) ?? []).every((other) => apart(box, other)));
    if (!free) text.classList.add("no-room");
    else for (const cell of cells) taken.set(cell, [...(taken.get(cell) ?? []), box]);
  }
}

/** @param {DOMRect} box */
function cellsOf(box) {
  const cells = [];
  for (let x = Math.floor(box.left / 80); x <= Math.floor(box.right / 80); x++)
    for (let y = Math.floor(box.top / 40); y <= Math.floor(box.bottom / 40); y++) cells.push(`${x} ${y}`);
  return cells;
}

/** @param {DOMRect} a @param {DOMRect} b */
const apart = (a, b) => a.right < b.left || b.right < a.left || a.bottom < b.top || b.bottom < a.top;

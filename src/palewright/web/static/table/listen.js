/**
 * Pointers, fingers and keys of the drawing, handed on to the hand that is taken.
 * @typedef {object} Ears
 * @property {SVGSVGElement} paper
 * @property {SVGSVGElement} side  the elevation
 * @property {HTMLElement} beside
 * @property {import("./eye.js").Eye} eye
 * @property {() => any} hand
 * @property {(id: string) => void} choose
 * @property {(id: string) => void} light
 * @property {(x: number, y: number, far?: boolean) => void} nudge
 * @property {() => boolean} movable
 * @property {import("./job.js").Job} job
 * @property {() => unknown} fit
 */

import { idUnder } from "./hands.js";

const ARROWS = /** @type {Record<string, [number, number]>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] });

/** @param {Ears} ears */
export function listen(ears) {
  pointers(ears);
  hovering(ears);
  keys(ears);
}

/** @param {Ears} ears */
function pointers({ paper, eye, hand }) {
  /** @type {Map<number, PointerEvent>} */
  const fingers = new Map();
  paper.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    fingers.set(event.pointerId, event);
    if (fingers.size > 1) return;
    paper.setPointerCapture(event.pointerId);
    paper.focus({ preventScroll: true });
    hand().down(event);
  });
  paper.addEventListener("pointermove", (event) => {
    if (fingers.size === 2 && fingers.has(event.pointerId)) pinch(fingers, event, eye);
    else hand().move(event);
  });
  for (const kind of ["pointerup", "pointercancel"])
    paper.addEventListener(kind, (event) => {
      if (!(event instanceof PointerEvent)) return;
      const alone = fingers.size === 1 && fingers.has(event.pointerId);
      fingers.delete(event.pointerId);
      if (!alone) return;
      if (kind === "pointercancel") hand().end();
      // the pointer was captured by the paper: what lies under it is looked up
      else hand().up({ clientX: event.clientX, clientY: event.clientY, target: document.elementFromPoint(event.clientX, event.clientY) });
    });
}

/** Two fingers: nearer, further, and along. @param {Map<number, PointerEvent>} fingers @param {PointerEvent} event @param {import("./eye.js").Eye} eye */
function pinch(fingers, event, eye) {
  const before = [...fingers.values()];
  fingers.set(event.pointerId, event);
  const after = [...fingers.values()];
  const far = (/** @type {PointerEvent[]} */ [a, b]) => Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY) || 1;
  const middle = (/** @type {PointerEvent[]} */ [a, b]) => ({ clientX: (a.clientX + b.clientX) / 2, clientY: (a.clientY + b.clientY) / 2 });
  const [was, now] = [middle(before), middle(after)];
  eye.shift(now.clientX - was.clientX, now.clientY - was.clientY);
  eye.near(far(after) / far(before), now);
}

/** A thing under the mouse lights in plan, elevation and lists at once. @param {Ears} ears */
function hovering({ paper, side, beside, light, choose }) {
  let hovered = "";
  const hover = (/** @type {string} */ id) => {
    if (id === hovered) return;
    hovered = id;
    light(id);
  };
  paper.addEventListener("pointerover", (event) => !event.buttons && hover(idUnder(event.target)));
  for (const place of [side, beside])
    place.addEventListener("pointerover", (event) => {
      const found = event.target instanceof Element ? event.target.closest("[data-id], [data-about]") : null;
      if (found instanceof HTMLElement || found instanceof SVGElement) hover(found.dataset.id ?? found.dataset.about ?? "");
    });
  side.addEventListener("click", (event) => choose(idUnder(event.target)));
}

/** @param {Ears} ears */
function keys({ paper, eye, hand, nudge, movable, job, fit }) {
  const plain = /** @type {Record<string, () => unknown>} */ ({ "+": () => eye.near(1.3), "=": () => eye.near(1.3), "-": () => eye.near(1 / 1.3), "0": fit });
  paper.addEventListener("keydown", async (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key in ARROWS || event.key === "Backspace" || /^\d$/.test(event.key)) event.preventDefault();
    if (await hand().key(event)) return;
    if (event.key in ARROWS) {
      const [x, y] = ARROWS[event.key];
      if (movable()) nudge(x, y, event.shiftKey);
      else eye.shift(-60 * x, 60 * y);
    } else plain[event.key]?.();
  });
  document.addEventListener("keydown", (event) => {
    const typing = event.target instanceof HTMLInputElement || event.target instanceof HTMLTextAreaElement;
    if (typing || !(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z") return;
    event.preventDefault();
    if (event.shiftKey) job.redo();
    else job.undo();
  });
}

/**
 * Pointers, fingers and keys of the drawing, handed on to the hand that is taken.
 * @typedef {object} Ears
 * @property {SVGSVGElement} paper
 * @property {SVGSVGElement} side  the elevation
 * @property {HTMLElement} beside
 * @property {HTMLElement} tools
 * @property {import("./eye.js").Eye} eye
 * @property {() => import("./hands.js").Hand} hand
 * @property {(id: string) => void} choose
 * @property {(id: string) => void} light
 * @property {(ids: string[]) => void} among  one of several things under a finger
 * @property {(x: number, y: number, far?: boolean) => void} nudge
 * @property {() => boolean} movable
 * @property {() => boolean} escape  true where there was something to close
 * @property {import("./job.js").Job} job
 * @property {() => unknown} fit
 */

import { CLICK_PIXELS, idUnder, idsNear } from "./under.js";

export const ARROWS = /** @type {Record<string, [number, number]>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] });
const LONG_MS = 550;

/** @param {Ears} ears */
export function listen(ears) {
  pointers(ears);
  hovering(ears);
  keys(ears);
  toolKeys(ears.tools);
}

/** @param {Ears} ears */
function pointers({ paper, eye, hand, among }) {
  /** @type {Map<number, PointerEvent>} */
  const fingers = new Map();
  let alone = false; // one finger, and nothing else since it came down
  let long = 0;
  let from = [0, 0];
  const press = (/** @type {import("./under.js").Spot} */ at) => {
    alone = false;
    hand().calm();
    among(idsNear(paper, at));
  };
  const held = (/** @type {PointerEvent} */ event) => {
    // the finger that is lifted afterwards clicks nothing of what came under it
    paper.addEventListener("touchend", (end) => end.preventDefault(), { once: true, passive: false });
    press(event);
  };
  paper.addEventListener("contextmenu", (event) => {
    event.preventDefault();
    if (!(event instanceof PointerEvent) || event.pointerType !== "touch") press(event);
  });
  paper.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    fingers.set(event.pointerId, event);
    paper.setPointerCapture(event.pointerId);
    clearTimeout(long);
    if (fingers.size > 1) {
      if (alone) hand().calm();
      alone = false;
      return;
    }
    alone = true;
    from = [event.clientX, event.clientY];
    paper.focus({ preventScroll: true });
    hand().down(event);
    if (event.pointerType === "touch") long = setTimeout(held, LONG_MS, event);
  });
  paper.addEventListener("pointermove", (event) => {
    const known = fingers.has(event.pointerId);
    if (known && Math.hypot(event.clientX - from[0], event.clientY - from[1]) > CLICK_PIXELS) clearTimeout(long);
    if (fingers.size === 2 && known) return pinch(fingers, event, eye);
    if (known) fingers.set(event.pointerId, event);
    if (!fingers.size || alone) hand().move(event);
    return undefined;
  });
  for (const kind of ["pointerup", "pointercancel"])
    paper.addEventListener(kind, (event) => {
      if (!(event instanceof PointerEvent) || !fingers.delete(event.pointerId)) return;
      clearTimeout(long);
      if (!alone) return;
      alone = false;
      if (kind === "pointercancel") hand().calm();
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
  const over = (/** @type {Event} */ event) => {
    const found = event.target instanceof Element ? event.target.closest("[data-id], [data-about]") : null;
    hover(found instanceof HTMLElement || found instanceof SVGElement ? found.dataset.id ?? found.dataset.about ?? "" : "");
  };
  paper.addEventListener("pointerover", (event) => !event.buttons && hover(idUnder(event.target)));
  for (const place of [side, beside]) {
    place.addEventListener("pointerover", over);
    place.addEventListener("focusin", over);
  }
  for (const place of [paper, side, beside]) place.addEventListener("pointerleave", () => hover(""));
  side.addEventListener("click", (event) => choose(idUnder(event.target)));
}

/** @param {Ears} ears */
function keys({ paper, eye, hand, nudge, movable, job, fit, escape }) {
  const plain = /** @type {Record<string, () => unknown>} */ ({ "+": () => eye.near(1.3), "=": () => eye.near(1.3), "-": () => eye.near(1 / 1.3), "0": fit });
  paper.addEventListener("keydown", async (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.key === "Escape") return;
    if (event.key in ARROWS || event.key === "Backspace" || event.key === "Enter" || /^[\d.]$/.test(event.key)) event.preventDefault();
    if (await hand().key(event)) return;
    if (event.key in ARROWS) {
      const [x, y] = ARROWS[event.key];
      if (movable()) nudge(x, y, event.shiftKey);
      else eye.shift(-60 * x, 60 * y);
    } else plain[event.key]?.();
  });
  document.addEventListener("keydown", (event) => {
    const typing = event.target instanceof HTMLInputElement || event.target instanceof HTMLTextAreaElement || event.target instanceof HTMLSelectElement;
    if (event.key === "Escape" && !document.querySelector("dialog[open]")) {
      if (!escape() && !typing) hand().key(event);
      return;
    }
    if (typing || !(event.ctrlKey || event.metaKey)) return;
    const key = event.key.toLowerCase();
    if (key !== "z" && key !== "y") return;
    event.preventDefault();
    if (event.shiftKey || key === "y") job.redo();
    else job.undo();
  });
}

/** Arrow keys go from tool to tool. @param {HTMLElement} tools */
function toolKeys(tools) {
  tools.addEventListener("keydown", (event) => {
    if (!(event.key in ARROWS)) return;
    event.preventDefault();
    const all = [...tools.querySelectorAll("button")];
    const [x, y] = ARROWS[event.key];
    const k = all.indexOf(/** @type {HTMLButtonElement} */ (document.activeElement)) + x - y;
    all[(k + all.length) % all.length].focus();
  });
}

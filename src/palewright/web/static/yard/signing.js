/** A place to sign with a finger. */

import { tag } from "../shared/dom.js";

const WIDTH = 800;
const HEIGHT = 300;

/**
 * @param {string} label
 * @param {() => void} changed called at every stroke
 * @returns {{canvas: HTMLCanvasElement, clear: () => void, png: () => Promise<Blob | null>}} png: null where nothing was drawn
 */
export function signing(label, changed) {
  const canvas = /** @type {HTMLCanvasElement} */ (tag("canvas", { class: "sign", width: String(WIDTH), height: String(HEIGHT), role: "img", "aria-label": label }));
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  let drawn = false;
  /** @type {[number, number] | null} */
  let last = null;
  blank();

  function blank() {
    pen.fillStyle = "#fff";
    pen.fillRect(0, 0, WIDTH, HEIGHT);
    Object.assign(pen, { lineWidth: 6, lineCap: "round", lineJoin: "round", strokeStyle: "#000" });
    drawn = false;
  }

  function clear() {
    blank();
    changed();
  }

  /** @param {PointerEvent} event @returns {[number, number]} */
  function at(event) {
    const box = canvas.getBoundingClientRect();
    return [((event.clientX - box.left) * WIDTH) / box.width, ((event.clientY - box.top) * HEIGHT) / box.height];
  }
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    last = at(event);
    event.preventDefault();
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!last) return;
    const here = at(event);
    pen.beginPath();
    pen.moveTo(...last);
    pen.lineTo(...here);
    pen.stroke();
    last = here;
    if (!drawn) {
      drawn = true;
      changed();
    }
  });
  for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, () => (last = null));
  return { canvas, clear, png: () => (drawn ? new Promise((done) => canvas.toBlob(done, "image/png")) : Promise.resolve(null)) };
}

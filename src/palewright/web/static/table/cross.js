/**
 * The mouse of whoever uses the keyboard alone: a cross that arrow keys move, by what the scale shows.
 * @typedef {import("./types.js").XY} XY
 * @typedef {import("./hands.js").Bench} Bench
 */

import { ARROWS } from "./listen.js";
import { shape } from "./paint.js";
import { SNAP_PIXELS } from "./under.js";

const INCH = 0.0254;
const INCHES = [1, 3, 12, 60, 120, 600, 1200].map((inches) => inches * INCH);
const METRES = [0.05, 0.25, 1, 5, 25, 100];
const HALF = INCH / 2; // less is not said
const LEAST = 4; // pixels of a step
const FURTHER = 5; // times with Shift

export class Cross {
  /** @param {Bench} bench */
  constructor(bench) {
    this.bench = bench;
    /** @type {XY | undefined} */
    this.at = undefined;
    /** @type {XY | undefined} */
    this.fell = undefined; // where it falls, for hands that draw no chain
  }

  get #print() {
    return this.bench.job.sight?.print ?? "";
  }

  get #step() {
    const steps = this.#print === "metric" ? METRES : INCHES;
    return steps.find((step) => step * this.bench.eye.scale >= LEAST) ?? steps[steps.length - 1];
  }

  /** Move by an arrow key, from a place or from the middle of what is in view; whether it was one. @param {KeyboardEvent} event @param {XY} [from] */
  step(event, from) {
    const [x, y] = ARROWS[event.key] ?? [0, 0];
    if (!x && !y) return false;
    const { eye } = this.bench;
    const step = this.#step;
    this.at ??= from && eye.sees(from) ? from : this.#middle(step);
    const far = step * (event.shiftKey ? FURTHER : 1);
    this.at = [this.at[0] + x * far, this.at[1] + y * far];
    this.fell = undefined; // told of where it was
    if (!eye.sees(this.at)) eye.centre(this.at);
    return true;
  }

  /** @param {number} step @returns {XY} */
  #middle(step) {
    const { x0, x1, y0, y1 } = this.bench.eye.view();
    return [Math.round((x0 + x1) / 2 / step) * step, Math.round((y0 + y1) / 2 / step) * step];
  }

  away() {
    this.at = this.fell = undefined;
  }

  /** What is drawn of it. */
  marks() {
    if (!this.at) return [];
    const made = shape("path", { class: "spot cross", d: "M-4 0H4M0 -4V4" });
    made.style.setProperty("--x", `${this.at[0]}px`);
    made.style.setProperty("--y", `${this.at[1]}px`);
    return [made];
  }

  /** In words: how far it stands from a place, or else where. @param {XY} [from] */
  say(from = [0, 0]) {
    if (!this.at) return "";
    const { words } = this.bench;
    const [dx, dy] = [this.at[0] - from[0], this.at[1] - from[1]];
    const across = Math.abs(dx) < HALF ? "" : words(dx < 0 ? "cross_left" : "cross_right", { far: this.#length(dx) });
    const up = Math.abs(dy) < HALF ? "" : words(dy < 0 ? "cross_down" : "cross_up", { far: this.#length(dy) });
    return [across, up].filter(Boolean).join(", ");
  }

  /** @param {number} m */
  #length(m) {
    const far = Math.abs(m);
    if (this.#print === "metric") return `${far.toFixed(2)} m`;
    if (this.#print === "decimal-feet") return `${(far / 12 / INCH).toFixed(2)} ft`;
    const inches = Math.round(far / INCH);
    return `${Math.floor(inches / 12)}' ${inches % 12}"`;
  }

  /** Keys of a hand that takes what lies under it: arrows move it, Enter is the click. @param {KeyboardEvent} event @param {(event: any) => unknown} up @param {XY} [from] */
  async key(event, up, from) {
    if (this.step(event, from)) {
      const at = /** @type {XY} */ (this.at);
      const { job, eye, overlay, tell } = this.bench;
      overlay.replaceChildren(...this.marks());
      const snap = await job.snap({ at, near_m: eye.reach(SNAP_PIXELS) }).catch(() => null);
      if (this.at !== at) return true; // it went on
      this.fell = snap?.at;
      tell([snap?.text, this.say()].filter(Boolean).join(" · "));
      return true;
    }
    if (event.key !== "Enter" || !this.at) return false;
    const [x, y] = this.bench.eye.pixels(this.fell ?? this.at);
    const { left, top } = this.bench.eye.box;
    const [clientX, clientY] = [left + x, top + y];
    await up({ clientX, clientY, target: document.elementFromPoint(clientX, clientY) });
    return true;
  }
}

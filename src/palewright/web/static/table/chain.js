/**
 * The hand that draws a chain of places: a fence, a keep-clear, a building, the boundary.
 * @typedef {import("./hands.js").Bench} Bench
 * @typedef {import("./types.js").XY} XY
 * @typedef {import("./types.js").Snap} Snap
 */

import { Cross } from "./cross.js";
import { shape, trace } from "./paint.js";
import { CLICK_PIXELS, SNAP_PIXELS } from "./under.js";

/** A place as an edit writes it: the name of a point that it fell on, else metres. @param {Snap} snap */
const placed = (snap) => (snap.to === "point" ? (snap.about ?? "").replace(/^(point|corner) /, "") : snap.at);

/** What may be a whole length, while it is typed. */
export const WHOLE = /^(?=.*[1-9])(\d*\.?\d+|.*\d\s*(['"]|ft|in|m|cm|mm))$/i;

export class Chain {
  /**
   * @param {Bench} bench
   * @param {{what: string, least: number, closed: boolean, hint: string, done: (places: (XY | string)[], lengths: string[], bench: Bench, snaps: Snap[]) => Promise<object[] | null>}} rule
   */
  constructor(bench, rule) {
    this.bench = bench;
    this.rule = rule;
    this.cross = new Cross(bench);
    this.reset();
  }

  reset() {
    /** @type {Snap[]} */
    this.snaps = [];
    /** @type {string[]} */
    this.lengths = [];
    /** @type {Snap | null} */
    this.next = null;
    /** @type {XY | undefined} */
    this.seen = undefined;
    this.cross.away();
    /** @type {Promise<boolean | void>} */
    this.turn = Promise.resolve(); // the key before
    /** @type {Promise<Snap> | undefined} */
    this.coming = undefined; // what a place that was clicked or typed falls on
    this.bench.overlay.replaceChildren();
    this.bench.busy(0, this.rule.least);
  }

  begin() {
    this.reset();
    this.bench.eye.page.focus({ preventScroll: true }); // keys are for the drawing now
    this.bench.tell(this.#hint);
  }

  /** What can be done, also with the keyboard where there is one. */
  get #hint() {
    const keys = matchMedia("(any-pointer: fine)").matches ? ["hint_keys"] : [];
    return [this.rule.hint, ...keys].map((key) => this.bench.words(key)).join(" ");
  }

  end() {
    this.reset();
  }

  /** A second finger came down: what the first began to do is forgotten, what was drawn stays. */
  calm() {
    this.shifted = true;
  }

  /** @param {PointerEvent} event */
  down(event) {
    this.pressed = [event.clientX, event.clientY];
    this.shifted = false;
  }

  /** @param {PointerEvent} event */
  move(event) {
    if (this.pressed && event.buttons && Math.hypot(event.clientX - this.pressed[0], event.clientY - this.pressed[1]) > CLICK_PIXELS) {
      this.bench.eye.shift(event.movementX, event.movementY);
      this.shifted = true;
      return;
    }
    const at = String([event.clientX, event.clientY]);
    if (at === this.stood) return; // the paper moved, the mouse did not
    this.stood = at;
    this.cross.away();
    this.#ask(this.bench.eye.metres(event));
  }

  /** @param {XY} at @param {string} [reads] */
  async #snap(at, reads) {
    const so_far = this.snaps.map((snap) => snap.at);
    return this.bench.job.snap({ at, near_m: this.bench.eye.reach(SNAP_PIXELS), what: this.rule.what, so_far, ...(reads ? { reads } : {}) });
  }

  /** @param {XY} at */
  async #ask(at) {
    this.want = this.seen = at;
    if (this.asking) return this.#follow(); // the line follows the mouse, whoever answers when
    this.asking = true;
    try {
      while (this.want) {
        const [where, many] = [this.want, this.snaps.length];
        this.want = undefined;
        const found = await this.#snap(where);
        if (many !== this.snaps.length) continue; // it told of another corner
        this.next = found;
        this.#show();
      }
    } catch {
      this.next = null;
    } finally {
      this.asking = false;
    }
  }

  #follow() {
    if (this.frame) return;
    this.frame = requestAnimationFrame(() => {
      this.frame = 0;
      if (this.snaps.length && this.asking) this.#draw(this.seen);
    });
  }

  #show() {
    this.#draw(this.next?.at);
    this.bench.busy(this.snaps.length, this.rule.least);
    const said = [this.next?.length, this.next?.text, this.cross.say(this.snaps.at(-1)?.at)].filter(Boolean).join(" · ");
    this.bench.tell(said || (this.snaps.length ? this.bench.words("hint_on") : this.#hint));
  }

  /** @param {XY | undefined} tip */
  #draw(tip) {
    const points = [...this.snaps.map((snap) => snap.at), ...(tip ? [tip] : [])];
    const line = shape("path", { d: points.length > 1 ? trace(points, this.rule.closed && points.length > 2) : "", class: "trial-line" });
    const dots = points.map((at) => {
      const dot = shape("path", { class: "spot trial", d: "M-1 0A1 1 0 1 0 1 0A1 1 0 1 0 -1 0Z" });
      dot.style.setProperty("--x", `${at[0]}px`);
      dot.style.setProperty("--y", `${at[1]}px`);
      return dot;
    });
    this.bench.overlay.replaceChildren(line, ...dots, ...this.cross.marks());
  }

  /** @param {PointerEvent} event */
  async up(event) {
    const shifted = this.shifted;
    this.pressed = undefined;
    this.shifted = false;
    if (shifted) return;
    return this.#put(this.bench.eye.metres(event));
  }

  /** A place more; where the mouse clicks the last one again, or the first, that ends the chain. @param {XY} at */
  async #put(at) {
    const snap = await (this.coming = this.#snap(at));
    const near = this.bench.eye.reach(SNAP_PIXELS);
    const first = this.snaps[0];
    const again = this.snaps.at(-1);
    const on = (/** @type {Snap | undefined} */ one, reach = near) => Boolean(one && Math.hypot(one.at[0] - snap.at[0], one.at[1] - snap.at[1]) < reach);
    if (on(again, this.cross.at ? 1e-4 : near)) return this.finish();
    if (this.snaps.length >= 3 && on(first)) {
      if (!this.rule.closed) this.#push(first);
      return this.finish();
    }
    this.#push(snap);
    if (this.cross.at) return this.#tip(snap);
    this.#show();
    if (this.seen) this.#ask(this.seen); // the mouse may have gone on meanwhile
  }

  /** @param {Snap} snap @param {string} [length] */
  #push(snap, length = "") {
    this.snaps.push(snap);
    this.lengths.push(length);
  }

  /** One key after the other, whatever each has to ask. @param {KeyboardEvent} event @returns {Promise<boolean | void>} */
  key(event) {
    if (event.key === "Escape") {
      this.away();
      return Promise.resolve(true);
    }
    const next = () => this.#key(event);
    return (this.turn = this.turn.then(next, next));
  }

  /** @param {KeyboardEvent} event */
  async #key(event) {
    await this.coming?.catch(() => {}); // what was placed or typed before comes first
    if (this.cross.step(event, this.snaps.at(-1)?.at ?? this.seen)) {
      this.#draw(this.next?.at); // the cross goes at once
      this.#ask(/** @type {XY} */ (this.cross.at));
      return true;
    }
    if (event.key === "Enter" && (this.cross.at || this.snaps.length)) {
      const stays = this.cross.at === this.snaps.at(-1)?.at; // also where there is no cross, nor a place
      await (this.cross.at && !stays ? this.#put(this.cross.at) : this.finish());
      return true;
    }
    if (event.key === "Backspace" && this.snaps.length) {
      this.back();
      return true;
    }
    if (!/^[0-9.]$/.test(event.key) || !this.snaps.length) return false;
    await this.type(event.key);
    return true;
  }

  /** What is drawn goes; with nothing drawn the hand is laid down. */
  away() {
    if (this.snaps.length) this.begin();
    else this.bench.take("look");
  }

  /** One place is taken back. */
  back() {
    this.snaps.pop();
    this.lengths.pop();
    this.next = null; // it told of the corner that went
    const last = this.snaps.at(-1);
    if (this.cross.at && last) return this.#tip(last);
    this.#show();
    return this.seen && this.#ask(this.seen);
  }

  /** A length that is typed wins over the mouse, whose direction stays. @param {string} [begun] */
  async type(begun = "") {
    const last = this.snaps.at(-1);
    // where the mouse is, also while it is asked what it falls on; it stays there while one length is typed after another
    const toward = [this.asking ? undefined : this.next?.at, this.seen].find((at) => at && last && Math.hypot(at[0] - last.at[0], at[1] - last.at[1]) > 1e-6);
    if (!toward) return this.bench.tell(this.bench.words("hint_toward"));
    let reads = begun;
    const typing = async (/** @type {string} */ so_far) => {
      reads = so_far;
      const snap = WHOLE.test(so_far) && (await this.#snap(toward, so_far).catch(() => null)); // half a length is none
      if (snap && reads === so_far) this.#tip(snap);
    };
    typing(begun);
    for (;;) {
      reads = await this.bench.ask({ title: this.bench.words("ask_length_next"), value: reads, small: true, typing });
      if (!reads) return this.seen && this.#ask(this.seen);
      try {
        const snap = await (this.coming = this.#snap(toward, reads));
        this.#push(snap, reads);
        this.#inView();
        this.#tip(snap); // until the mouse goes on
        return undefined;
      } catch (error) {
        this.bench.job.dispatchEvent(new CustomEvent("not-there", { detail: error })); // said, and asked again
      }
    }
  }

  /** @param {Snap} snap  where the leg ends that is typed, or was placed by the keyboard: the cross goes on from there */
  #tip(snap) {
    this.next = snap;
    if (this.cross.at && this.snaps.at(-1) === snap) this.cross.at = this.seen = snap.at;
    this.#show();
  }

  /** A typed length may lead out of view: then all that is drawn comes into it, with room to go on. */
  #inView() {
    const { eye } = this.bench;
    const places = this.snaps.map(({ at }) => at);
    if (places.every((at) => eye.sees(at))) return;
    const [xs, ys] = [places.map(([x]) => x), places.map(([, y]) => y)];
    const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    const room = 0.3 * Math.max(x1 - x0, y1 - y0);
    eye.fit([x0 - room, y0 - room, x1 + room, y1 + room]);
    this.next = null; // the mouse points elsewhere now
    this.seen = undefined;
  }

  async finish() {
    await this.coming?.catch(() => {}); // a place that was just clicked or typed belongs to it
    if (this.snaps.length < this.rule.least) return this.bench.tell(this.bench.words("hint_more", { number: String(this.rule.least) }));
    if (this.ending) return undefined; // a double click ends it once
    this.ending = true;
    try {
      const edits = await this.rule.done(this.snaps.map(placed), this.lengths, this.bench, this.snaps);
      // what was drawn stays where it is not taken, to be ended otherwise
      if (edits && (await this.bench.job.save(edits))) this.bench.take("look", true);
    } finally {
      this.ending = false;
    }
    return undefined;
  }
}

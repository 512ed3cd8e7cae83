/**
 * The hand that chooses, drags what can be dragged, and shifts the paper.
 * @typedef {import("./hands.js").Bench} Bench
 * @typedef {import("./types.js").XY} XY
 * @typedef {import("./types.js").Item} Item
 * @typedef {import("./types.js").Snap} Snap
 * @typedef {{title: string, edit: (reads: string) => object, freely: boolean}} Typed  freely: along the direction that the mouse shows
 * @typedef {{item: Item | undefined, id: string, index: number, x: number, y: number, moving: boolean, grip: XY, at?: XY, fell?: XY, typed?: Typed | null}} Held
 */

import { WHOLE } from "./chain.js";
import { drawGhost } from "./ghost.js";
import { CLICK_PIXELS, SNAP_PIXELS, cornerUnder, dragUnder, idUnder } from "./under.js";

const PAUSE_MS = 200; // what is typed half is not laid out

export class Look {
  /** @param {Bench} bench */
  constructor(bench) {
    this.bench = bench;
    /** @type {Held | null} */
    this.held = null;
  }

  begin() {
    this.bench.tell(this.bench.words("hint_look"));
  }

  end() {
    this.calm();
  }

  /** @param {PointerEvent} event */
  down(event) {
    const id = idUnder(event.target);
    const item = this.bench.drawing.item(dragUnder(this.bench.eye.page, event));
    const at = this.bench.eye.metres(event);
    this.held = {
      item: item?.drag ? item : undefined, id, index: cornerUnder(event.target), x: event.clientX, y: event.clientY, moving: false, grip: at,
    };
  }

  /** @param {PointerEvent} event */
  move(event) {
    const held = this.held;
    if (!held) return;
    const [dx, dy] = [event.clientX - held.x, event.clientY - held.y];
    if (!held.moving && Math.hypot(dx, dy) < CLICK_PIXELS) return;
    if (!held.moving) this.#lift(held);
    if (held.item) this.#drag(held.item, held, event);
    else {
      this.bench.eye.shift(dx, dy);
      [held.x, held.y] = [event.clientX, event.clientY];
    }
  }

  /** @param {Held} held */
  #lift(held) {
    held.moving = true;
    if (!held.item) {
      const why = this.bench.drawing.item(held.id)?.why;
      if (why) this.bench.tell(why);
      return;
    }
    this.bench.choose(held.item.id);
    this.bench.job.hold(true);
    held.typed = typable(held.item, this.bench); // before anything moves: legs are known by their ends
    if (held.typed) this.bench.tell(this.bench.words("hint_type"));
  }

  /** What is dragged follows the hand at once, once a frame; what becomes of the fence is asked, one question at a time. @param {Item} item @param {Held} held @param {PointerEvent} event */
  #drag(item, held, event) {
    this.want = held.at = this.bench.eye.metres(event);
    if (this.frame) return;
    this.frame = requestAnimationFrame(() => {
      this.frame = 0;
      if (this.held !== held || !this.want) return;
      this.#ghost(item, held, this.want);
      this.#ask(item, held);
    });
  }

  /** @param {Item} item @param {Held} held @param {XY} at */
  #ghost(item, held, at) {
    const near = (/** @type {XY} */ one) => Math.hypot(one[0] - at[0], one[1] - at[1]) < this.bench.eye.reach(SNAP_PIXELS);
    drawGhost(this.bench, item, held, held.fell && near(held.fell) ? held.fell : at);
  }

  /** @param {Item} item @param {Held} held */
  async #ask(item, held) {
    if (this.snapping) return;
    this.snapping = true;
    try {
      while (this.want && this.held) {
        const where = this.want;
        this.want = undefined;
        const snap = await this.#snap(item, held, where);
        if (this.held !== held) return;
        this.#tell(held, snap);
        held.fell = snap?.to ? snap.at : undefined;
        if (!this.want) this.#ghost(item, held, where);
        this.bench.job.try([edit(item, held, where, snap)]);
      }
    } catch (error) {
      this.bench.job.dispatchEvent(new CustomEvent("not-there", { detail: error }));
    } finally {
      this.snapping = false;
    }
  }

  /** What is moved as a whole snaps to nothing. @param {Item} item @param {Held} held @param {XY} at */
  async #snap(item, held, at) {
    if (item.drag !== "along" && !item.centre && held.index < 0) return null;
    return this.bench.job.snap({ at, near_m: this.bench.eye.reach(SNAP_PIXELS), what: "move", about: item.id });
  }

  /** @param {PointerEvent} event */
  async up(event) {
    const held = this.held;
    this.held = null;
    if (!held) return;
    if (!held.moving) {
      this.bench.choose(held.id);
      return;
    }
    if (!held.item) return;
    const at = this.bench.eye.metres(event);
    this.bench.job.hold(false);
    this.#ghost(held.item, held, at); // it stays until what was saved is drawn
    const snap = await this.#snap(held.item, held, at).catch(() => null);
    await this.bench.job.save([edit(held.item, held, at, snap)]);
    if (!this.held) this.bench.overlay.replaceChildren();
  }

  /** What it fell on; where that is nothing, what can be done. @param {Held} held @param {Snap | null} snap */
  #tell(held, snap) {
    const said = [snap?.length, snap?.text, held.item?.kind === "gate" && this.bench.words("hint_type")].filter(Boolean).join(" · ");
    this.bench.tell(said || (held.typed ? this.bench.words("hint_type") : (held.item?.say ?? "")));
  }

  /** @param {KeyboardEvent} event */
  async key(event) {
    if (event.key === "Escape") {
      if (this.held) this.calm();
      else this.bench.choose("");
      return true;
    }
    const held = this.held;
    if (!held?.moving || !held.item || !held.typed || !/^[0-9.]$/.test(event.key)) return false;
    this.held = null; // the mouse lets go
    await this.#type(held.item, held, held.typed, event.key);
    return true;
  }

  /** A typed length wins over the mouse, whose direction stays; what it makes is seen while it is typed. @param {Item} item @param {Held} held @param {Typed} typed @param {string} begun */
  async #type(item, held, typed, begun) {
    const { ask, job, overlay } = this.bench;
    const toward = held.at ?? held.grip;
    let latest = begun;
    let pause = 0;
    if (!typed.freely) overlay.replaceChildren(); // it is not where the mouse is
    const edits = async (/** @type {string} */ reads) => {
      if (!typed.freely) return [typed.edit(reads)];
      const snap = await job.snap({ at: toward, near_m: this.bench.eye.reach(SNAP_PIXELS), what: "move", about: item.id, reads });
      if (reads === latest) {
        this.#tell(held, snap);
        this.#ghost(item, held, snap.at);
      }
      return [edit(item, held, toward, snap), typed.edit(reads)];
    };
    const typing = async (/** @type {string} */ reads) => {
      latest = reads;
      clearTimeout(pause);
      const made = typed.freely && WHOLE.test(reads) && (await edits(reads).catch(() => null)); // half a length is none
      if (made && reads === latest && reads !== begun) pause = setTimeout(() => job.try(made), PAUSE_MS);
    };
    typing(begun);
    for (let reads = begun; ; ) {
      reads = await ask({ title: typed.title, value: reads, small: true, typing });
      latest = reads;
      clearTimeout(pause);
      if (!reads) break;
      try {
        const made = await edits(reads);
        job.hold(false);
        await job.save(made);
        return overlay.replaceChildren();
      } catch (error) {
        job.dispatchEvent(new CustomEvent("not-there", { detail: error })); // said, and asked again
      }
    }
    overlay.replaceChildren();
    return job.restore();
  }

  /** Let go of what is held; it goes back to where it was. */
  calm() {
    const moving = this.held?.moving && this.held.item;
    this.held = null;
    this.want = undefined;
    this.bench.overlay.replaceChildren();
    if (moving) this.bench.job.restore();
  }
}

/** @param {Item} item @param {Held} held @param {XY} at @param {Snap | null} snap  where that falls */
function edit(item, held, at, snap) {
  if (item.kind === "gate") return { kind: "move gate", about: item.id, at };
  const to = snap ? { to: snap.at, snapped: true } : { to: at };
  if (held.index >= 0) return { kind: "move", about: item.id, ...to, index: held.index };
  return { kind: "move", about: item.id, ...to, ...(item.centre ? {} : { held: held.grip }) };
}

/**
 * What a length that is typed while a thing is dragged means.
 * @param {Item} item @param {Bench} bench
 * @returns {Typed | null}
 */
function typable(item, bench) {
  if (item.kind === "gate")
    return { title: bench.words("ask_starts", { what: bench.name(item.id) }), edit: (starts) => ({ kind: "move gate", about: item.id, starts }), freely: false };
  const leg = legOf(item, bench);
  const freely = item.drag === "point";
  const moves = freely ? item.id.slice(item.id.indexOf(" ") + 1) : "";
  return leg && { title: bench.words("ask_length", { what: leg.say ?? leg.id }), edit: (length) => ({ kind: "length", about: leg.id, length, moves }), freely };
}

/** The dimension of a leg that ends at a point, or else begins there. @param {Item} item @param {Bench} bench @returns {Item | undefined} */
function legOf(item, bench) {
  const legs = [...bench.drawing.held.values()].map((held) => held.item).filter((one) => one.kind === "dimension" && one.points);
  const at = item.centre;
  const meets = (/** @type {XY | undefined} */ p) => Boolean(p && at && Math.hypot(p[0] - at[0], p[1] - at[1]) < 0.5);
  return legs.find((one) => meets(one.points?.[1])) ?? legs.find((one) => meets(one.points?.[0]));
}

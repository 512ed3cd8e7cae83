/**
 * What the pointer does on the drawing. A hand takes pointer events and turns them into edits; it computes nothing:
 * where a place snaps to, and what a length means, is answered by the program behind the page.
 * @typedef {import("./types.js").XY} XY
 * @typedef {import("./types.js").Item} Item
 * @typedef {import("./types.js").Snap} Snap
 *
 * @typedef {object} Bench  what a hand works with
 * @property {import("./job.js").Job} job
 * @property {import("./eye.js").Eye} eye
 * @property {import("./paint.js").Drawing} drawing
 * @property {SVGElement} overlay  in metres, for what is being drawn
 * @property {(id: string) => void} choose
 * @property {(say: string) => void} tell
 * @property {(ask: {title: string, value?: string, fields?: object[]}) => Promise<any>} ask
 * @property {(name: string) => void} take  take another hand
 * @property {(key: string, values?: Record<string, string>) => string} words
 */

import { shape, trace } from "./paint.js";

const SNAP_PIXELS = 12;
const CLICK_PIXELS = 5;

/** @param {EventTarget | null} target @returns {string} */
export function idUnder(target) {
  const found = target instanceof Element ? target.closest("[data-id]") : null;
  return found instanceof SVGElement ? found.dataset.id ?? "" : "";
}

/** A place as an edit writes it: the name of a point that it fell on, else metres. @param {Snap} snap */
const placed = (snap) => (snap.to === "point" ? snap.about.replace(/^(point|corner) /, "") : snap.at);

/** Chooses, drags what can be dragged, and shifts the paper. */
export class Look {
  /** @param {Bench} bench */
  constructor(bench) {
    this.bench = bench;
    /** @type {{item: Item | undefined, id: string, x: number, y: number, moving: boolean, grip: XY} | null} */
    this.held = null;
    this.typed = "";
  }

  begin() {
    this.bench.tell(this.bench.words("hint_look"));
  }

  end() {
    this.#letGo();
  }

  /** @param {PointerEvent} event */
  down(event) {
    const id = idUnder(event.target);
    const item = this.bench.drawing.item(id);
    const at = this.bench.eye.metres(event);
    this.held = { item: item?.drag ? item : undefined, id, x: event.clientX, y: event.clientY, moving: false, grip: at };
  }

  /** @param {PointerEvent} event */
  move(event) {
    const held = this.held;
    if (!held) return;
    const [dx, dy] = [event.clientX - held.x, event.clientY - held.y];
    if (!held.moving && Math.hypot(dx, dy) < CLICK_PIXELS) return;
    if (!held.moving) {
      held.moving = true;
      if (held.item) {
        this.bench.choose(held.item.id);
        this.bench.job.hold(true);
        this.bench.tell(this.bench.words("hint_type"));
      }
    }
    if (held.item) this.#drag(held.item, event);
    else {
      this.bench.eye.shift(dx, dy);
      [held.x, held.y] = [event.clientX, event.clientY];
    }
  }

  /** @param {Item} item @param {PointerEvent} event */
  async #drag(item, event) {
    const at = this.bench.eye.metres(event);
    this.want = at;
    if (this.snapping) return;
    this.snapping = true;
    try {
      while (this.want && this.held) {
        const where = this.want;
        this.want = undefined;
        const near = this.bench.eye.reach(SNAP_PIXELS);
        const snap = item.drag === "along" ? null : await this.bench.job.snap({ at: where, near_m: near, what: "move", about: item.id });
        if (!this.held) return;
        this.last = edit(item, snap ? snap.at : where);
        if (snap?.text) this.bench.tell(snap.text);
        this.bench.job.try([this.last]);
      }
    } catch (error) {
      this.bench.job.dispatchEvent(new CustomEvent("not-there", { detail: error }));
    } finally {
      this.snapping = false;
    }
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
    const near = this.bench.eye.reach(SNAP_PIXELS);
    this.bench.job.hold(false);
    let where = at;
    if (held.item.drag !== "along") {
      try {
        where = (await this.bench.job.snap({ at, near_m: near, what: "move", about: held.item.id })).at;
      } catch {
        where = at;
      }
    }
    await this.bench.job.save([edit(held.item, where)]);
  }

  /** A typed length wins over the mouse: it is the length of the leg that ends at what is dragged. @param {KeyboardEvent} event */
  async key(event) {
    if (event.key === "Escape" && this.held) {
      this.#letGo();
      return true;
    }
    const item = this.held?.moving ? this.held.item : undefined;
    if (!item || !/^[0-9]$/.test(event.key)) return false;
    const leg = legOf(item, this.bench);
    this.#letGo();
    if (!leg) return false;
    const reads = await this.bench.ask({ title: this.bench.words("ask_length", { what: leg.about ?? leg.id }), value: event.key });
    if (reads) await this.bench.job.save([{ kind: "length", about: leg.id, length: reads }]);
    return true;
  }

  #letGo() {
    const moving = this.held?.moving && this.held.item;
    this.held = null;
    if (moving) this.bench.job.restore();
  }
}

/** @param {Item} item @param {XY} at */
function edit(item, at) {
  if (item.kind === "gate") return { kind: "move gate", about: item.id, at };
  return { kind: "move", about: item.id, to: at };
}

/** The dimension of a leg that ends at a point, or else begins there. @param {Item} item @param {Bench} bench @returns {Item | undefined} */
function legOf(item, bench) {
  const legs = [...bench.drawing.held.values()].map((held) => held.item).filter((one) => one.kind === "dimension" && one.points);
  const named = (/** @type {Item} */ one) => one.marks?.includes(`ends ${item.id}`);
  const at = item.centre;
  const meets = (/** @type {XY | undefined} */ p) => Boolean(p && at && Math.hypot(p[0] - at[0], p[1] - at[1]) < 0.5);
  return legs.find(named) ?? legs.find((one) => meets(one.points?.[1])) ?? legs.find((one) => meets(one.points?.[0]));
}

/** Draws a chain of places: a fence, a keep-clear, a building, the boundary. */
export class Chain {
  /**
   * @param {Bench} bench
   * @param {{what: string, least: number, closed: boolean, hint: string, done: (places: (XY | string)[], lengths: string[], bench: Bench) => Promise<object[] | null>}} rule
   */
  constructor(bench, rule) {
    this.bench = bench;
    this.rule = rule;
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
    this.bench.overlay.replaceChildren();
  }

  begin() {
    this.reset();
    this.bench.tell(this.bench.words(this.rule.hint));
  }

  end() {
    this.reset();
  }

  /** @param {PointerEvent} event */
  down(event) {
    this.pressed = [event.clientX, event.clientY];
  }

  /** @param {PointerEvent} event */
  move(event) {
    if (this.pressed && event.buttons && Math.hypot(event.clientX - this.pressed[0], event.clientY - this.pressed[1]) > CLICK_PIXELS) {
      this.bench.eye.shift(event.movementX, event.movementY);
      this.shifted = true;
      return;
    }
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
    if (this.asking) return;
    this.asking = true;
    try {
      while (this.want) {
        const where = this.want;
        this.want = undefined;
        this.next = await this.#snap(where);
        this.#show();
      }
    } catch {
      this.next = null;
    } finally {
      this.asking = false;
    }
  }

  #show() {
    const points = [...this.snaps.map((snap) => snap.at), ...(this.next ? [this.next.at] : [])];
    const line = shape("path", { d: points.length > 1 ? trace(points, this.rule.closed && points.length > 2) : "", class: "trial-line" });
    const dots = points.map((at) => {
      const dot = shape("path", { class: "spot trial", d: "M-1 0A1 1 0 1 0 1 0A1 1 0 1 0 -1 0Z" });
      dot.style.setProperty("--x", `${at[0]}px`);
      dot.style.setProperty("--y", `${at[1]}px`);
      return dot;
    });
    this.bench.overlay.replaceChildren(line, ...dots);
    if (this.next) this.bench.tell([this.next.length, this.next.text].filter(Boolean).join(" · "));
  }

  /** @param {PointerEvent} event */
  async up(event) {
    const shifted = this.shifted;
    this.pressed = undefined;
    this.shifted = false;
    if (shifted) return;
    const at = this.bench.eye.metres(event);
    const snap = await this.#snap(at);
    const first = this.snaps[0];
    const near = this.bench.eye.reach(SNAP_PIXELS);
    const again = this.snaps.at(-1);
    if (again && Math.hypot(again.at[0] - snap.at[0], again.at[1] - snap.at[1]) < near) return this.finish();
    if (first && this.snaps.length >= 3 && Math.hypot(first.at[0] - snap.at[0], first.at[1] - snap.at[1]) < near) {
      if (!this.rule.closed) this.snaps.push(first);
      return this.finish();
    }
    this.snaps.push(snap);
    this.lengths.push("");
    this.#show();
    if (this.seen) this.#ask(this.seen); // the mouse may have gone on meanwhile
  }

  /** @param {KeyboardEvent} event */
  async key(event) {
    if (event.key === "Escape") {
      if (this.snaps.length) this.reset();
      else this.bench.take("look");
      return true;
    }
    if (event.key === "Enter" && this.snaps.length) {
      await this.finish();
      return true;
    }
    if (event.key === "Backspace" && this.snaps.length) {
      this.snaps.pop();
      this.lengths.pop();
      this.#show();
      return true;
    }
    if (!/^[0-9]$/.test(event.key) || !this.snaps.length || !this.next) return false;
    const toward = this.next.at;
    const reads = await this.bench.ask({ title: this.bench.words("ask_length_next"), value: event.key });
    if (!reads) return true;
    try {
      this.snaps.push(await this.#snap(toward, reads));
      this.lengths.push(reads);
      this.#show();
    } catch (error) {
      this.bench.job.dispatchEvent(new CustomEvent("refused", { detail: error }));
    }
    return true;
  }

  async finish() {
    if (this.snaps.length < this.rule.least) return;
    const places = this.snaps.map(placed);
    const lengths = this.lengths;
    const edits = await this.rule.done(places, lengths, this.bench);
    this.reset();
    if (edits && (await this.bench.job.save(edits))) this.bench.take("look");
  }
}

/** Puts a gate where one clicks along a run. */
export class Gate {
  /** @param {Bench} bench */
  constructor(bench) {
    this.bench = bench;
  }

  begin() {
    this.bench.tell(this.bench.words("hint_gate"));
  }

  end() {}
  down() {}
  move() {}

  /** @param {PointerEvent} event */
  async up(event) {
    const item = this.bench.drawing.item(idUnder(event.target));
    const owner = item?.kind === "run" ? item.id : item?.about ?? "";
    if (!owner.startsWith("run ")) return this.bench.tell(this.bench.words("hint_gate_off"));
    const at = this.bench.eye.metres(event);
    const asked = await this.bench.ask({
      title: this.bench.words("ask_gate"),
      fields: [
        { key: "opening", label: this.bench.words("opening"), value: "4 ft" },
        { key: "name", label: this.bench.words("name"), value: "" },
      ],
    });
    if (!asked) return undefined;
    if (await this.bench.job.save([{ kind: "gate", run: owner.slice(4), at, opening: asked.opening, name: asked.name }])) this.bench.take("look");
    return undefined;
  }

  /** @param {KeyboardEvent} event */
  async key(event) {
    if (event.key !== "Escape") return false;
    this.bench.take("look");
    return true;
  }
}

/** Takes two named things and what the tape between them reads. */
export class Tape {
  /** @param {Bench} bench */
  constructor(bench) {
    this.bench = bench;
    this.first = "";
  }

  begin() {
    this.first = "";
    this.bench.tell(this.bench.words("hint_tape"));
  }

  end() {
    this.bench.drawing.mark("first", []);
  }

  down() {}
  move() {}

  /** @param {PointerEvent} event */
  async up(event) {
    const item = this.bench.drawing.item(idUnder(event.target));
    const id = item && ["point", "corner"].includes(item.kind) ? item.id : "";
    if (!id) return;
    const name = id.slice(id.indexOf(" ") + 1);
    if (!this.first || this.first === name) {
      this.first = name;
      this.bench.drawing.mark("first", [id]);
      this.bench.tell(this.bench.words("hint_tape_to", { first: name }));
      return;
    }
    const points = [this.first, name];
    const reads = await this.bench.ask({ title: this.bench.words("ask_tape", { first: points[0], second: points[1] }) });
    this.begin();
    this.bench.drawing.mark("first", []);
    if (reads) await this.bench.job.save([{ kind: "tape", points, reads, with: "" }]);
  }

  /** @param {KeyboardEvent} event */
  async key(event) {
    if (event.key !== "Escape") return false;
    this.bench.take("look");
    return true;
  }
}

const UTILITIES = ["", "gas", "electric", "water", "sewer", "communication", "reclaimed"];

/** A name that no run has yet. @param {Bench} bench */
function freeName({ drawing, words }) {
  for (let k = 1; ; k++) {
    const name = words("new_run", { number: String(k) });
    if (!drawing.item(`run ${name}`)) return name;
  }
}

/** Every hand by its name. @param {Bench} bench @returns {Record<string, any>} */
export function handsOf(bench) {
  const { ask, words } = bench;
  const clear = async (/** @type {(XY | string)[]} */ points) => {
    const asked = await ask({
      title: words("ask_clear"),
      fields: [
        { key: "name", label: words("name"), value: "" },
        { key: "utility", label: words("utility"), value: "", choices: UTILITIES.map((value) => ({ value, text: words(`utility_${value || "none"}`) })) },
        { key: "width", label: words("width"), value: "1 in" },
        { key: "each_side", label: words("each_side"), value: "24 in" },
        { key: "inside", label: words("inside"), value: "hand dig", choices: ["hand dig", "no hole"].map((value) => ({ value, text: words(value.replace(" ", "_")) })) },
      ],
    });
    return asked ? [{ kind: "zone", points, closed: false, ...asked }] : null;
  };
  const building = async (/** @type {(XY | string)[]} */ points) => {
    const name = await ask({ title: words("ask_building"), value: words("house") });
    return name ? [{ kind: "building", name, points }] : null;
  };
  return {
    look: new Look(bench),
    fence: new Chain(bench, {
      what: "run", least: 2, closed: false, hint: "hint_fence",
      done: async (points, lengths) => {
        const name = freeName(bench);
        const run = { kind: "run", name, fence: "", points, yard: "", closed: false };
        return [run, ...lengths.flatMap((length, k) => (length ? [{ kind: "length", about: `leg ${name} ${k}`, length }] : []))];
      },
    }),
    gate: new Gate(bench),
    clear: new Chain(bench, { what: "zone", least: 2, closed: false, hint: "hint_clear", done: clear }),
    building: new Chain(bench, { what: "building", least: 3, closed: true, hint: "hint_building", done: building }),
    boundary: new Chain(bench, {
      what: "boundary", least: 3, closed: true, hint: "hint_boundary",
      done: async (points) => [{ kind: "boundary", points, names: [] }],
    }),
    tape: new Tape(bench),
  };
}

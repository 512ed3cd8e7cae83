/**
 * The hand that takes two named things and what the tape between them reads; it stays taken, for the next tape.
 * @typedef {import("./hands.js").Bench} Bench
 */

import { Cross } from "./cross.js";
import { idsNear } from "./under.js";

export class Tape {
  /** @param {Bench} bench */
  constructor(bench) {
    this.bench = bench;
    this.cross = new Cross(bench);
    this.first = "";
  }

  begin() {
    this.first = "";
    this.bench.drawing.mark("first", []);
    this.bench.eye.page.focus({ preventScroll: true });
    this.bench.tell(`${this.bench.words("hint_tape")} ${this.bench.words("hint_keys_one")}`);
  }

  end() {
    this.cross.away();
    this.bench.overlay.replaceChildren();
    this.first = "";
    this.bench.drawing.mark("first", []);
  }

  down() {}
  move() {}
  calm() {}

  /** @param {PointerEvent} event */
  async up(event) {
    const id = idsNear(this.bench.eye.page, event).find((one) => one.startsWith("point ") || one.startsWith("corner "));
    if (!id) return this.bench.tell(this.bench.words("hint_tape_off"));
    const name = id.slice(id.indexOf(" ") + 1);
    if (!this.first || this.first === name) {
      this.first = name;
      this.bench.drawing.mark("first", [id]);
      return this.bench.tell(this.bench.words("hint_tape_to", { first: name }));
    }
    const points = [this.first, name];
    const reads = await this.bench.ask({ title: this.bench.words("ask_tape", { first: points[0], second: points[1] }), small: true });
    this.begin();
    if (reads) await this.bench.job.save([{ kind: "tape", points, reads, with: "" }]);
    return undefined;
  }

  /** @param {KeyboardEvent} event */
  async key(event) {
    if (event.key !== "Escape") return this.cross.key(event, (at) => this.up(at));
    if (this.first) this.begin();
    else this.bench.take("look");
    return true;
  }
}

/**
 * The hand that puts a gate where one clicks along a run.
 * @typedef {import("./hands.js").Bench} Bench
 */

import { Cross } from "./cross.js";
import { idsNear } from "./under.js";

export class Gate {
  /** @param {Bench} bench */
  constructor(bench) {
    this.bench = bench;
    this.cross = new Cross(bench);
  }

  begin() {
    this.bench.eye.page.focus({ preventScroll: true });
    this.bench.tell(`${this.bench.words("hint_gate")} ${this.bench.words("hint_keys_one")}`);
  }

  end() {
    this.cross.away();
    this.bench.overlay.replaceChildren();
  }

  down() {}
  move() {}
  calm() {}

  /** @param {PointerEvent} event */
  async up(event) {
    const near = idsNear(this.bench.eye.page, event).map((id) => this.bench.drawing.item(id));
    const owner = near.map((item) => (item?.kind === "run" ? item.id : item?.about ?? "")).find((id) => id.startsWith("run "));
    if (!owner) return this.bench.tell(this.bench.words("hint_gate_off"));
    const at = this.bench.eye.metres(event);
    const asked = await this.bench.ask({
      title: this.bench.words("ask_gate"),
      fields: [
        { key: "opening", label: this.bench.words("opening"), value: "4 ft", hint: this.bench.words("opening_hint") },
        { key: "name", label: this.bench.words("name"), value: "", hint: this.bench.words("name_hint") },
      ],
    });
    if (!asked) return undefined;
    if (await this.bench.job.save([{ kind: "gate", run: owner.slice(4), at, opening: asked.opening, name: asked.name }])) this.bench.take("look", true);
    return undefined;
  }

  /** @param {KeyboardEvent} event */
  async key(event) {
    const fence = [...this.bench.drawing.held.values()].find(({ item }) => item.kind === "bay")?.item.points ?? [];
    if (event.key !== "Escape") return this.cross.key(event, (at) => this.up(at), fence[0]);
    this.bench.take("look");
    return true;
  }
}

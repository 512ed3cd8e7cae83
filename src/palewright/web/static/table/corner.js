/**
 * One corner of what is chosen, for whoever moves it by keys: of a keep-clear, a building, an old fence.
 * @typedef {import("./types.js").Item} Item
 */

import { tag } from "../shared/dom.js";
import { CORNERED } from "./paint.js";

export class Corner {
  /** @param {import("./drawing.js").Drawing} drawing @param {(key: string, values?: Record<string, string>) => string} words */
  constructor(drawing, words) {
    this.drawing = drawing;
    this.words = words;
    this.id = "";
    this.index = -1; // all of it
  }

  /** Another thing is chosen, or the same is drawn anew. @param {string} id */
  choose(id) {
    const many = this.drawing.item(id)?.points?.length ?? 0;
    if (id !== this.id || this.index >= many) this.index = -1;
    this.id = id;
    this.#light();
  }

  /** Where it stands; undefined for all of the thing. */
  get at() {
    return this.drawing.item(this.id)?.points?.[this.index];
  }

  #light() {
    const element = this.drawing.held.get(this.id)?.element;
    for (const grip of element?.querySelectorAll(".corner-grip") ?? []) grip.classList.toggle("picked", /** @type {SVGElement} */ (grip).dataset.index === String(this.index));
  }

  /** What the arrows move: all of it, or one corner. @param {Item} item @returns {HTMLElement[]} */
  choice(item) {
    if (item.drag !== "point" || !CORNERED.includes(item.kind)) return [];
    const pick = /** @type {HTMLSelectElement} */ (tag("select", { name: "corner" }, new Option(this.words("all_of_it"), "-1")));
    for (const k of (item.points ?? []).keys()) pick.append(new Option(this.words("corner_number", { number: String(k + 1) }), String(k)));
    pick.value = String(this.index);
    pick.addEventListener("change", () => {
      this.index = Number(pick.value);
      this.#light();
    });
    return [tag("label", { class: "row" }, tag("span", {}, this.words("arrows_move")), pick)];
  }
}

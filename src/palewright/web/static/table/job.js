/**
 * The job on the table: its sight, what is tried while a hand moves, what is saved, what somebody else saved meanwhile.
 * @typedef {import("./types.js").Sight} Sight
 * @typedef {import("./types.js").Change} Change
 */

import { get, newKey, send } from "../shared/api.js";

/** Parts of a sight that a change replaces whole. */
const PARTS = ["whole", "title", "extent", "elevations", "notices", "counts", "difference", "tapes", "next", "asks", "assumed"];

/** What a sight leaves out is empty. */
const EMPTY = { items: [], elevations: [], notices: [], tapes: [], next: [], asks: [], assumed: [], bars: [] };

export class Job extends EventTarget {
  /** @param {string} id @param {string} language */
  constructor(id, language) {
    super();
    this.id = id;
    this.language = language;
    this.revision = 0;
    this.against = "";
    /** @type {Sight | null} */
    this.sight = null;
    /** @type {Promise<unknown>} */
    this.saving = Promise.resolve();
    /** @type {object[] | null} */
    this.waiting = null;
    this.trying = false;
    this.canUndo = false;
    this.canRedo = false;
  }

  /** @param {string} tail */
  path(tail) {
    return `/jobs/${this.id}/${tail}`;
  }

  async load() {
    const against = this.against ? `&against=${encodeURIComponent(this.against)}` : "";
    this.#take(await get(this.path(`sight?lang=${this.language}${against}`)));
  }

  /** @param {any} answer */
  #take(answer) {
    this.waiting = null;
    this.revision = answer.job.revision;
    this.canUndo = answer.job.can_undo;
    this.canRedo = answer.job.can_redo;
    this.sight = { ...EMPTY, ...answer.sight };
    this.dispatchEvent(new CustomEvent("sight", { detail: { said: answer.said ?? [], made: answer.made ?? [] } }));
  }

  /**
   * Save edits. One after another, each on the revision that the one before left.
   * @param {object[]} edits
   */
  save(edits) {
    return this.#next((key) => ({ path: "edits", body: { revision: this.revision, edits, key, lang: this.language } }));
  }

  undo() {
    return this.#next((key) => ({ path: "undo", body: { revision: this.revision, key, lang: this.language } }));
  }

  redo() {
    return this.#next((key) => ({ path: "redo", body: { revision: this.revision, key, lang: this.language } }));
  }

  /** An answer of the first five minutes. @param {string} question @param {Record<string, unknown>} values */
  answer(question, values) {
    return this.#next((key) => ({ path: "walk", body: { revision: this.revision, question, values, key, lang: this.language } }));
  }

  /** @returns {Promise<{name: string, revision: number}[]>} */
  marks() {
    return get(this.path("marks"));
  }

  /** @returns {Promise<{id: string, title: string}[]>} */
  async others() {
    return (await get("/jobs")).filter((/** @type {{id: string}} */ { id }) => id !== this.id);
  }

  /** Give what is saved a name. @param {string} name */
  async mark(name) {
    await this.saving;
    try {
      await send("POST", this.path("marks"), { name, revision: this.revision });
      this.dispatchEvent(new Event("marked"));
    } catch (error) {
      this.dispatchEvent(new CustomEvent("refused", { detail: error }));
    }
  }

  /** @param {(key: string) => {path: string, body: object}} ask */
  #next(ask) {
    const key = newKey();
    const run = async () => {
      const { path, body } = ask(key);
      this.dispatchEvent(new Event("saving"));
      try {
        this.#take(await send("POST", this.path(path), body));
        return true;
      } catch (error) {
        this.restore();
        this.dispatchEvent(new CustomEvent("refused", { detail: error }));
        return false;
      }
    };
    const done = this.saving.then(run, run);
    this.saving = done;
    return done;
  }

  /** See what edits would do, without saving; while one is asked only the latest waits. @param {object[]} edits */
  try(edits) {
    this.waiting = edits;
    if (!this.trying) this.#trial();
  }

  async #trial() {
    this.trying = true;
    try {
      while (this.waiting) {
        const edits = this.waiting;
        this.waiting = null;
        try {
          const drawn = await send("POST", this.path("trial"), { revision: this.revision, edits, answer: "change", lang: this.language });
          if (this.wanted) this.dispatchEvent(new CustomEvent("change", { detail: drawn.sight }));
        } catch (error) {
          this.dispatchEvent(new CustomEvent("not-there", { detail: error }));
        }
      }
    } finally {
      this.trying = false;
    }
  }

  /** A hand begins or ends to move something: answers that come later than its end are not shown. @param {boolean} wanted */
  hold(wanted) {
    this.wanted = wanted;
    if (!wanted) this.waiting = null;
  }

  /** Back to what is saved. */
  restore() {
    this.hold(false);
    if (this.sight) this.dispatchEvent(new CustomEvent("sight", { detail: { said: [], made: [], again: true } }));
  }

  /** @param {object} ask @returns {Promise<import("./types.js").Snap>} */
  snap(ask) {
    return send("POST", this.path("snap"), { revision: this.revision, lang: this.language, ...ask });
  }
}

/** A sight with a change laid over it; what did not change is the same object as before. @param {Sight} sight @param {Change} change @returns {Sight} */
export function changed(sight, change) {
  const fresh = new Map((change.items ?? []).map((item) => [item.id, item]));
  const gone = new Set(change.gone ?? []);
  const items = sight.items.filter((item) => !gone.has(item.id)).map((item) => {
    const now = fresh.get(item.id);
    fresh.delete(item.id);
    return now ?? item;
  });
  const made = { ...sight, items: [...items, ...fresh.values()] };
  for (const part of PARTS) if (part in change) Object.assign(made, { [part]: /** @type {any} */ (change)[part] });
  return made;
}

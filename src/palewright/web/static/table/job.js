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

/** A hand that moves is told places alone; figures and side views follow it this often, and this soon when it rests. */
const FIGURES_MS = 250;
const REST_MS = 120;

export class Job extends EventTarget {
  /** @param {string} id @param {string} language */
  constructor(id, language) {
    super();
    this.id = id;
    this.language = language;
    this.revision = 0;
    this.since = 0; // revision that the figures are compared with
    /** @type {Sight | null} */
    this.sight = null;
    /** @type {Promise<unknown>} */
    this.saving = Promise.resolve();
    /** @type {object[] | null} */
    this.waiting = null;
    this.trying = false;
    this.figured = 0; // when figures came last
    this.rest = 0; // the clock of a hand that rests
    this.canUndo = false;
    this.canRedo = false;
    this.older = false; // what is drawn is older than what is saved
    this.turn = 0; // which drag is asked for
    this.warmed = 0; // revision that the program was told to have ready
  }

  /** @param {string} tail */
  path(tail) {
    return `/jobs/${this.id}/${tail}`;
  }

  async load() {
    this.#take(await get(this.path(`sight?lang=${this.language}&since=${this.since}`)), "load");
  }

  /** @param {any} answer @param {string} how  what asked for it */
  #take(answer, how) {
    this.waiting = null;
    this.revision = answer.job.revision;
    this.canUndo = answer.job.can_undo;
    this.canRedo = answer.job.can_redo;
    this.sight = this.#shown({ ...EMPTY, ...answer.sight });
    this.dispatchEvent(new CustomEvent("sight", { detail: { said: answer.said ?? [], made: answer.made ?? [], how } }));
  }

  /** Where a problem leaves nothing to draw, what was drawn before stays. @param {Sight} sight @returns {Sight} */
  #shown(sight) {
    const before = this.sight;
    this.older = !sight.items.length && sight.notices.some(({ level }) => level === "problem");
    return this.older && before ? { ...sight, items: before.items, extent: before.extent, bars: before.bars } : sight;
  }

  /**
   * Save edits. One after another, each on the revision that the one before left.
   * @param {object[]} edits
   * @param {(error: unknown) => void} [refused]  told instead of the page
   */
  save(edits, refused) {
    return this.#next("edits", { edits }, refused);
  }

  undo() {
    return this.#next("undo", {}, undefined, () => this.canUndo);
  }

  redo() {
    return this.#next("redo", {}, undefined, () => this.canRedo);
  }

  /** An answer of the first five minutes. @param {string} question @param {Record<string, unknown>} values */
  answer(question, values) {
    return this.#next("walk", { question, values });
  }

  /** A file beside the job is taken into it. @param {object} how @returns {Promise<import("../shared/api.js").Fault | null>} what was not understood */
  async bring(how) {
    /** @type {any} */
    let fault = null;
    await this.#next("import", how, (error) => (fault = error));
    return fault;
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
      return true;
    } catch (error) {
      this.dispatchEvent(new CustomEvent("refused", { detail: error }));
      return false;
    }
  }

  /**
   * One change after another.
   * @param {string} path @param {object} body
   * @param {(error: unknown) => void} [refused]  told instead of the page
   * @param {() => boolean} [wanted]  asked when its turn comes
   */
  #next(path, body, refused, wanted = () => true) {
    const key = newKey();
    const run = async () => {
      if (!wanted()) return false;
      this.dispatchEvent(new Event("saving"));
      try {
        const sent = { revision: this.revision, key, lang: this.language, since: this.since, ...body };
        this.#take(await send("POST", this.path(path), sent), path);
        return true;
      } catch (error) {
        this.restore();
        if (refused) refused(error);
        else this.dispatchEvent(new CustomEvent("refused", { detail: error }));
        return false;
      }
    };
    const done = this.saving.then(run, run);
    this.saving = done;
    return done;
  }

  /** See what edits would do, without saving; while one is asked only the latest waits. @param {object[]} edits */
  try(edits) {
    clearTimeout(this.rest);
    this.waiting = edits;
    if (!this.trying) this.#trial();
  }

  /** The run that is looked at from the side, by its id, "" for none. */
  side = () => "";

  async #trial() {
    this.trying = true;
    try {
      while (this.waiting) {
        const edits = this.waiting;
        const turn = this.turn;
        const answer = performance.now() - this.figured < FIGURES_MS ? "places" : "change";
        this.waiting = null;
        try {
          const drawn = await send("POST", this.path("trial"), { revision: this.revision, edits, answer, side: this.side(), lang: this.language });
          if (!this.wanted || turn !== this.turn) continue;
          if (answer === "change") this.figured = performance.now();
          else if (!this.waiting) this.rest = setTimeout(() => this.#rested(edits), REST_MS);
          this.dispatchEvent(new CustomEvent("change", { detail: drawn.sight }));
        } catch (error) {
          if (turn === this.turn) this.dispatchEvent(new CustomEvent("not-there", { detail: error }));
        }
      }
    } finally {
      this.trying = false;
    }
  }

  /** The hand rests: what stands beside the drawing catches up with it. @param {object[]} edits */
  #rested(edits) {
    this.figured = 0;
    this.try(edits);
  }

  /** A hand begins or ends to move something: answers that come later than its end are not shown. @param {boolean} wanted */
  hold(wanted) {
    this.wanted = wanted;
    this.turn += 1;
    this.figured = performance.now();
    clearTimeout(this.rest);
    if (!wanted) this.waiting = null;
  }

  /** Something will be dragged soon: the program makes ready for it, which takes a moment in a large job. */
  warm() {
    if (this.warmed === this.revision || !this.sight) return;
    this.warmed = this.revision;
    this.snap({ at: [0, 0], near_m: 0.001 }).catch(() => {});
  }

  /** Back to what is saved. */
  restore() {
    this.hold(false);
    if (this.sight) this.dispatchEvent(new CustomEvent("sight", { detail: { said: [], made: [], how: "restore" } }));
  }

  /** @param {object} ask @returns {Promise<import("./types.js").Snap>} */
  snap(ask) {
    return send("POST", this.path("snap"), { revision: this.revision, lang: this.language, ...ask });
  }
}

/** A sight with all but the drawing of a change laid over it. @param {Sight} sight @param {Change} change @returns {Sight} */
export function changed(sight, change) {
  const made = { ...sight };
  for (const part of PARTS) if (part in change && part !== "elevations") Object.assign(made, { [part]: /** @type {any} */ (change)[part] });
  const fresh = new Map((change.elevations ?? []).map((one) => [one.about, one]));
  const gone = new Set(change.gone ?? []);
  made.elevations = sight.elevations.filter(({ about }) => !gone.has(about)).map((one) => fresh.get(one.about) ?? one);
  return made;
}

/**
 * The drawing kept in step with the items of a Sight, and with what is in view. Only what changed is made anew. Where there are
 * thousands of posts, those out of view are not there, and seen from far those of a run are one row of dots.
 * @typedef {import("./types.js").Item} Item
 * @typedef {import("./types.js").XY} XY
 * @typedef {{x0: number, y0: number, x1: number, y1: number, scale: number}} View  metres in view, pixels a metre
 * @typedef {{item: Item, element: SVGElement | null, words: SVGElement | null}} Held
 */

import { KINDS, dots, drawn, give, shape, wordsOf } from "./paint.js";
import { Places, median } from "./places.js";

const FINE = new Set(["bay", "hole", "post", "old post"]);
const LINE = "line post"; // no items of a sight: they come and go with the view
const MANY = 1500;
const APART = 6; // pixels a metre under which thousands of posts are dots
const AROUND = 0.3; // of the view, that is drawn on every side of it
const AT_ONCE_MS = 10;
const SOME = 20;

export class Drawing {
  /** @param {SVGElement} root  a group whose metres are turned into pixels by whoever owns it */
  constructor(root) {
    this.root = root;
    /** @type {Map<string, SVGElement>} */
    this.groups = new Map();
    /** @type {Map<string, Held>} */
    this.held = new Map();
    /** @type {Map<string, Set<string>>} ids of what belongs to a thing */
    this.parts = new Map();
    /** @type {Map<string, Set<string>>} ids by state */
    this.states = new Map();
    /** @type {Set<Held>} what can be many */
    this.fine = new Set();
    this.posts = new Places();
    /** @type {Map<string, SVGElement>} */
    this.rows = new Map(); // dots of each run, seen from far
    /** @type {Set<string>} */
    this.stale = new Set(); // runs whose posts are other than their dots
    /** @type {View | null} */
    this.view = null;
    /** @type {View | null} */
    this.built = null; // what was in view, with its surroundings, when it was looked at last
    this.far = false;
    this.building = 0;
    /** @type {Item[]} */
    this.saved = [];
    /** @type {Map<string, Item> | null} */
    this.byId = null;
    /** @type {Map<string, {id: string, end: number}[]>} what hangs on each post: holes, ends of bays */
    this.hanging = new Map();
    /** @type {Set<string>} ids of what differs from what was shown last */
    this.laid = new Set();
    for (const kind of ["crowd", ...KINDS, "words"]) {
      const group = shape("g", { class: `layer layer-${kind.replaceAll(" ", "-")}` });
      this.groups.set(kind, group);
      root.append(group);
    }
  }

  get many() {
    return this.fine.size > MANY;
  }

  /** Every item anew. @param {Item[]} items */
  show(items) {
    this.saved = items;
    this.byId = null;
    this.laid.clear();
    const wanted = new Set(items.map((item) => item.id));
    for (const [id, { item }] of [...this.held]) if (!wanted.has(id) && item.kind !== LINE) this.drop(id);
    this.put(items);
  }

  /** Line posts of wire, as far as they are in view, in place of those before. @param {Item[]} items */
  line(items) {
    const now = new Set(items.map(({ id }) => id));
    for (const [id, { item }] of [...this.held]) if (item.kind === LINE && !now.has(id)) this.drop(id);
    this.put(items);
  }

  /** A change laid over what was shown last, in place of the one before it. @param {Partial<Item>[]} items  what differs of each; null: it has that no more @param {string[]} gone */
  over(items, gone) {
    if (!this.byId) {
      this.byId = new Map(this.saved.map((item) => [item.id, item]));
      this.hanging = hanging(this.saved);
    }
    const saved = this.byId;
    items = this.#hung(items, new Set(gone));
    const now = new Set([...items.map(({ id }) => /** @type {string} */ (id)), ...gone]);
    const back = [...this.laid].filter((id) => !now.has(id));
    for (const id of [...back.filter((id) => !saved.has(id)), ...gone]) this.drop(id);
    const put = back.map((id) => saved.get(id)).filter((item) => item !== undefined);
    this.put([...put, ...items.map((item) => merged(saved.get(/** @type {string} */ (item.id)), item))]);
    this.laid = now;
  }

  /** With what hangs on the posts among them: its place goes with theirs, unless it is told. @param {Partial<Item>[]} items @param {Set<string>} gone */
  #hung(items, gone) {
    const all = new Map(items.map((item) => [/** @type {string} */ (item.id), item]));
    for (const { id: post = "", centre } of items)
      for (const { id, end } of (centre && this.hanging.get(post)) || []) {
        const told = all.get(id) ?? {};
        if (gone.has(id) || told.kind) continue; // no more there, or new as a whole
        const points = told.points ?? this.byId?.get(id)?.points ?? [];
        if (end < 0) all.set(id, { id, centre, ...told });
        else all.set(id, { id, ...told, points: points.map((at, k) => (k === end ? centre : at)) });
      }
    return [...all.values()];
  }

  /** Some items new or otherwise than before. @param {Item[]} items */
  put(items) {
    let late = false;
    for (const { id } of items) this.#move(this.held.get(id)?.item, "remove");
    for (const item of items) this.#move(item, "add");
    for (const item of items) {
      const before = this.held.get(item.id);
      if (before?.item === item) continue;
      if (before) this.#forget(before);
      const held = { item, element: null, words: null };
      this.held.set(item.id, held);
      if (FINE.has(item.kind)) this.fine.add(held);
      if (item.about) this.parts.set(item.about, (this.parts.get(item.about) ?? new Set()).add(item.id));
      if (FINE.has(item.kind)) late = true;
      else this.#build(held, before?.element);
      if (FINE.has(item.kind) && before?.element) {
        if (this.far && this.many) before.element.remove();
        else this.#build(held, before.element);
      }
    }
    if (late || this.built === null) this.#survey(true);
  }

  /** @param {string} id */
  drop(id) {
    const held = this.held.get(id);
    if (!held) return;
    held.element?.remove();
    this.#forget(held);
    this.#move(held.item, "remove");
    this.held.delete(id);
    if (FINE.has(held.item.kind)) this.built = null;
  }

  /** @param {Item | undefined} item @param {"add" | "remove"} how */
  #move(item, how) {
    if (item?.kind !== "post" || !item.centre) return;
    this.posts[how](item.centre);
    this.stale.add(item.about ?? "");
  }

  /** @param {Held} held */
  #forget(held) {
    held.words?.remove();
    this.fine.delete(held);
    this.parts.get(held.item.about ?? "")?.delete(held.item.id);
  }

  /** The eye looks elsewhere. @param {View} view */
  look(view) {
    this.view = view;
    if (!this.many) return;
    const built = this.built;
    const within = built && view.x0 >= built.x0 && view.y0 >= built.y0 && view.x1 <= built.x1 && view.y1 <= built.y1 && (view.scale < APART) === this.far;
    const wide = built && built.x1 - built.x0 > 2 * (1 + 2 * AROUND) * (view.x1 - view.x0); // much is there that nobody sees
    if (!within || wide) this.#survey(false);
  }

  /** Which of the small things have to be there? @param {boolean} fresh  some of them are new */
  #survey(fresh) {
    const view = this.view;
    if (!view || !this.many) {
      for (const held of this.fine) if (!held.element) this.#build(held);
      this.#crowd(false, false);
      this.built = view;
      return;
    }
    const [dx, dy] = [(view.x1 - view.x0) * AROUND, (view.y1 - view.y0) * AROUND];
    const far = view.scale < APART;
    if (far !== this.far || fresh) this.#crowd(far, far === this.far);
    this.far = far;
    this.built = { x0: view.x0 - dx, y0: view.y0 - dy, x1: view.x1 + dx, y1: view.y1 + dy, scale: view.scale };
    cancelAnimationFrame(this.building);
    this.#step([...this.fine].values(), this.built);
  }

  /** Small things made or taken away, as many as a frame has time for. @param {IterableIterator<Held>} rest @param {View} box */
  #step(rest, box) {
    const start = performance.now();
    for (const held of rest) {
      const wanted = !this.far && inside(held.item, box);
      if (!wanted && held.element) {
        held.element.remove();
        held.words?.remove();
        held.element = held.words = null;
      } else if (wanted && !held.element && this.fine.has(held)) this.#build(held);
      if (performance.now() - start > AT_ONCE_MS) {
        this.building = requestAnimationFrame(() => this.#step(rest, box));
        return;
      }
    }
  }

  /** Seen from far the posts of each run are dots; those of runs that are as they were stay. @param {boolean} far @param {boolean} before  whether they were seen so before */
  #crowd(far, before) {
    const group = this.groups.get("crowd");
    if (!before || !far) {
      for (const row of this.rows.values()) row.remove();
      this.rows.clear();
      this.stale = new Set([...this.fine].map(({ item }) => (item.kind === "post" ? (item.about ?? "") : "")));
    }
    if (!far) return;
    for (const run of this.stale) {
      const items = [...(this.parts.get(run) ?? [])].map((id) => this.held.get(id)?.item);
      const places = /** @type {XY[]} */ (items.filter((item) => item?.kind === "post" && item.centre).map((item) => item?.centre));
      this.rows.get(run)?.remove();
      this.rows.delete(run);
      if (!places.length) continue;
      const row = give(dots(places, "posts"), median(some(places).map((at) => this.posts.room(at))));
      this.rows.set(run, row);
      group?.append(row);
    }
    this.stale.clear();
  }

  /** @param {Held} held @param {SVGElement | null} [before]  the one in whose place it comes */
  #build(held, before = null) {
    const { item } = held;
    const element = drawn(item);
    if ((item.kind === "post" || item.kind === "hole") && item.centre) give(element, this.posts.room(item.centre));
    for (const [state, ids] of this.states) if (ids.has(item.id) || (item.about && ids.has(item.about))) element.classList.add(`now-${state}`);
    held.element = element;
    if (before) before.replaceWith(element);
    else this.groups.get(item.kind)?.append(element);
  }

  /** Whether an item has its words; they stand over all that is drawn. @param {string} id @param {boolean} wanted */
  speak(id, wanted) {
    const held = this.held.get(id);
    if (!held?.element || wanted === Boolean(held.words)) return;
    if (held.words) held.words.remove();
    held.words = wanted ? wordsOf(held.item) : null;
    if (!held.words) return;
    const chosen = this.states.get("chosen");
    held.words.classList.toggle("heavy", Boolean(chosen?.has(id) || chosen?.has(held.item.about ?? "")));
    this.groups.get("words")?.append(held.words);
  }

  /** Whether an item keeps its words whatever room there is. @param {string} id */
  stands(id) {
    return Boolean(this.states.get("chosen")?.has(id) || this.states.get("lit")?.has(id));
  }

  /** What a thing is, for who rests the mouse on it. @param {string} id */
  tip(id) {
    const held = this.held.get(id);
    if (!held?.element || !held.item.say || held.element.querySelector(":scope > title")) return;
    const title = shape("title");
    title.textContent = held.item.say;
    held.element.prepend(title);
  }

  /** @param {string} id @returns {Item | undefined} */
  item(id) {
    return this.held.get(id)?.item;
  }

  /** Items of a thing and of what belongs to it. @param {string} id @returns {Held[]} */
  of(id) {
    const found = [id, ...(this.parts.get(id) ?? [])].map((one) => this.held.get(one));
    return /** @type {Held[]} */ (found.filter(Boolean));
  }

  /** Give the things with these ids a state of their own, and take it from all others. @param {string} state @param {Iterable<string>} ids */
  mark(state, ids) {
    const before = this.states.get(state);
    const now = new Set(ids);
    if (!before?.size && !now.size) return;
    this.states.set(state, now);
    const give = (/** @type {Iterable<string>} */ some, /** @type {boolean} */ on) => {
      for (const id of some)
        for (const { element, words } of this.of(id)) {
          element?.classList.toggle(`now-${state}`, on);
          if (state === "chosen") words?.classList.toggle("heavy", on);
        }
    };
    give(before ?? [], false);
    give(now, true);
    for (const id of now) if (this.stands(id)) this.speak(id, true);
  }
}

/** @param {Item | undefined} before @param {Partial<Item>} now @returns {Item} */
function merged(before, now) {
  const whole = /** @type {any} */ ({ ...before, ...now });
  for (const [key, value] of Object.entries(now)) if (value === null) delete whole[key];
  return whole;
}

/** What stands where posts do: a hole under its post, a bay from one post to the other. @param {Item[]} items */
function hanging(items) {
  const found = /** @type {Map<string, {id: string, end: number}[]>} */ (new Map());
  const hang = (/** @type {string} */ post, /** @type {string} */ id, end = -1) =>
    found.set(post, [...(found.get(post) ?? []), { id, end }]);
  for (const { id, kind, about } of items) {
    if (kind === "hole") hang(about ?? "", id);
    if (kind === "bay") id.slice(4).split("-").forEach((label, end) => hang(`post ${label}`, id, end));
  }
  return found;
}

/** Enough of them to tell how far they stand apart. @param {XY[]} places */
const some = (places) => places.filter((_, k) => k % Math.ceil(places.length / SOME) === 0);

/** @param {Item} item @param {View} box */
function inside({ centre, points = [] }, { x0, y0, x1, y1 }) {
  const a = centre ?? points[0];
  const b = centre ?? points[points.length - 1];
  if (!a || !b) return true;
  return (a[0] >= x0 || b[0] >= x0) && (a[0] <= x1 || b[0] <= x1) && (a[1] >= y0 || b[1] >= y0) && (a[1] <= y1 || b[1] <= y1);
}

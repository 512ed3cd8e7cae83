/**
 * What the pointer does on the drawing. A hand takes pointer events and turns them into edits; it computes nothing:
 * where a place snaps to, and what a length means, is answered by the program behind the page.
 * @typedef {import("./types.js").XY} XY
 *
 * @typedef {object} Bench  what a hand works with
 * @property {import("./job.js").Job} job
 * @property {import("./eye.js").Eye} eye
 * @property {import("./drawing.js").Drawing} drawing
 * @property {SVGElement} overlay  in metres, for what is being drawn
 * @property {(id: string) => void} choose
 * @property {(say: string) => void} tell
 * @property {(id: string) => string} name  a thing in the words of the page
 * @property {(places: number, least: number) => void} busy  how many places a chain has, and how many it needs
 * @property {import("./ask.js").Ask} ask
 * @property {(name: string, quietly?: boolean) => void} take  take another hand
 * @property {(key: string, values?: Record<string, string>) => string} words
 *
 * @typedef {object} Hand
 * @property {() => void} begin
 * @property {() => void} end
 * @property {() => void} calm  let go of what is held
 * @property {(event: PointerEvent) => void} down
 * @property {(event: PointerEvent) => void} move
 * @property {(event: any) => unknown} up
 * @property {(event: KeyboardEvent) => Promise<boolean>} key  true where the key was used
 */

import { Chain } from "./chain.js";
import { Gate } from "./gate.js";
import { Look } from "./look.js";
import { freeName } from "./names.js";
import { Tape } from "./tape.js";


const UTILITIES = ["", "gas", "electric", "water", "sewer", "communication", "reclaimed"];

/** A form whose lengths are all needed: the first that is missing is asked for where it stands. @param {string[]} keys @param {(key: string) => string} words */
const needing = (keys, words) => async (/** @type {Record<string, string>} */ given) => {
  const key = keys.find((one) => !given[one]);
  return key ? { text: words(`${key}_needed`), key } : null;
};

/** @param {(XY | string)[]} points @param {string[]} _ @param {Bench} bench */
async function clear(points, _, { ask, words }) {
  const choose = (/** @type {string[]} */ values, /** @type {string} */ key) =>
    values.map((value) => ({ value, text: words(`${key}${value.replace(" ", "_") || "none"}`) }));
  const closed = points.length > 3 && String(points[0]) === String(points.at(-1)); // drawn back to where it began: an area
  const asked = await ask({
    title: words("ask_clear"),
    use: needing(["each_side"], words),
    fields: [
      { key: "utility", label: words("utility"), value: "", choices: choose(UTILITIES, "utility_") },
      { key: "name", label: words("name"), value: "", hint: words("name_hint") },
      ...(closed ? [] : [{ key: "width", label: words("width"), value: "", hint: words("width_hint") }]),
      { key: "each_side", label: words("each_side"), value: "", hint: words("each_side_hint") },
      { key: "inside", label: words("inside"), value: closed ? "no hole" : "hand dig", choices: choose(["hand dig", "no hole"], "") },
    ],
  });
  return asked && [{ kind: "zone", points: closed ? points.slice(0, -1) : points, closed, snapped: true, ...asked, name: asked.name || words(`utility_${asked.utility || "other"}`) }];
}

/** @param {(XY | string)[]} points @param {string[]} _ @param {Bench} bench */
async function building(points, _, { ask, words }) {
  const name = await ask({ title: words("ask_building"), value: words("house") });
  return name ? [{ kind: "building", name, points, snapped: true }] : null;
}

/** @param {(XY | string)[]} points @param {string[]} _ @param {Bench} bench */
async function old(points, _, { ask, words }) {
  const asked = await ask({
    title: words("hand_old"),
    use: needing(["every", "footing"], words),
    fields: [
      { key: "name", label: words("name"), value: "", hint: words("name_hint") },
      { key: "then", label: words("old_then"), value: "pull", choices: ["pull", "leave"].map((value) => ({ value, text: words(`old_${value}`) })) },
      { key: "every", label: words("old_every"), value: "", hint: words("old_every_hint") },
      { key: "footing", label: words("old_footing"), value: "", hint: words("old_footing_hint") },
    ],
  });
  return asked && [{ kind: "old fence", points, snapped: true, ...asked, name: asked.name || words("one_old_fence") }];
}

/**
 * How far inside the property a fence is to stand that was drawn on its line; of one that was drawn on an inset, that.
 * "" where it is on neither, or stays on the line; null where nothing was taken.
 * @param {import("./types.js").Snap[]} snaps @param {Bench} bench @returns {Promise<string | null>}
 */
async function insideOf(snaps, { ask, words }) {
  const on = snaps.some(({ about = "", inside = "" }) => !inside && /^(side|corner) /.test(about));
  if (!on) return snaps.find(({ inside }) => inside)?.inside ?? "";
  const fields = [{ key: "inside", label: words("along_inside"), value: "", hint: words("on_line_hint") }];
  const asked = await ask({ title: words("on_line"), say: words("on_line_say"), fields });
  return asked && asked.inside;
}

/** Every hand by its name. @param {Bench} bench @returns {Record<string, any>} */
export function handsOf(bench) {
  return {
    look: new Look(bench),
    fence: new Chain(bench, {
      what: "run", least: 2, closed: false, hint: "hint_fence",
      done: async (points, lengths, _, snaps) => {
        const inside = await insideOf(snaps, bench);
        if (inside === null) return null;
        const name = freeName((id) => Boolean(bench.drawing.item(id)));
        const run = { kind: "run", name, fence: "", points, yard: "", closed: false, snapped: true };
        const typed = lengths.map((length, k) => ({ kind: "length", about: `leg ${name} ${k}`, length }));
        const kept = inside ? [{ kind: "inside", run: name, inside }] : [];
        return [run, ...typed.filter(({ length }, k) => length && typeof points[k] !== "string"), ...kept];
      },
    }),
    gate: new Gate(bench),
    clear: new Chain(bench, { what: "zone", least: 2, closed: false, hint: "hint_clear", done: clear }),
    building: new Chain(bench, { what: "building", least: 3, closed: true, hint: "hint_building", done: building }),
    old: new Chain(bench, { what: "old", least: 2, closed: false, hint: "hint_old", done: old }),
    boundary: new Chain(bench, {
      what: "boundary", least: 3, closed: true, hint: "hint_boundary",
      done: async (points) => [{ kind: "boundary", points, names: [], snapped: true }],
    }),
    tape: new Tape(bench),
  };
}

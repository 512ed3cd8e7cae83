/**
 * How each thing stands by what was kept of it: a card and the list must never say different things.
 * @typedef {import("./parts.js").Act} Act
 * @typedef {"good" | "open" | "not" | "" | "two"} Mark good, not said yet, does not pass; nothing to say; two phones disagree
 */

import { tag } from "../shared/dom.js";
import { changedBays, net, wrongNow } from "./moved.js";
import { rowOf, ticksOf } from "./reading.js";

/** What is drawn for each. @type {Record<string, string>} */
const SIGNS = { good: "✓", not: "✗", open: "–", two: "≠" };

/** @param {Mark} mark @param {Act} act */
export function sign(mark, act) {
  if (!mark) return tag("span", {});
  return tag("span", { class: `told is-${mark}`, role: "img", "aria-label": act.words(`yard_mark_${mark}`) }, SIGNS[mark]);
}

/** The row of a table that what was kept falls into; null where nothing was. @param {string} about @param {string} field @param {any[]} rows @param {Act} act */
function row(about, field, rows, act) {
  const value = act.state(about, field)?.value ?? null;
  return value === null ? null : rowOf(rows, ticksOf(act.pack.units, value)) ?? null;
}

/** @typedef {[(any | null)[], boolean]} Told rows that what was kept falls into, and whether the chief thing was said */

/** @param {Told} told @returns {Mark} */
function markOf([rows, said]) {
  return rows.some((one) => one && !one.ok) ? "not" : said ? "good" : "open";
}

/** A check by its number, as the papers have it, and its name. @param {any} check */
export function checkTitle(check) {
  return `${check.number} · ${check.title}`;
}

/** @param {any} check @param {Act} act @returns {Told} */
function checkTold(check, act) {
  const found = row(check.about, "checked.reads_m", check.rows, act);
  return [[found], Boolean(found)];
}

/** @param {any} gate @param {Act} act @returns {Told} */
function gateTold(gate, act) {
  const clear = row(gate.about, "gate.clear_m", gate.clear.rows, act);
  return [[clear, row(gate.about, "gate.latch_m", gate.latch.rows, act)], (act.state(gate.about, "gate.clear_m")?.value ?? null) !== null];
}

/** @param {any} run @param {Act} act @returns {Told} */
function runTold(run, act) {
  const built = row(run.about, "length.built_m", run.built.rows, act);
  return [[built, row(run.about, "gap.worst_m", run.gap.rows, act)], (act.state(run.about, "length.built_m")?.value ?? null) !== null];
}

/** @param {any} bay @param {Act} act @returns {Told} */
function bayTold(bay, act) {
  return [[rowOf(bay.ranges, net(bay, "", 0, act)) ?? null], bay.cut !== "panel" || Boolean(act.state(bay.about, "panel.remade")?.value)];
}

/** A hole, a post of wire or a stretch: ticked or not, and everything that was measured of it. @param {any} one @param {Act} act @param {any[]} [along] what does not fit along the string @returns {Told} */
function postTold(one, act, along = one.moved ? wrongNow(one, act) : []) {
  const rows = [...along];
  if (one.depth) rows.push(row(one.about, "measured.depth_m", one.depth.rows, act));
  if (one.offset) rows.push(row(one.about, "measured.offset_m", one.offset.rows, act), ...one.others.map((/** @type {any} */ other) => row(one.about, `measured.offset_m@${other.string.replace(/^string /, "")}`, other.offset.rows, act)));
  return [rows, Boolean(act.state(one.about, "done")?.value)];
}

/** @param {any} one @param {Act} act */
export const checkMark = (one, act) => markOf(checkTold(one, act));
/** @param {any} one @param {Act} act */
export const gateMark = (one, act) => markOf(gateTold(one, act));
/** @param {any} one @param {Act} act */
export const runMark = (one, act) => markOf(runTold(one, act));
/** @param {any} one @param {Act} act */
export const bayMark = (one, act) => markOf(bayTold(one, act));
/** @param {any} one @param {Act} act */
export const postMark = (one, act) => markOf(postTold(one, act));

/** What is not ticked, not measured, and what does not pass: each by the title of its card, and what was said of it there. @param {Act} act */
export function leftOver(act) {
  const { pack } = act;
  const posts = [...pack.holes, ...pack.wire_posts, ...pack.stretches];
  const changed = changedBays(pack, act);
  // a bay that does not fit is counted once, not with its posts
  const bays = new Set(changed.filter((/** @type {any} */ one) => bayMark(one, act) === "not").flatMap((/** @type {any} */ one) => one.ends));
  /** @type {(rows: any[], told: (one: any, act: Act) => Told) => {one: any, told: Told}[]} */
  const each = (rows, told) => rows.map((one) => ({ one, told: told(one, act) }));
  const things = [...each(pack.checks, checkTold), ...each(pack.gates, gateTold), ...each(pack.runs, runTold), ...each(changed, bayTold)];
  const all = [...things, ...each(posts, (one) => (bays.has(one.about) ? postTold(one, act, []) : postTold(one, act)))];
  const title = (/** @type {any} */ one) => (one.number ? checkTitle(one) : one.title);
  return {
    all: posts.length,
    open: posts.filter((one) => !act.state(one.about, "done")?.value).map((one) => one.title),
    not: all.filter(({ told }) => markOf(told) === "not").map(({ one, told: [rows] }) => ({ title: title(one), say: rows.filter((row) => row && !row.ok).map((row) => row.say) })),
    unread: things.filter(({ told }) => markOf(told) === "open").map(({ one }) => title(one)),
  };
}

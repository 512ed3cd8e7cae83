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

/** @param {(any | null)[]} rows @param {boolean} said whether the chief thing was said */
function markOf(rows, said) {
  return rows.some((one) => one && !one.ok) ? "not" : said ? "good" : "open";
}

/** A check by its number, as the papers have it, and its name. @param {any} check */
export function checkTitle(check) {
  return `${check.number} · ${check.title}`;
}

/** @param {any} check @param {Act} act @returns {Mark} */
export function checkMark(check, act) {
  const found = row(check.about, "checked.reads_m", check.rows, act);
  return markOf([found], Boolean(found));
}

/** @param {any} gate @param {Act} act @returns {Mark} */
export function gateMark(gate, act) {
  const clear = row(gate.about, "gate.clear_m", gate.clear.rows, act);
  return markOf([clear, row(gate.about, "gate.latch_m", gate.latch.rows, act)], (act.state(gate.about, "gate.clear_m")?.value ?? null) !== null);
}

/** @param {any} run @param {Act} act @returns {Mark} */
export function runMark(run, act) {
  const built = row(run.about, "length.built_m", run.built.rows, act);
  return markOf([built, row(run.about, "gap.worst_m", run.gap.rows, act)], (act.state(run.about, "length.built_m")?.value ?? null) !== null);
}

/** @param {any} bay @param {Act} act @returns {Mark} */
export function bayMark(bay, act) {
  return markOf([rowOf(bay.ranges, net(bay, "", 0, act)) ?? null], bay.cut !== "panel" || Boolean(act.state(bay.about, "panel.remade")?.value));
}

/** A hole, a post of wire or a stretch: ticked or not, and everything that was measured of it. @param {any} one @param {Act} act @param {any[]} [along] what does not fit along the string @returns {Mark} */
export function postMark(one, act, along = one.moved ? wrongNow(one, act) : []) {
  const rows = [...along];
  if (one.depth) rows.push(row(one.about, "measured.depth_m", one.depth.rows, act));
  if (one.offset) rows.push(row(one.about, "measured.offset_m", one.offset.rows, act), ...one.others.map((/** @type {any} */ other) => row(one.about, `measured.offset_m@${other.string.replace(/^string /, "")}`, other.offset.rows, act)));
  return markOf(rows, Boolean(act.state(one.about, "done")?.value));
}

/** What is not ticked, not measured, and what does not pass: each by the title of its card. @param {Act} act */
export function leftOver(act) {
  const { pack } = act;
  const posts = [...pack.holes, ...pack.wire_posts, ...pack.stretches];
  const marked = [
    ...pack.checks.map((/** @type {any} */ one) => [one, checkMark(one, act)]), ...pack.gates.map((/** @type {any} */ one) => [one, gateMark(one, act)]),
    ...pack.runs.map((/** @type {any} */ one) => [one, runMark(one, act)]), ...changedBays(pack, act).map((/** @type {any} */ one) => [one, bayMark(one, act)]),
  ];
  // a bay that does not fit is counted once, not with its posts
  const bays = new Set(changedBays(pack, act).filter((/** @type {any} */ one) => bayMark(one, act) === "not").flatMap((/** @type {any} */ one) => one.ends));
  const titles = (/** @type {any[]} */ rows, /** @type {string} */ mark) => rows.filter(([, is]) => is === mark).map(([one]) => (one.number ? checkTitle(one) : one.title));
  return {
    all: posts.length,
    open: posts.filter((one) => !act.state(one.about, "done")?.value).length,
    not: [...titles(marked, "not"), ...titles(posts.map((one) => [one, bays.has(one.about) ? postMark(one, act, []) : postMark(one, act)]), "not")],
    unread: titles(marked, "open").length,
  };
}

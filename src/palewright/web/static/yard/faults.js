/**
 * What the office says no to, in the language that the phone shows: its problems have names, and their words are here. A day's page is
 * older than the office's program now and then: a name that is not known here is told as it is.
 * @typedef {import("../shared/api.js").Problem} Problem
 * @typedef {import("./parts.js").Act} Act
 */

import { Fault } from "../shared/api.js";
import { signedText, ticksOf } from "./reading.js";

/** Lengths in metres that no tape of a yard reads: the office takes none beyond. @type {Record<string, number>} */
export const MOST = { offset_m: 100, depth_m: 10, back_m: 30, aside_m: 30, along_m: 30, reads_m: 10_000, clear_m: 100, latch_m: 10, worst_m: 10, built_m: 1_000_000, width_m: 100 };

/** The names of what went wrong, as they are kept on the phone. @param {unknown} error @returns {Problem[]} */
export function problemsOf(error) {
  return error instanceof Fault ? error.problems : [];
}

/** What went wrong, in words. @param {unknown} error @param {Act["words"]} words */
export function faultText(error, words) {
  if (!(error instanceof Fault) || !error.status) return words("no_answer");
  return reasons(error.problems, undefined, words).join(" ") || words("no_other", { slug: String(error.status) });
}

/** Why the office did not take an entry. @param {Problem[]} problems @param {import("./fold.js").Entry | undefined} entry @param {Act["words"]} words @param {any} [units] @returns {string[]} */
export function reasons(problems, entry, words, units) {
  return [...new Set(problems.map((problem) => reason(problem, entry, words, units)))];
}

/** @param {Problem} problem @param {import("./fold.js").Entry | undefined} entry @param {Act["words"]} words @param {any} units */
function reason({ slug, where, found }, entry, words, units) {
  const key = where?.path ?? "";
  const value = entry?.value?.[key];
  if (slug === "yard-entry-value" && entry && key in entry.value) {
    const what = known(`said_${key}`, words) ?? key;
    if (typeof value === "string" && value.length > 200) return words("no_longer", { what });
    if (key in MOST && units && typeof value === "number") {
      const low = ["back_m", "aside_m", "along_m"].includes(key) ? -MOST[key] : 0;
      return words("no_range", { what, found: lengthText(value, units), low: lengthText(low, units), high: lengthText(MOST[key], units) });
    }
    return words(`no_${slug}`, { what, found: valueText(key, value, words, units) });
  }
  if (slug === "yard-entry-value") return words("no_yard-entry-shape");
  return known(`no_${slug}`, words, { found }) ?? words("no_other", { slug });
}

/** @param {string} key @param {Act["words"]} words @param {Record<string, string>} [values] */
function known(key, words, values) {
  const text = words(key, values);
  return text === key ? undefined : text;
}

/** @param {number} metres @param {any} units */
function lengthText(metres, units) {
  return signedText(units, ticksOf(units, metres));
}

/** @param {string} key @param {any} value @param {Act["words"]} words @param {any} units */
function valueText(key, value, words, units) {
  if (typeof value === "boolean") return words(value ? "yes" : "no");
  if (key === "why") return known(`why_${value}`, words) ?? String(value);
  if (typeof value === "number" && key.endsWith("_m") && units) return lengthText(value, units);
  return value === null ? words("taken_back") : String(value).slice(0, 200);
}

/** What an entry is about, as the cards call it. @param {string} about @param {any} pack @param {Act["words"]} words */
export function aboutText(about, pack, words) {
  const listed = [...pack.holes, ...pack.checks, ...pack.gates, ...pack.runs, ...pack.bays, ...pack.strings, ...pack.stretches, ...pack.wire_posts, ...pack.wire].find((one) => one.about === about);
  if (listed) return listed.title;
  const [sort, ...name] = about.split(" ");
  return known(`about_${sort}`, words, { name: name.join(" ") }) ?? about;
}

/** What an entry says. @param {import("./fold.js").Entry} entry @param {any} pack @param {Act["words"]} words */
export function entryText(entry, pack, words) {
  const parts = Object.entries(entry.value).filter(([key]) => key !== "place").map(([key, value]) => [known(`said_${key}`, words) ?? key, key === "photo" ? "" : valueText(key, value, words, pack.units)].filter(Boolean).join(" "));
  return `${aboutText(entry.about, pack, words)}: ${parts.join(", ").slice(0, 300)}`;
}

/**
 * A keypad for what a tape reads, for gloves: feet, inches and eighths, or one number in the job's own measure.
 * Counts ticks of the tape and nothing else.
 */

import { tag } from "../shared/dom.js";

/**
 * @param {{style: string, tick_m: number, feet?: number, inch?: number, metre?: number, mm?: number}} units
 * @param {(key: string) => string} words
 * @param {(ticks: number | null) => void} changed
 */
export function keypad(units, words, changed) {
  const feetInches = units.style === "feet-inches";
  const fields = feetInches ? ["feet", "inches"] : [units.style === "metric" ? "mm" : "feet"];
  const inputs = fields.map((field) => {
    const input = /** @type {HTMLInputElement} */ (tag("input", { inputmode: feetInches || field === "mm" ? "numeric" : "decimal", autocomplete: "off", name: field, maxlength: "8" }));
    input.addEventListener("input", tell);
    return tag("label", { class: "big" }, input, tag("span", {}, words(`yard_${field}`)));
  });
  let eighths = 0;
  const eighth = feetInches
    ? Array.from({ length: 8 }, (_, k) => {
        const made = /** @type {HTMLButtonElement} */ (tag("button", { type: "button", "aria-pressed": String(k === 0) }, k ? FRACTIONS[k] : "0"));
        made.addEventListener("click", () => {
          eighths = k;
          for (const [j, other] of eighth.entries()) other.setAttribute("aria-pressed", String(j === k));
          tell();
        });
        return made;
      })
    : [];

  function tell() {
    changed(ticks());
  }

  function ticks() {
    const typed = inputs.map((label) => /** @type {HTMLInputElement} */ (label.firstChild).value.trim().replace(",", "."));
    if (typed.every((text) => !text) && !eighths) return null;
    if (feetInches) {
      if (!typed.every((text) => /^\d*$/.test(text))) return null;
      return Number(typed[0] || 0) * (units.feet ?? 96) + Number(typed[1] || 0) * (units.inch ?? 8) + eighths;
    }
    const match = /^(\d*)(?:\.(\d{1,2}))?$/.exec(typed[0]);
    if (!match) return null;
    if (units.style === "metric") return match[2] ? null : Number(match[1] || 0);
    return Number(match[1] || 0) * 100 + Number((match[2] ?? "").padEnd(2, "0"));
  }
  return tag("div", { class: "keypad" }, tag("div", { class: "row" }, ...inputs), ...(eighth.length ? [tag("div", { class: "eighths" }, ...eighth)] : []));
}

const FRACTIONS = ["0", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"];

/** The row of a table that a number of ticks falls into. @template {{from: number, to: number}} T @param {T[]} rows @param {number} ticks @returns {T | undefined} */
export function rowOf(rows, ticks) {
  return rows.find((row) => row.from <= ticks && ticks <= row.to);
}

/**
 * A keypad for what a tape reads, for gloves: feet, inches and their parts, or one number in the job's own measure.
 * Counts marks of the tape and nothing else; marks become words and words marks without rounding.
 * @typedef {{style: string, tick_m: number, feet?: number, inch?: number, metre?: number, mm?: number}} Units
 */

import { tag } from "../shared/dom.js";

/**
 * @param {Units} units
 * @param {(key: string) => string} words
 * @param {(ticks: number | null) => void} changed
 * @param {number | null} planned what the plan says it must read; one touch takes it over
 * @returns {HTMLElement}
 */
export function keypad(units, words, changed, planned) {
  const { inputs, parts } = fieldsOf(units, words, tell);
  let part = 0;
  const fractions = Array.from({ length: parts }, (_, k) => {
    const made = tag("button", { type: "button", "aria-pressed": String(k === 0) }, k ? fraction(k, parts) : "0");
    made.addEventListener("click", () => {
      press(k);
      tell();
    });
    return made;
  });

  /** @param {number} k */
  function press(k) {
    part = k;
    for (const [j, other] of fractions.entries()) other.setAttribute("aria-pressed", String(j === k));
  }

  function tell() {
    changed(ticks());
  }

  function ticks() {
    return counted(units, inputs.map((input) => input.value.trim().replace(",", ".")), part);
  }

  /** @param {number} value */
  function set(value) {
    const [texts, k] = typed(units, Math.max(0, value));
    inputs.forEach((input, j) => (input.value = texts[j]));
    if (parts) press(k);
    tell();
  }
  const quick = [
    step("−", words("yard_mark_less"), () => set((ticks() ?? planned ?? 0) - 1)),
    ...(planned === null ? [] : [step(`= ${tapeText(units, planned)}`, "", () => set(planned))]),
    step("+", words("yard_mark_more"), () => set((ticks() ?? planned ?? 0) + 1)),
  ];
  const labels = inputs.map((input) => tag("label", { class: "big" }, input, tag("span", {}, words(`yard_${input.name}`))));
  return tag("div", { class: "keypad" }, tag("div", { class: "quick" }, ...quick), tag("div", { class: "fields" }, ...labels), ...(parts ? [tag("div", { class: "eighths" }, ...fractions)] : []));
}

/** @param {Units} units @param {(key: string) => string} words @param {() => void} tell */
function fieldsOf(units, words, tell) {
  const feetInches = units.style === "feet-inches" || units.style === "inches";
  const names = { "feet-inches": ["feet", "inches"], inches: ["inches"], metric: ["mm"] }[units.style] ?? ["feet"];
  const inputs = names.map((name) => {
    const whole = feetInches || name === "mm";
    const input = /** @type {HTMLInputElement} */ (tag("input", { inputmode: whole ? "numeric" : "decimal", autocomplete: "off", name, maxlength: "8" }));
    input.addEventListener("input", tell);
    return input;
  });
  return { inputs, parts: feetInches ? units.inch ?? 8 : 0 };
}

/** @param {string} text @param {string} label @param {() => void} run */
function step(text, label, run) {
  const made = tag("button", { type: "button", ...(label ? { "aria-label": label } : {}) }, text);
  made.addEventListener("click", run);
  return made;
}

/** Marks of the tape for what was typed; null where nothing or no number was. @param {Units} units @param {string[]} texts @param {number} part */
export function counted(units, texts, part) {
  if (texts.every((text) => !text) && !part) return null;
  if (units.style === "feet-inches" || units.style === "inches") {
    if (!texts.every((text) => /^\d*$/.test(text))) return null;
    if (units.style === "inches") return Number(texts[0] || 0) * (units.inch ?? 8) + part;
    return Number(texts[0] || 0) * (units.feet ?? 96) + Number(texts[1] || 0) * (units.inch ?? 8) + part;
  }
  const match = /^(\d*)(?:\.(\d{1,2}))?$/.exec(texts[0]);
  if (!match) return null;
  if (units.style === "metric") return match[2] ? null : Number(match[1] || 0);
  return Number(match[1] || 0) * 100 + Number((match[2] ?? "").padEnd(2, "0"));
}

/** What to type for so many marks. @param {Units} units @param {number} ticks @returns {[string[], number]} */
function typed(units, ticks) {
  if (units.style === "metric") return [[String(ticks)], 0];
  if (units.style === "decimal-feet") return [[`${(ticks - (ticks % 100)) / 100}.${String(ticks % 100).padStart(2, "0")}`], 0];
  const [feet, inch] = [units.feet ?? 96, units.inch ?? 8];
  if (units.style === "inches") return [[String((ticks - (ticks % inch)) / inch)], ticks % inch];
  const rest = ticks % feet;
  return [[String((ticks - rest) / feet), String((rest - (rest % inch)) / inch)], rest % inch];
}

/** So many marks as the papers print them. @param {Units} units @param {number} ticks */
export function tapeText(units, ticks) {
  const [texts, part] = typed(units, ticks);
  if (units.style === "metric") return ticks < 1000 ? `${ticks} mm` : `${(ticks - (ticks % 1000)) / 1000}.${String(ticks % 1000).padStart(3, "0")} m`;
  if (units.style === "decimal-feet") return `${texts[0]}'`;
  const [feet, inches] = units.style === "inches" ? ["0", texts[0]] : texts;
  const small = part ? fraction(part, units.inch ?? 8) : "";
  const inch = inches === "0" && small && feet === "0" ? small : [inches, small].filter(Boolean).join(" ");
  return feet === "0" ? `${inch}"` : `${feet}' ${inch}"`;
}

/** The same where it may be below zero. @param {Units} units @param {number} ticks */
export function signedText(units, ticks) {
  return `${ticks < 0 ? "−" : ""}${tapeText(units, Math.abs(ticks))}`;
}

/** Metres of an entry as marks of the tape: entries are whole marks. @param {Units} units @param {number} metres */
export function ticksOf(units, metres) {
  return Math.round(metres / units.tick_m);
}

/** @param {number} above @param {number} below */
function fraction(above, below) {
  while (above % 2 === 0 && below % 2 === 0) [above, below] = [above / 2, below / 2];
  return `${above}/${below}`;
}

/** The row of a table that a number of marks falls into. @template {{from: number, to: number}} T @param {T[]} rows @param {number} ticks @returns {T | undefined} */
export function rowOf(rows, ticks) {
  return rows.find((row) => row.from <= ticks && ticks <= row.to);
}

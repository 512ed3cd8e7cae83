/**
 * What all cards are put together from: buttons, readings off the tape, disagreements, notes and photos.
 * @typedef {object} Act
 * @property {(about: string, what: string, value: object, photo?: Blob) => Promise<void>} put
 * @property {(about: string, field: string) => import("./fold.js").State | undefined} state
 * @property {(about: string, what: string) => any[]} kept
 * @property {(id: string) => Promise<string>} photo address of a photo, "" where it is not to be had
 * @property {(about: string) => boolean} before whether something was entered here while the plan had it elsewhere
 * @property {(key: string, values?: Record<string, string>) => string} words
 * @property {(text: string) => void} tell
 * @property {(why: string) => Promise<boolean>} waits whether a tick is meant although everybody should wait; asked once a day
 * @property {any} pack
 * @property {string} language
 */

import { tag } from "../shared/dom.js";
import { MOST } from "./faults.js";
import { reduced } from "./photo.js";
import { keypad, rowOf, signedText, tapeText, ticksOf } from "./reading.js";

/** A post whose tape reads so few marks may stand before the zero of the tape. */
const NEAR_ZERO = 48;

/** A button that does one thing at a time. @param {string} text @param {() => unknown} run @param {Record<string, string>} [attributes] */
export function button(text, run, attributes = {}) {
  const made = /** @type {HTMLButtonElement} */ (tag("button", { type: "button", ...attributes }, text));
  let busy = false;
  made.addEventListener("click", async () => {
    if (busy) return;
    busy = true;
    try {
      await run();
    } finally {
      busy = false;
    }
  });
  return made;
}

/** The biggest number of a card: as large as its letters let it be. @param {string} text */
export function big(text) {
  const made = tag("p", { class: "reads" }, text);
  made.style.setProperty("--letters", String(Math.max(5, text.length)));
  return made;
}

/** That something was entered of this while it was another place. @param {string} about @param {Act} act */
export function changed(about, act) {
  return act.before(about) ? said([act.words("yard_before_change")], "flag") : [];
}

/** Each line once. @param {(string | undefined)[]} lines @param {string} [style] */
export function said(lines, style = "") {
  return [...new Set(lines)].filter(Boolean).map((line) => tag("p", style ? { class: style } : {}, line ?? ""));
}

/** @param {{ok: boolean, say: string}} row */
export function verdict(row) {
  return tag("p", { class: row.ok ? "fits" : "not" }, row.say);
}

/** A part of a card that opens; it stays open when the card is drawn anew, and where entries disagree in it. @param {string} key @param {string} title @param {...Node} children */
export function fold(key, title, ...children) {
  const disputed = children.some((child) => /** @type {HTMLElement} */ (child).matches?.(".conflict") || /** @type {HTMLElement} */ (child).querySelector?.(".conflict"));
  return tag("details", { "data-key": key, ...(disputed ? { open: "" } : {}) }, tag("summary", {}, title), ...children);
}

/** Two phones that say different things: both are shown, and somebody chooses. @param {string} about @param {string} field @param {string} what @param {Act} act @param {(value: any) => string} show @param {object} [more] */
export function conflictOf(about, field, what, act, show, more = {}) {
  const state = act.state(about, field);
  if (!state?.conflict) return [];
  const key = field.replace(/^[^.]*\./, "").replace(/@.*$/, "");
  const choices = state.said.map((one) => button(`${one.value === null ? act.words("yard_taken_back") : show(one.value)} (${one.who})`, () => act.put(about, what, { [key]: one.value, ...more })));
  return [tag("div", { class: "conflict", role: "alert" }, tag("p", {}, act.words("yard_conflict")), ...choices)];
}

/** @param {string} about @param {string} text @param {string} done @param {Act} act @param {string} [wait] why nobody should be that far yet */
export function tick(about, text, done, act, wait = "") {
  const state = act.state(about, "done");
  const set = Boolean(state?.value);
  return tag("div", { class: "tick" }, ...conflictOf(about, "done", "done", act, (value) => (value ? done : act.words("yard_open"))),
    button(set ? done : text, async () => (set || !wait || (await act.waits(wait))) && act.put(about, "done", { done: !set }), { class: "huge", "aria-pressed": String(set) }));
}

/**
 * @typedef {object} Reading
 * @property {string} about
 * @property {string} what
 * @property {string} field
 * @property {string} title
 * @property {{ticks?: number | null, rows?: any[]}} table
 * @property {string} [string] the string it was measured from, where it is not the first
 * @property {number} [zero] marks that are taken off before it is kept: a difference is kept, not the reading
 * @property {boolean} [inches] counted in inches alone, as its plan is printed
 * @property {(ticks: number) => any[]} [judge] rows that say what becomes of a reading
 */

/** A number read off the tape, judged at once by the rows of a table. @param {Reading} wanted @param {Act} act */
export function reading({ about, what, field, title, table, string = "", zero = 0, inches = false, judge }, act) {
  const { words } = act;
  const units = inches && act.pack.units.style === "feet-inches" ? { ...act.pack.units, style: "inches" } : act.pack.units;
  const more = string ? { string } : {};
  const state = act.state(about, `${what}.${field}${string ? `@${string}` : ""}`);
  const judged = judge ?? ((ticks) => [rowOf(table.rows ?? [], ticks)].filter(Boolean));
  const out = tag("div", { class: "verdict", "aria-live": "polite" });
  /** @type {number | null} */
  let ticks = null;
  const keep = button(words("yard_keep"), async () => {
    if (ticks !== null) await act.put(about, what, { [field]: (ticks - zero) * units.tick_m, ...more });
  }, { class: "wide", disabled: "" });
  let read = /** @type {number | null} */ (null);
  let before = false;
  const pad = keypad(units, words, (value) => judgeIt((read = value)), table.ticks ?? null);
  const flip = button(words("yard_before_zero"), () => {
    before = !before;
    flip.setAttribute("aria-pressed", String(before));
    judgeIt(read);
  }, { class: "wide", "aria-pressed": "false" });

  /** @param {number | null} marks as typed; before the zero of the tape where that is pressed */
  function judgeIt(marks) {
    const value = marks !== null && before ? -marks : marks;
    const most = Math.floor(MOST[field] / units.tick_m + 1e-6);
    const far = value !== null && Math.abs(value - zero) > most;
    ticks = far ? null : value;
    keep.toggleAttribute("disabled", ticks === null);
    pad.toggleAttribute("data-dirty", value !== null);
    if (far) out.replaceChildren(verdict({ ok: false, say: words("yard_too_much", { most: tapeText(units, most + zero) }) }));
    else out.replaceChildren(...(value === null ? [] : judged(value).map(verdict)));
  }
  const text = (/** @type {number} */ value) => signedText(units, ticksOf(units, value) + zero);
  /** @type {Node[]} */
  const earlier = [];
  if (state && state.value !== null) {
    earlier.push(tag("p", { class: "last" }, words("yard_last", { what: text(state.value) }), " ", button(words("yard_take_back"), () => act.put(about, what, { [field]: null, ...more }), { class: "small" })));
    earlier.push(...judged(ticksOf(units, state.value) + zero).map(verdict));
  }
  return tag("section", { class: "reading", "aria-label": title }, tag("h3", {}, title), ...conflictOf(about, `${what}.${field}${string ? `@${string}` : ""}`, what, act, text, more), ...earlier, pad, ...(judge && zero < NEAR_ZERO ? [flip] : []), out, keep);
}

/** Notes and photos of anything. @param {string} about @param {Act} act */
export function remarks(about, act) {
  const { words } = act;
  const box = /** @type {HTMLTextAreaElement} */ (tag("textarea", { rows: "2", "aria-label": words("yard_note"), maxlength: "2000" }));
  const keep = button(words("yard_keep_note"), async () => {
    const text = box.value.trim();
    if (!text) return;
    box.value = "";
    await act.put(about, "note", { text });
  }, { class: "wide" });
  const notes = act.kept(about, "note").map((entry) => tag("li", {}, `${entry.value.text} (${entry.who})`));
  const photos = act.kept(about, "photo");
  const shown = photos.map((entry) => {
    const picture = /** @type {HTMLImageElement} */ (tag("img", { alt: words("yard_photo_by", { who: entry.who }), loading: "lazy" }));
    act.photo(entry.value.photo).then((address) => (address ? (picture.src = address) : picture.replaceWith(tag("p", {}, words("yard_photo_away", { who: entry.who })))));
    return picture;
  });
  return fold("remarks", words("yard_remarks", { notes: String(notes.length), photos: String(photos.length) }),
    ...(notes.length ? [tag("ul", {}, ...notes)] : []), box, keep, camera(about, act), tag("div", { class: "photos" }, ...shown));
}

/** @param {string} about @param {Act} act */
function camera(about, act) {
  const pick = /** @type {HTMLInputElement} */ (tag("input", { type: "file", accept: "image/*", capture: "environment", class: "hidden" }));
  pick.addEventListener("change", async () => {
    const file = pick.files?.[0];
    pick.value = "";
    if (!file) return;
    const small = await reduced(file);
    if (!small) return act.tell(act.words("yard_no_picture"));
    await act.put(about, "photo", {}, small.blob);
    if (!small.printed) act.tell(act.words("yard_no_picture_kind"));
  });
  return tag("label", { class: "photo" }, tag("span", {}, act.words("yard_photo")), pick);
}

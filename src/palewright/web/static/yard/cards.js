/**
 * One thing at a time, its biggest number first: a hole, a check, a gate, a run. Every sentence comes ready in the pack.
 * @typedef {object} Act
 * @property {(about: string, what: string, value: object, photo?: Blob) => Promise<void>} put
 * @property {(about: string, field: string) => {value: any, conflict: boolean, said: {value: any, who: string, made: string}[]} | undefined} state
 * @property {(about: string, what: string) => any[]} kept
 * @property {(key: string, values?: Record<string, string>) => string} words
 * @property {any} pack
 */

import { tag } from "../shared/dom.js";
import { keypad, rowOf } from "./reading.js";

/** @param {string} text @param {() => unknown} run @param {Record<string, string>} [attributes] */
export function button(text, run, attributes = {}) {
  const made = /** @type {HTMLButtonElement} */ (tag("button", { type: "button", ...attributes }, text));
  made.addEventListener("click", async () => {
    if (made.disabled) return;
    made.disabled = true;
    try {
      await run();
    } finally {
      made.disabled = false;
    }
  });
  return made;
}

/** @param {string[]} lines @param {string} [style] */
const said = (lines, style = "") => lines.filter(Boolean).map((line) => tag("p", { class: style }, line));

/** @param {any} hole @param {Act} act */
export function holeCard(hole, act) {
  const { words } = act;
  const card = tag("article", { class: `card${hole.hand ? " hand" : ""}` });
  card.append(
    tag("h2", {}, hole.title),
    tag("p", { class: "reads" }, hole.reads),
    ...said([hole.rezero, hole.gap], "where"),
    tag("p", { class: "size" }, hole.hole, " ", tag("small", {}, hole.dig)),
    tick(hole.about, act),
    ...said([hole.post, hole.also, hole.wait, ...hole.near]),
  );
  const limits = hole.move.map((/** @type {any} */ one) => tag("p", { class: "limit" }, tag("strong", {}, one.big), " ", one.small));
  card.append(tag("details", {}, tag("summary", {}, words("yard_may_move")), ...limits, ...moved(hole, act)));
  card.append(measured(hole, act));
  card.append(remarks(hole.about, act));
  return card;
}

/** @param {string} about @param {Act} act */
function tick(about, act) {
  const state = act.state(about, "done");
  const row = tag("div", { class: "tick" });
  row.append(conflictOf(about, "done", "done", act, (value) => act.words(value ? "yard_done" : "yard_open")));
  row.append(button(act.words(state?.value ? "yard_done" : "yard_tick"), () => act.put(about, "done", { done: !state?.value }), { class: "huge", "aria-pressed": String(Boolean(state?.value)) }));
  return row;
}

/** Two phones that say different things: both are shown, and somebody chooses. @param {string} about @param {string} field @param {string} what @param {Act} act @param {(value: any) => string} show */
function conflictOf(about, field, what, act, show) {
  const state = act.state(about, field);
  if (!state?.conflict) return tag("span", {});
  const key = field.includes(".") ? field.slice(field.indexOf(".") + 1) : field;
  const choices = state.said.map((one) => button(`${show(one.value)} (${one.who})`, () => act.put(about, what, { [key]: one.value })));
  return tag("div", { class: "conflict", role: "alert" }, tag("p", {}, act.words("yard_conflict")), ...choices);
}

/** Where the post stands instead: pick the place, read at once what becomes of the bays. @param {any} hole @param {Act} act */
function moved(hole, act) {
  const { words, pack } = act;
  if (!hole.moved?.rows?.length) return said([words("yard_fixed")]);
  const state = act.state(hole.about, "moved.along_m");
  const out = tag("div", { class: "verdict", "aria-live": "polite" });
  let why = "rock";
  let at = 0;
  const rows = hole.moved.rows;
  const middle = Math.max(0, rows.findIndex((/** @type {any} */ row) => row.at === 0));
  const slider = /** @type {HTMLInputElement} */ (tag("input", { type: "range", min: "0", max: String(rows.length - 1), value: String(middle), step: "1", "aria-label": words("yard_moved_by") }));
  const show = () => {
    const row = rows[Number(slider.value)];
    at = row.at;
    const verdicts = pack.bays.filter((/** @type {any} */ bay) => bay.ends.includes(hole.about)).map((/** @type {any} */ bay) => rowOf(bay.ranges, net(bay, hole, at, act))).filter(Boolean);
    const own = rowOf(hole.moved.ranges ?? [], at);
    const all = [...(own ? [own] : []), ...verdicts];
    const lengths = row.bays.map((/** @type {any} */ bay) => `${bay.about}: ${bay.length}`);
    out.replaceChildren(tag("p", { class: "big" }, row.label), ...said(lengths), ...all.map((one) => tag("p", { class: one.ok ? "fits" : "not" }, one.say)));
  };
  slider.addEventListener("input", show);
  const step = (/** @type {number} */ by) => {
    slider.value = String(Math.min(rows.length - 1, Math.max(0, Number(slider.value) + by)));
    show();
  };
  const reasons = pack.trouble.map((/** @type {any} */ one) => {
    const made = button(words(`yard_why_${one.why}`), () => {
      why = one.why;
      for (const other of picks.children) other.setAttribute("aria-pressed", String(other === made));
      advice.replaceChildren(...said(one.say));
    }, { "aria-pressed": String(one.why === why) });
    return made;
  });
  const picks = tag("div", { class: "row" }, ...reasons);
  const advice = tag("div", {}, ...said(pack.trouble.find((/** @type {any} */ one) => one.why === why)?.say ?? []), ...said(hole.moved.rock ?? []));
  show();
  const now = state?.value ? rows.find((/** @type {any} */ row) => Math.abs(row.along_m - state.value) < 1e-6)?.label : "";
  return [
    conflictOf(hole.about, "moved.along_m", "moved", act, (value) => rows.find((/** @type {any} */ row) => Math.abs(row.along_m - (value ?? 0)) < 1e-6)?.label ?? String(value)),
    ...said([now ? words("yard_stands", { where: now }) : ""]),
    tag("div", { class: "row" }, button("−", () => step(-1), { class: "huge", "aria-label": hole.minus }), slider, button("+", () => step(1), { class: "huge", "aria-label": hole.plus })),
    tag("div", { class: "row ends" }, tag("small", {}, hole.minus), tag("small", {}, hole.plus)),
    out, picks, advice,
    button(words("yard_keep_place"), () => act.put(hole.about, "moved", { along_m: rows[Number(slider.value)].along_m, why }), { class: "wide" }),
  ];
}

/** Ticks by which a bay grows when this end stands at a place and the other where it was last said to stand. @param {any} bay @param {any} hole @param {number} at @param {Act} act */
function net(bay, hole, at, act) {
  return bay.ends.reduce((/** @type {number} */ sum, /** @type {string} */ end, /** @type {number} */ k) => {
    const ticks = end === hole.about ? at : Math.round((act.state(end, "moved.along_m")?.value ?? 0) / act.pack.units.tick_m);
    return sum + bay.signs[k] * ticks;
  }, 0);
}

/** @param {any} hole @param {Act} act */
function measured(hole, act) {
  const parts = [["offset_m", hole.offset, "yard_offset"], ["depth_m", hole.depth, "yard_depth"]].filter(([, one]) => one?.rows?.length);
  const forms = parts.map(([field, table, key]) => reading(hole.about, "measured", field, table, act.words(key), act));
  return tag("details", {}, tag("summary", {}, act.words("yard_measured")), ...forms);
}

/** A number read off the tape, judged at once by the rows of a table. @param {string} about @param {string} what @param {string} field @param {{text?: string, rows: any[]}} table @param {string} title @param {Act} act */
export function reading(about, what, field, table, title, act) {
  const { words, pack } = act;
  const state = act.state(about, what === "checked" || what === "gap" || what === "length" ? `${what}.${field}` : `${what}.${field}`);
  const out = tag("p", { class: "verdict", "aria-live": "polite" });
  /** @type {number | null} */
  let ticks = null;
  const keep = button(words("yard_keep"), async () => {
    if (ticks !== null) await act.put(about, what, { [field]: ticks * pack.units.tick_m });
  }, { class: "wide" });
  keep.toggleAttribute("disabled", true);
  const pad = keypad(pack.units, words, (value) => {
    ticks = value;
    keep.toggleAttribute("disabled", value === null);
    const row = value === null ? undefined : rowOf(table.rows, value);
    out.textContent = row?.say ?? "";
    out.className = `verdict ${row ? (row.ok ? "fits" : "not") : ""}`;
  });
  const held = state?.value !== null && state?.value !== undefined;
  const before = held ? rowOf(table.rows, Math.round(state.value / pack.units.tick_m)) : undefined;
  return tag("section", { class: "reading" }, tag("h3", {}, title), ...said([table.text ?? "", before ? words("yard_last", { what: before.say }) : ""]),
    conflictOf(about, `${what}.${field}`, what, act, (value) => rowOf(table.rows, Math.round((value ?? 0) / pack.units.tick_m))?.say ?? ""), pad, out, keep);
}

/** @param {string} about @param {Act} act */
export function remarks(about, act) {
  const { words } = act;
  const box = /** @type {HTMLTextAreaElement} */ (tag("textarea", { rows: "2", "aria-label": words("yard_note"), maxlength: "2000" }));
  const keep = button(words("yard_keep_note"), async () => {
    if (box.value.trim()) await act.put(about, "note", { text: box.value.trim() });
  });
  const pick = /** @type {HTMLInputElement} */ (tag("input", { type: "file", accept: "image/*", capture: "environment", "aria-label": words("yard_photo") }));
  pick.addEventListener("change", async () => {
    const file = pick.files?.[0];
    if (file) await act.put(about, "photo", {}, file);
  });
  const notes = act.kept(about, "note").map((entry) => tag("li", {}, `${entry.value.text} (${entry.who})`));
  const photos = act.kept(about, "photo").length;
  return tag("details", {}, tag("summary", {}, words("yard_remarks", { notes: String(notes.length), photos: String(photos) })), tag("ul", {}, ...notes), box, keep, tag("label", { class: "photo" }, words("yard_photo"), pick));
}

/** @param {any} check @param {Act} act */
export function checkCard(check, act) {
  return tag("article", { class: "card" }, tag("h2", {}, check.title), tag("p", { class: "reads" }, check.expect), ...said([check.do, check.tolerance, check.known]),
    reading(check.about, "checked", "reads_m", check, act.words("yard_reads"), act), remarks(check.about, act));
}

/** @param {any} gate @param {Act} act */
export function gateCard(gate, act) {
  const parts = [tag("h2", {}, gate.title), tag("p", { class: "reads" }, gate.opening), ...said(gate.lines ?? [])];
  if (gate.clear) parts.push(reading(gate.about, "gate", "clear_m", gate.clear, act.words("yard_clear"), act));
  if (gate.latch) parts.push(reading(gate.about, "gate", "latch_m", gate.latch, act.words("yard_latch"), act));
  return tag("article", { class: "card" }, ...parts, remarks(gate.about, act));
}

/** @param {any} run @param {Act} act */
export function runCard(run, act) {
  const parts = [tag("h2", {}, run.title), tag("p", { class: "reads" }, run.length), ...said([run.signed])];
  parts.push(reading(run.about, "length", "built_m", run.built ?? { rows: [], text: "" }, act.words("yard_built"), act));
  if (run.gap?.rows?.length) parts.push(reading(run.about, "gap", "worst_m", run.gap, act.words("yard_gap"), act));
  return tag("article", { class: "card" }, ...parts, remarks(run.about, act));
}

/** @param {Act} act */
export function locateCard(act) {
  const { locate } = act.pack;
  return tag("article", { class: `card${locate.dig ? "" : " stop"}` }, tag("h2", {}, locate.head),
    ...said([locate.ticket, locate.called_on, locate.legal_from, locate.expires, ...(locate.lines ?? []), ...(locate.members ?? [])]),
    ...said(act.pack.flags ?? [], "flag"), ...said(act.pack.notes ?? []), tag("ol", {}, ...(act.pack.order ?? []).map((/** @type {string} */ line) => tag("li", {}, line))),
    ...said(act.pack.cautions ?? [], "caution"));
}

/** @param {Act} act */
export function lastCard(act) {
  const { words } = act;
  const name = /** @type {HTMLInputElement} */ (tag("input", { autocomplete: "off", "aria-label": words("yard_owner_name") }));
  const number = /** @type {HTMLInputElement} */ (tag("input", { autocomplete: "off", "aria-label": words("yard_ticket") }));
  const ticket = act.state("job", "ticket.closed");
  const signed = act.state("job", "signed.name");
  return tag("article", { class: "card" }, tag("h2", {}, words("yard_last_card")),
    tag("h3", {}, words("yard_ticket")), ...said([ticket?.value ? words("yard_ticket_closed") : ""]), number,
    button(words("yard_close_ticket"), () => act.put("job", "ticket", { closed: true, number: number.value.trim() })),
    tag("h3", {}, words("yard_signed")), ...said([signed?.value ?? ""]), name,
    button(words("yard_sign"), async () => { if (name.value.trim()) await act.put("job", "signed", { name: name.value.trim() }); }),
    remarks("job", act));
}

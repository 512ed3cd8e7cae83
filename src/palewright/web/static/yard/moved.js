/** Where a post stands instead: pick the place, read at once what becomes of its bays. */

import { tag } from "../shared/dom.js";
import { button, conflictOf, said, verdict } from "./parts.js";
import { rowOf, signedText, tapeText, ticksOf } from "./reading.js";

/** How far a post stands off along its string, in marks: as measured, else as it was said to be moved. @param {string} about @param {import("./parts.js").Act} act */
export function standsAt(about, act) {
  const metres = act.state(about, "measured.back_m")?.value ?? act.state(about, "moved.along_m")?.value ?? 0;
  return ticksOf(act.pack.units, metres);
}

/** Whether somebody said where a post stands along its string. @param {string} about @param {import("./parts.js").Act} act */
export function isMeasured(about, act) {
  return ["measured.back_m", "moved.along_m"].some((field) => (act.state(about, field)?.value ?? null) !== null);
}

/** A place along the string in words, as the plan says it where it knows the place. @param {any} hole @param {number} at @param {import("./parts.js").Act} act */
export function placeText(hole, at, act) {
  const row = hole.moved.rows.find((/** @type {any} */ one) => one.at === at);
  return row?.label ?? `${tapeText(act.pack.units, Math.abs(at))} ${at > 0 ? hole.plus : hole.minus}`;
}

/** What the tape reads at a post that stands elsewhere than planned; "" where it does not, or nobody said. @param {any} hole @param {import("./parts.js").Act} act */
export function readsNow(hole, act) {
  const at = hole.moved && isMeasured(hole.about, act) ? standsAt(hole.about, act) : 0;
  return at ? signedText(act.pack.units, hole.ticks + at) : "";
}

/** What does not fit at a post as it and the posts beside it stand. @param {any} hole @param {import("./parts.js").Act} act */
export function wrongNow(hole, act) {
  const changed = isMeasured(hole.about, act) || [...act.pack.bays, ...act.pack.gates].some((/** @type {any} */ one) => one.ends?.includes(hole.about) && net(one, "", 0, act));
  return changed ? alongRows(hole, standsAt(hole.about, act), act).filter((/** @type {any} */ row) => !row.ok) : [];
}

/** How far a post is from the one before on its string: as planned, and where one of the two stands elsewhere, as they stand. @param {any} hole @param {any} on the hole as its string has it @param {string | undefined} before @param {import("./parts.js").Act} act */
export function gapText(hole, on, before, act) {
  if (!on.gap) return "";
  const { words, pack } = act;
  const bay = pack.bays.find((/** @type {any} */ one) => one.ends.includes(hole.about) && one.ends.includes(before));
  if (bay && bay.length === on.gap) {
    const by = net(bay, "", 0, act);
    return by ? words("yard_from_before_now", { now: tapeText(pack.units, Math.max(0, bay.length_ticks + by)), gap: on.gap }) : words("yard_from_before", { gap: on.gap });
  }
  const elsewhere = [hole.about, before ?? ""].some((about) => standsAt(about, act));
  return words(elsewhere ? "yard_from_before_planned" : "yard_from_before", { gap: on.gap });
}

/** Marks by which a post was measured away from its first string; at a corner the next bay grows or shrinks by them. @param {string} about @param {import("./parts.js").Act} act */
function asideAt(about, act) {
  const metres = act.state(about, "measured.offset_m")?.value ?? null;
  const hole = metres === null ? null : act.pack.holes.find((/** @type {any} */ one) => one.about === about);
  return hole ? ticksOf(act.pack.units, metres) - hole.offset.ticks : 0;
}

/** Marks by which a bay grows when one end stands at a place and the other where it was last said to stand. @param {any} bay @param {string} about @param {number} at @param {import("./parts.js").Act} act */
export function net(bay, about, at, act) {
  const grows = (/** @type {string} */ end, /** @type {number} */ k) => bay.signs[k] * (end === about ? at : standsAt(end, act)) + (bay.away?.[k] ? bay.away[k] * asideAt(end, act) : 0);
  return Math.round(grows(bay.ends[0], 0) + grows(bay.ends[1], 1));
}

/** Bays whose posts stand elsewhere than planned. @param {any} pack @param {import("./parts.js").Act} act @returns {any[]} */
export function changedBays(pack, act) {
  return pack.bays.filter((/** @type {any} */ bay) => net(bay, "", 0, act) !== 0 || act.state(bay.about, "panel.remade"));
}

/** What becomes of the bays of a post that stands so many marks off; the posts beside it stand where they were last said to. @param {any} hole @param {number} at @param {import("./parts.js").Act} act */
export function alongRows(hole, at, act) {
  const bays = act.pack.bays.filter((/** @type {any} */ bay) => bay.ends.includes(hole.about));
  const rowsAt = (/** @type {number} */ k) => [...bays.map((/** @type {any} */ bay) => rowOf(bay.ranges, net(bay, hole.about, k, act))).filter(Boolean), ...gateRows(hole, k, act)];
  if (hole.fixed) return rowsAt(at);
  if (bays.some((/** @type {any} */ bay) => net(bay, hole.about, 0, act))) return besideMoved(hole, at, rowsAt, act);
  const own = rowOf(hole.moved.ranges, at);
  return own ? [own, ...rowsAt(at).filter((/** @type {any} */ row) => row.ok)] : rowsAt(at);
}

/** The opening of a gate between posts that stand elsewhere than planned. @param {any} hole @param {number} at @param {import("./parts.js").Act} act */
function gateRows(hole, at, act) {
  const gates = act.pack.gates.filter((/** @type {any} */ gate) => gate.ends?.includes(hole.about) && net(gate, hole.about, at, act));
  return gates.map((/** @type {any} */ gate) => {
    const opening = gate.clear.ticks + net(gate, hole.about, at, act);
    const row = rowOf(gate.clear.rows, opening);
    return { ok: row?.ok ?? true, say: `${act.words("yard_gate_then", { gate: gate.title, clear: tapeText(act.pack.units, Math.max(0, opening)) })} ${row?.say ?? ""}` };
  });
}

/** The same where a post beside it stands elsewhere than planned: the rows of the plan say nothing then. @param {any} hole @param {number} at @param {(at: number) => any[]} rowsAt @param {import("./parts.js").Act} act */
function besideMoved(hole, at, rowsAt, act) {
  const fits = (/** @type {number} */ k) => [rowOf(hole.moved.place, k), ...rowsAt(k)].every((row) => row?.ok);
  const ground = rowOf(hole.moved.place, at);
  const rows = [...(ground?.say ? [ground] : []), ...rowsAt(at)];
  if (fits(at)) return rows;
  const reach = hole.moved.rows[hole.moved.rows.length - 1].at;
  const places = Array.from({ length: 2 * reach + 1 }, (_, k) => k - reach).filter(fits).sort((a, b) => Math.abs(a - at) - Math.abs(b - at));
  const planned = hole.moved.rows.find((/** @type {any} */ row) => row.at === 0).label;
  const where = places.length && places[0] ? `${tapeText(act.pack.units, Math.abs(places[0]))} ${places[0] > 0 ? hole.plus : hole.minus}` : planned;
  return [...rows, { ok: false, say: places.length ? act.words("yard_beside_fits", { where }) : act.words("yard_beside_none") }];
}

/** How long a bay is then: as the plan says, or counted on from there where the post at its other end stands elsewhere. @param {any} row @param {any} hole @param {number} at @param {import("./parts.js").Act} act */
function lengthLine(row, hole, at, act) {
  const bay = act.pack.bays.find((/** @type {any} */ one) => one.about === row.about);
  if (!bay) return "";
  const beside = net(bay, hole.about, 0, act);
  const planned = hole.moved.rows.some((/** @type {any} */ one) => one.at === at);
  return `${bay.title}: ${beside || !planned ? tapeText(act.pack.units, bay.length_ticks + net(bay, hole.about, at, act)) : row.length}`;
}

/** @param {any} hole @param {import("./parts.js").Act} act @returns {Node[]} */
export function moved(hole, act) {
  const { words, pack } = act;
  const limits = hole.move.map((/** @type {any} */ one) => tag("p", { class: "limit" }, tag("strong", {}, one.big), " ", one.small));
  let why = "rock";
  const advice = tag("div", {});
  const picks = tag("div", { class: "four" });
  const advise = () => {
    for (const one of picks.children) one.setAttribute("aria-pressed", String(one.getAttribute("data-why") === why));
    const found = pack.trouble.find((/** @type {any} */ one) => one.why === why);
    advice.replaceChildren(...said([...(found?.say ?? []), ...(why === "rock" ? hole.moved.rock : [])]));
  };
  picks.append(...pack.trouble.map((/** @type {any} */ one) => button(words(`yard_why_${one.why}`), () => {
    why = one.why;
    advise();
  }, { "data-why": one.why })));
  advise();
  if (hole.fixed) return [...limits, picks, advice];
  return [...limits, ...stood(hole, act), ...slider(hole, act, () => why), picks, advice];
}

/** @param {any} hole @param {import("./parts.js").Act} act */
function stood(hole, act) {
  const label = (/** @type {any} */ value) => placeText(hole, ticksOf(act.pack.units, value ?? 0), act);
  return [...conflictOf(hole.about, "moved.along_m", "moved", act, label), ...standsNow(hole, act)];
}

/** Where a post stands as it was last said, and what the tape reads there. @param {any} hole @param {import("./parts.js").Act} act */
export function standsNow(hole, act) {
  if (!hole.moved || !isMeasured(hole.about, act)) return [];
  const at = standsAt(hole.about, act);
  const reads = readsNow(hole, act);
  return said([act.words("yard_stands", { where: placeText(hole, at, act) }) + (reads ? `. ${act.words("yard_reads_there", { reads })}` : "")], "last");
}

/** @param {any} hole @param {import("./parts.js").Act} act @param {() => string} why @returns {Node[]} */
function slider(hole, act, why) {
  const { words } = act;
  const rows = hole.moved.rows;
  const stands = standsAt(hole.about, act);
  // it begins where the post stands, which may lie between two steps
  let at = stands;
  const nearest = rows.reduce((/** @type {number} */ best, /** @type {any} */ row, /** @type {number} */ k) => (Math.abs(row.at - at) < Math.abs(rows[best].at - at) ? k : best), 0);
  const range = /** @type {HTMLInputElement} */ (tag("input", { type: "range", min: "0", max: String(rows.length - 1), value: String(nearest), step: "1", "aria-label": words("yard_moved_by") }));
  const out = tag("div", { class: "verdict", "aria-live": "polite" });
  const show = () => {
    const label = placeText(hole, at, act);
    range.setAttribute("aria-valuetext", label);
    range.toggleAttribute("data-dirty", at !== stands);
    const lengths = rows[Number(range.value)].bays.map((/** @type {any} */ one) => lengthLine(one, hole, at, act));
    const reads = words("yard_reads_there", { reads: signedText(act.pack.units, hole.ticks + at) });
    out.replaceChildren(tag("p", { class: "big" }, label), ...said([reads], "near"), ...alongRows(hole, at, act).map(verdict), ...said(lengths));
  };
  const chosen = () => {
    at = rows[Number(range.value)].at;
    show();
  };
  const step = (/** @type {number} */ by) => {
    range.value = String(Math.min(rows.length - 1, Math.max(0, Number(range.value) + by)));
    chosen();
  };
  range.addEventListener("input", chosen);
  show();
  return [
    tag("div", { class: "row slide" }, button("−", () => step(-1), { class: "huge", "aria-label": hole.minus }), range, button("+", () => step(1), { class: "huge", "aria-label": hole.plus })),
    tag("div", { class: "row ends" }, tag("small", {}, hole.minus), tag("small", {}, hole.plus)),
    out,
    button(words("yard_keep_place"), async () => {
      range.removeAttribute("data-dirty");
      // where it stands is said once: what was said of it before, the other way, is taken back
      const said = (/** @type {string} */ field) => (({ conflict, value }) => conflict || value !== null)(act.state(hole.about, field) ?? { conflict: false, value: null });
      if (!at) {
        if (said("moved.along_m")) await act.put(hole.about, "moved", { along_m: null });
        await act.put(hole.about, "measured", { back_m: 0 });
      } else {
        if (said("measured.back_m")) await act.put(hole.about, "measured", { back_m: null });
        await act.put(hole.about, "moved", { along_m: at * act.pack.units.tick_m, why: why() });
      }
    }, { class: "wide" }),
  ];
}

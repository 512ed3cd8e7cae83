/**
 * What is measured and closed before the crew leaves: gates, runs, panels to cut anew, the ticket, the owner's name.
 * @typedef {import("./parts.js").Act} Act
 */

import { tag } from "../shared/dom.js";
import { leftOver } from "./marks.js";
import { isMeasured, net } from "./moved.js";
import { big, button, changed, conflictOf, fold, reading, remarks, said, verdict } from "./parts.js";
import { rowOf, tapeText } from "./reading.js";
import { signing } from "./signing.js";

/** So many posts that are not ticked are named one by one. */
const NAMED = 12;

/** @param {any} gate @param {Act} act */
export function gateCard(gate, act) {
  const { words } = act;
  const latch = gate.latch.text ? words("yard_latch_least", { height: gate.latch.text }) : words("yard_latch");
  return tag("article", { class: "card" }, tag("h2", {}, gate.title), ...said([gate.between]), ...said([words("yard_clear")], "what"), big(gate.opening), ...said([gate.leaf, ...(gate.lines ?? [])]),
    reading({ about: gate.about, what: "gate", field: "clear_m", title: words("yard_clear"), table: gate.clear }, act),
    reading({ about: gate.about, what: "gate", field: "latch_m", title: latch, table: gate.latch }, act), remarks(gate.about, act));
}

/** @param {any} run @param {Act} act */
export function runCard(run, act) {
  const { words } = act;
  const signed = run.signed ? words("yard_signed_for", { length: run.signed }) : words("yard_planned");
  const gap = run.gap.text ? words("yard_gap_most", { most: run.gap.text }) : words("yard_gap");
  return tag("article", { class: "card" }, tag("h2", {}, run.title), ...said([signed]), big(run.signed || run.length), ...said([run.signed ? words("yard_planned_is", { length: run.length }) : ""]),
    reading({ about: run.about, what: "length", field: "built_m", title: words("yard_built"), table: run.built }, act),
    reading({ about: run.about, what: "gap", field: "worst_m", title: gap, table: { rows: run.gap.rows } }, act), remarks(run.about, act));
}

/** A bay that is not as planned: what is cut to it, how wide, and whether that was done; nothing where a panel cannot reach. @param {any} bay @param {Act} act */
export function bayCard(bay, act) {
  const { words, pack } = act;
  const by = net(bay, "", 0, act);
  const clear = bay.clear_ticks + by;
  const row = rowOf(bay.ranges, by);
  const fits = row?.ok ?? true;
  const remade = act.state(bay.about, "panel.remade");
  const set = Boolean(remade?.value);
  const holes = bay.ends.map((/** @type {string} */ end) => pack.holes.find((/** @type {any} */ one) => one.about === end)).filter(Boolean);
  const taken = holes.filter((/** @type {any} */ hole) => !isMeasured(hole.about, act)).map((/** @type {any} */ hole) => words("yard_taken_as_planned", { post: hole.title }));
  const parts = [tag("h2", {}, bay.title), ...changed(bay.about, act), ...said([words("yard_clear_now")]), big(tapeText(pack.units, Math.max(0, clear))), ...said([words("yard_planned_is", { length: bay.clear }), words("yard_centres_now", { now: tapeText(pack.units, Math.max(0, bay.length_ticks + by)), length: bay.length }), fits || set ? bay.panel : ""]), ...said(taken, "near"), ...(row ? [verdict(row)] : [])];
  if (bay.cut === "panel" && (fits || set || remade?.conflict)) {
    parts.push(...conflictOf(bay.about, "panel.remade", "panel", act, (value) => (value ? words("yard_remade") : words("yard_not_remade"))),
      button(set ? words("yard_remade") : words("yard_remake"), () => act.put(bay.about, "panel", { remade: !set }), { class: "wide huge", "aria-pressed": String(set) }),
      reading({ about: bay.about, what: "panel", field: "width_m", title: words("yard_width"), table: { ticks: Math.max(0, clear) } }, act));
  }
  return tag("article", { class: "card" }, ...parts, remarks(bay.about, act));
}

/** @param {Act} act */
export function closeCard(act) {
  const { words, pack } = act;
  const field = (/** @type {string} */ label, value = "") => /** @type {HTMLInputElement} */ (tag("input", { autocomplete: "off", "aria-label": label, maxlength: "120", value }));
  const ticket = field(words("yard_ticket_number"), act.state("job", "ticket.number")?.value || pack.locate.ticket || "");
  const closed = act.state("job", "ticket.closed");
  const set = Boolean(closed?.value);
  const { open, all, not, unread } = leftOver(act);
  const count = open.length + not.length + unread.length;
  const number = (/** @type {any[]} */ list) => ({ number: String(list.length) });
  const failed = not.length ? [verdict({ ok: false, say: words("yard_not_passed", number(not)) }), tag("ul", {}, ...not.map(({ title, say }) => tag("li", {}, ...(say[0].toLowerCase().includes(title.toLowerCase()) ? [] : [tag("strong", {}, title), ": "]), say.join(" "))))] : [];
  const missing = unread.length ? [fold("unread", words("yard_unread", number(unread)), tag("ul", {}, ...unread.map((title) => tag("li", {}, title))))] : [];
  const holes = words(pack.holes.length ? "yard_open_holes" : "yard_open_posts", { open: String(open.length), all: String(all) });
  const which = open.length && open.length <= NAMED ? `: ${open.join(", ")}` : "";
  return tag("article", { class: "card" }, tag("h2", {}, words("yard_last_card")), ...said([words(count ? "yard_left" : "yard_none_left")], "what"), big(count ? String(count) : "✓"), ...failed, ...said([holes + which]), ...missing,
    tag("section", { class: "reading" }, tag("h3", {}, words("yard_ticket")), ...conflictOf("job", "ticket.closed", "ticket", act, (value) => words(value ? "yard_ticket_closed" : "yard_open")),
      tag("label", { class: "stack" }, words("yard_ticket_number"), ticket),
      button(set ? words("yard_ticket_closed") : words("yard_close_ticket"), () => act.put("job", "ticket", { closed: !set, number: ticket.value.trim() }), { class: "wide huge", "aria-pressed": String(set) })),
    owner(act), remarks("job", act));
}

/** @param {Act} act */
function owner(act) {
  const { words } = act;
  const signed = act.state("job", "signed.name");
  const picture = act.state("job", "signed.photo")?.value;
  const name = /** @type {HTMLInputElement} */ (tag("input", { autocomplete: "off", maxlength: "120" }));
  const drawing = signing(words("yard_draw"), () => drawing.canvas.toggleAttribute("data-dirty", true));
  const sign = button(words("yard_sign"), async () => {
    const who = name.value.trim();
    if (!who) {
      act.tell(words("yard_name_first"));
      name.focus();
      return;
    }
    const png = await drawing.png();
    drawing.canvas.removeAttribute("data-dirty");
    name.value = "";
    await act.put("job", "signed", { name: who }, png ?? undefined);
  }, { class: "wide huge" });
  /** @type {Node[]} */
  const before = signed?.value ? [tag("p", { class: "last" }, words("yard_signed_by", { who: signed.value }))] : [];
  if (picture) {
    const shown = /** @type {HTMLImageElement} */ (tag("img", { class: "signature", alt: words("yard_signature_of", { who: signed?.value ?? "" }) }));
    act.photo(picture).then((address) => address && (shown.src = address));
    before.push(shown);
  }
  return tag("section", { class: "reading" }, tag("h3", {}, words("yard_signed")), ...said([words("yard_sign_note")]), ...conflictOf("job", "signed.name", "signed", act, String), ...before,
    tag("label", { class: "stack" }, words("yard_owner_name"), name), tag("p", {}, words("yard_draw")), drawing.canvas, button(words("yard_clear_drawing"), drawing.clear, { class: "small" }), sign);
}

/**
 * One thing at a time, its biggest number first: a hole, a check, a stretch of wire, the locate. Every sentence comes ready in the pack.
 * @typedef {import("./parts.js").Act} Act
 */

import { tag } from "../shared/dom.js";
import { alongRows, gapText, moved, standsNow, wrongNow } from "./moved.js";
import { stopText } from "./ticket.js";
import { big, changed, fold, reading, remarks, said, tick, verdict } from "./parts.js";

/** @param {any} hole @param {any} group the string that the crew works along @param {Act} act */
export function holeCard(hole, group, act) {
  const { words } = act;
  const on = hole.others.find((/** @type {any} */ one) => one.string === group.about) ?? hole;
  const before = group.holes[group.holes.indexOf(hole.about) - 1];
  const wait = hole.wait || stopText(act.pack.locate, words);
  const card = tag("article", { class: `card${hole.hand ? " hand" : ""}` });
  card.append(
    tag("h2", {}, hole.title, " ", tag("small", {}, hole.role)),
    ...changed(hole.about, act),
    ...said([words("yard_tape_reads")], "what"),
    big(on.reads),
    ...said([on.rezero, on.from_zero], "rezero"),
    ...standsNow(hole, act),
    ...wrongNow(hole, act).map(verdict),
    ...said([gapText(hole, on, before, act), on.gap_note], "where"),
    tag("p", { class: "size" }, tag("span", {}, hole.hole), " ", tag("strong", { class: "badge" }, hole.dig)),
    ...said(hole.near, "near"),
    tick(hole.about, words("yard_tick"), words("yard_done"), act, wait),
    ...said([words("yard_hole_centre", { centre: on.off || group.offset }), on.face_note || words("yard_post_face", { face: on.offset.text })], "off"),
    ...said([hole.post, hole.also, wait]),
    fold("moved", words("yard_may_move"), ...moved(hole, act)),
    measured(hole, on, act),
    remarks(hole.about, act),
  );
  return card;
}

/** @param {any} hole @param {any} on the hole as its string has it @param {Act} act */
function measured(hole, on, act) {
  const { words } = act;
  const about = hole.about;
  const string = on === hole ? "" : on.string.replace(/^string /, "");
  const forms = [];
  if (on === hole) {
    const judge = (/** @type {number} */ ticks) => alongRows(hole, ticks - hole.ticks, act);
    forms.push(reading({ about, what: "measured", field: "back_m", title: words("yard_along"), table: { ticks: hole.ticks }, zero: hole.ticks, judge }, act));
  }
  forms.push(reading({ about, what: "measured", field: "offset_m", title: words("yard_offset", { string: on.string.replace(/^string /, "") }), table: on.offset, string }, act));
  forms.push(reading({ about, what: "measured", field: "depth_m", title: words("yard_depth"), table: hole.depth, inches: true }, act));
  return fold("measured", words("yard_measured"), ...forms);
}

/** @param {any} check @param {Act} act */
export function checkCard(check, act) {
  return tag("article", { class: "card" }, tag("h2", {}, check.title, " ", tag("small", {}, act.words("yard_about_check", { name: check.number }))), ...changed(check.about, act), ...said([check.do]), big(check.expect), ...said([check.long], "near"), ...said([check.tolerance, check.known]),
    reading({ about: check.about, what: "checked", field: "reads_m", title: act.words("yard_reads"), table: check }, act), remarks(check.about, act));
}

/** A stretch of wire between two posts that are set first, with every line post of it. @param {any} stretch @param {Act} act */
export function stretchCard(stretch, act) {
  const rows = stretch.posts.map((/** @type {any} */ row) => tag("tr", {}, tag("th", { scope: "row", class: "whole" }, row.posts, " ", tag("small", {}, row.sort)), tag("td", {}, ...row.reads.split(" · ").flatMap((/** @type {string} */ one, /** @type {number} */ k) => [k ? " · " : "", tag("span", { class: "whole" }, one)]))));
  return tag("article", { class: "card" }, tag("h2", {}, stretch.title), ...said([act.words("yard_spacing")], "what"), big(stretch.reads), ...said([act.words("yard_station", { at: stretch.station })]), ...said([...stretch.lines, ...stretch.zones], "near"),
    ...(rows.length ? [tag("table", { class: "sofar" }, tag("caption", {}, stretch.tape), tag("tbody", {}, ...rows))] : []),
    tick(stretch.about, act.words("yard_tick_stretch"), act.words("yard_done_stretch"), act), remarks(stretch.about, act));
}

/** A post of a braced assembly, or one that is set first within a stretch. @param {any} post @param {Act} act */
export function wirePostCard(post, act) {
  const { words } = act;
  const wait = post.wait || stopText(act.pack.locate, words);
  const depth = post.depth ? [fold("measured", words("yard_measured"), reading({ about: post.about, what: "measured", field: "depth_m", title: words("yard_depth"), table: post.depth, inches: true }, act))] : [];
  return tag("article", { class: `card${post.hand ? " hand" : ""}` }, tag("h2", {}, post.title, " ", tag("small", {}, post.role)), ...said([words("yard_at_station")], "what"), big(post.reads),
    ...(post.hole ? [tag("p", { class: "size" }, post.hole)] : []), ...said(post.near, "near"), ...said(post.brace, "near"), ...said(post.set),
    tick(post.about, words("yard_tick"), words("yard_done"), act, wait), ...said([wait]), ...depth, remarks(post.about, act));
}

/** A run of wire as a whole: how it is worked. @param {any} run @param {Act} act */
export function wireCard(run, act) {
  return tag("article", { class: "card" }, tag("h2", {}, run.title), ...said([act.words("yard_planned")], "what"), big(run.length), tag("ol", {}, ...run.order.map((/** @type {string} */ line) => tag("li", {}, line))), ...said(run.lines), remarks(run.about, act));
}

/** @param {any} group a string or a run of wire @param {Act} act */
export function stringCard(group, act) {
  const zero = (group.zero ?? []).map((/** @type {any} */ one) => tag("p", {}, tag("strong", {}, `${one.label} `), one.value));
  const offs = [[act.words("yard_to_centre"), group.offset], ...(group.face ? [[act.words("yard_to_face"), group.face]] : [])];
  return tag("article", { class: "card" }, tag("h2", {}, group.title), ...said([group.posts, group.run]), ...offs.flatMap(([label, off]) => [...said([label]), big(off)]), ...zero, ...said(group.lines), remarks(group.about, act));
}

/** @param {Act} act */
export function locateCard(act) {
  const { locate, flags, notes, order, cautions } = act.pack;
  const items = [...(locate.said ?? []).map((/** @type {string} */ line) => tag("li", { class: "flag" }, line)), ...(locate.private ?? []).map((/** @type {string} */ line) => tag("li", {}, line))];
  const stop = stopText(locate, act.words);
  return tag("article", { class: `card${stop ? " stop" : ""}` }, tag("h2", {}, locate.head), ...(stop === locate.head ? [] : said([stop], "flag")), ...said(locate.lines ?? []), ...said(locate.members ?? []), ...said([locate.private_head]), tag("ul", {}, ...items), ...said([locate.never]),
    ...said(flags ?? [], "flag"), ...said(notes ?? []), tag("ol", {}, ...(order ?? []).map((/** @type {string} */ line) => tag("li", {}, line))), ...said(cautions ?? [], "warning"));
}

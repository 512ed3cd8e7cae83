/** The as-built sheet so far: what the office makes of the entries that have arrived. Words and numbers come from there. */

import { get, page } from "../shared/api.js";
import { tag } from "../shared/dom.js";
import { said } from "./parts.js";
import { now } from "./sync.js";

/** @param {import("./parts.js").Act} act @param {import("./box.js").Box} box */
export function sheetCard(act, box) {
  const { words } = act;
  const place = tag("div", { "aria-live": "polite" }, tag("p", {}, words("yard_loading")));
  fresh(act, box).then((kept) => place.replaceChildren(...(kept ? shown(kept, act) : said([words("yard_sheet_later")]))));
  return tag("article", { class: "card" }, tag("h2", {}, words("yard_sheet")), place);
}

/** From the office, else as it was last seen. @param {import("./parts.js").Act} act @param {import("./box.js").Box} box */
async function fresh(act, box) {
  const key = `sheet ${box.job} ${act.language}`;
  if (navigator.onLine) {
    try {
      const kept = { sheet: await get(`/jobs/${box.job}/asbuilt/sheet?lang=${act.language}`, AbortSignal.timeout(20_000)), at: now(), fresh: true };
      await box.putFact(key, { ...kept, fresh: false }).catch(() => {});
      return kept;
    } catch {
      // as it was last seen
    }
  }
  return box.fact(key, null);
}

/** @param {any} kept @param {import("./parts.js").Act} act @returns {Node[]} */
function shown({ sheet, at, fresh: isFresh }, act) {
  const { w } = sheet;
  const rows = sheet.posts.flatMap((/** @type {any} */ post) => [
    [`${post.post}`, w.col_reads, post.planned, post.reads, post.along || post.moved],
    [`${post.post}`, w.col_face, post.face, post.face_built, post.aside],
    [`${post.post}`, w.col_depth, post.needed, post.deep === w.not_measured ? "" : post.deep, ""],
  ]).filter((/** @type {string[]} */ row) => row[3] || row[4] === w.disputed);
  const gates = sheet.gates.map((/** @type {any} */ gate) => [gate.gate, "", gate.planned, gate.clear, gate.by]);
  const runs = sheet.runs.map((/** @type {any} */ run) => [run.run, run.against_what ?? "", run.against ?? run.planned, run.built, run.by]);
  const paper = isFresh
    ? tag("a", { class: "wide button", href: `/api/jobs/${page.job}/asbuilt.pdf?lang=${act.language}`, target: "_blank" }, act.words("yard_sheet_paper"))
    : tag("p", { class: "last" }, act.words("yard_sheet_at", { at: at.slice(0, 16).replace("T", " ") }));
  const open = sheet.open.length ? tag("ul", {}, ...sheet.open.map((/** @type {string} */ line) => tag("li", {}, line))) : tag("p", {}, w.nothing_open);
  return [tag("h3", {}, w.open), open, table(w.posts, [w.col_post, w.col_planned, w.col_built], rows, act.words("yard_sheet_none")),
    ...(gates.length ? [table(w.gates, [w.col_gate, w.col_planned, w.col_measured], gates)] : []), ...(runs.length ? [table(w.runs, [w.col_run, `${w.col_signed} / ${w.col_planned}`, w.col_built], runs)] : []), paper];
}

/** What, planned, built; the difference on a line of its own below. @param {string} title @param {string[]} head @param {string[][]} rows @param {string} [none] */
function table(title, head, rows, none = "") {
  if (!rows.length) return tag("section", {}, tag("h3", {}, title), tag("p", {}, none));
  const body = rows.map(([name, what, planned, built, by]) => tag("tr", {}, tag("th", { scope: "row" }, name, " ", tag("small", {}, what)), tag("td", {}, planned), tag("td", {}, built, ...(by ? [tag("small", {}, by)] : []))));
  return tag("table", { class: "sofar" }, tag("caption", {}, title), tag("thead", {}, tag("tr", {}, ...head.map((one) => tag("th", { scope: "col" }, one)))), tag("tbody", {}, ...body));
}

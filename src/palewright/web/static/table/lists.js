/**
 * What stands beside the drawing: figures, notices, tapes, everything that is there, and the chosen thing.
 * @typedef {import("./types.js").Sight} Sight
 * @typedef {import("./types.js").Notice} Notice
 */

import { tag } from "../shared/dom.js";
import { nameOf } from "./names.js";

/** @param {string} about @param {string} text @param {(id: string) => void} choose */
function link(about, text, choose) {
  const made = /** @type {HTMLButtonElement} */ (tag("button", { class: "link", type: "button" }, text));
  made.dataset.about = about;
  made.addEventListener("click", () => choose(about));
  return made;
}

/** What differs from the version that is compared with. @param {Sight["difference"]} difference @param {(key: string, values?: Record<string, string>) => string} words */
function differences(difference, words) {
  if (!difference) return [];
  const { lines = [], moved = [], new: fresh = [], gone = [] } = difference;
  const told = lines.map((line) => line.text);
  if (moved.length) told.push(words("differ_moved", { number: String(moved.length) }));
  if (!told.length && (fresh.length || gone.length)) told.push(words("differ_others"));
  if (!told.length) told.push(words("differ_none"));
  return [tag("ul", { class: "difference" }, ...told.map((line) => tag("li", {}, line)))];
}

/** @param {HTMLElement} place @param {Sight} sight @param {(key: string, values?: Record<string, string>) => string} words @param {(id: string) => void} choose */
export function showCounts(place, sight, words, choose) {
  const { counts, difference } = sight;
  const none = sight.items.some(({ marks }) => marks?.includes("not laid out")) ? "–" : "0"; // nobody knows, or there is none
  const big = ["fence", "posts", "holes", "gates"].map((key) => [String(counts[/** @type {keyof typeof counts} */ (key)] || none), words(key)]);
  const figures = tag("dl", { class: "figures" }, ...big.map(([value, name]) => tag("div", {}, tag("dt", {}, name), tag("dd", {}, value))));
  const binding = counts.binding ? [tag("p", { class: "binding" }, words("binding"), ": ", counts.binding)] : [];
  const runs = counts.runs?.length
    ? [tag("table", {}, tag("tbody", {}, ...counts.runs.map((run) => tag("tr", {}, tag("th", { scope: "row" }, link(run.about, run.name, choose)), tag("td", {}, run.fence), tag("td", {}, run.length), tag("td", {}, `${run.posts ?? 0}`)))))]
    : [];
  place.replaceChildren(figures, ...differences(difference, words), ...binding, ...runs);
}

/** @param {HTMLElement} place @param {Sight} sight @param {(key: string, values?: Record<string, string>) => string} words @param {{choose: (id: string) => void, about: (notice: Notice) => string, settle: (notice: Notice) => void, textLink: (line: number) => string}} act */
export function showNotices(place, sight, words, act) {
  if (!sight.notices.length) return place.replaceChildren(tag("p", { class: "quiet" }, words("nothing_said")));
  const entry = (/** @type {Notice} */ notice) => {
    const item = tag("li", { class: `notice ${notice.level}` });
    if (notice.language) item.lang = notice.language; // not everything can be said in every language
    item.append(tag("span", { class: "level", lang: document.documentElement.lang }, words(`level_${notice.level}`)), tag("span", { class: "what" }, notice.slug === "nothing-to-lay-out" ? words("nothing_to_lay_out") : notice.text));
    const more = [notice.found && words("found", { what: notice.found }), notice.allowed && words("allowed", { what: notice.allowed }), notice.hint].filter(Boolean);
    if (more.length) item.append(tag("small", {}, more.join(" · ")));
    const row = tag("span", { class: "row" });
    const about = act.about(notice);
    if (about) row.append(link(about, nameOf(about), act.choose));
    if (notice.answer) {
      const settle = /** @type {HTMLButtonElement} */ (tag("button", { type: "button", class: "link" }, words("settle")));
      settle.addEventListener("click", () => act.settle(notice));
      row.append(settle);
    }
    if (notice.line) row.append(tag("a", { href: act.textLink(notice.line) }, words("line", { number: String(notice.line) })));
    item.append(row);
    return item;
  };
  place.replaceChildren(tag("ul", { class: "notices" }, ...sight.notices.map(entry)));
  return undefined;
}

/** @param {HTMLElement} place @param {Sight} sight @param {(key: string, values?: Record<string, string>) => string} words @param {{choose: (id: string) => void, change: (tape: import("./types.js").TapeLine) => void, remove: (id: string) => void, measure: (points: string[]) => void}} act */
export function showTapes(place, sight, words, act) {
  const rows = sight.tapes.map((tape) => {
    const state = tape.state ?? "unchecked";
    const row = tag("tr", { class: `tape ${state.replace(" ", "-")}`, title: tape.say ?? "" });
    row.dataset.id = tape.id;
    const change = /** @type {HTMLButtonElement} */ (tag("button", { class: "link", type: "button" }, tape.reads));
    change.addEventListener("click", () => act.change(tape));
    const remove = /** @type {HTMLButtonElement} */ (tag("button", { class: "link small", type: "button", "aria-label": words("remove_tape", { what: tape.what }) }, "×"));
    remove.addEventListener("click", () => act.remove(tape.id));
    row.append(tag("td", {}, link(tape.id, tape.what, act.choose)), tag("td", { class: "number" }, change), tag("td", { class: "number" }, tape.off ?? ""), tag("td", {}, words(`tape_${state.replace(" ", "_")}`)), tag("td", {}, remove));
    if (!tape.guess) return [row];
    return [row, tag("tr", { class: "guess" }, tag("td", { colspan: "5" }, tape.guess))];
  });
  const head = tag("thead", {}, tag("tr", {}, ...["between", "reads", "off", "how", "act"].map((key) => tag("th", { scope: "col" }, tag("span", { class: key === "act" ? "hidden" : "" }, words(`tapes_${key}`))))));
  const next = sight.next.map((one) => {
    const ask = /** @type {HTMLButtonElement} */ (tag("button", { type: "button" }, words("measure_it")));
    ask.addEventListener("click", () => act.measure(one.points));
    return tag("li", {}, one.text, " ", ask);
  });
  place.replaceChildren(
    ...(rows.length ? [tag("table", {}, head, tag("tbody", {}, ...rows.flat()))] : [tag("p", { class: "quiet" }, words("no_tapes"))]),
    ...(next.length ? [tag("h3", {}, words("next_tape")), tag("ul", {}, ...next)] : []),
  );
}

const THINGS = ["run", "stretch", "gate", "corner", "point", "side", "building", "zone", "old fence", "post"];

/** Everything that can be chosen, reachable by keyboard. @param {HTMLElement} place @param {Sight} sight @param {(key: string) => string} words @param {(id: string) => void} choose */
export function showThings(place, sight, words, choose) {
  const open = new Set([...place.querySelectorAll("details[open]")].map((one) => /** @type {HTMLElement} */ (one).dataset.kind));
  const parts = THINGS.map((kind) => {
    const items = sight.items.filter((item) => item.kind === kind);
    if (!items.length) return null;
    const part = tag("details", {}, tag("summary", {}, `${words(`kind_${kind.replace(" ", "_")}`)} (${items.length})`));
    part.dataset.kind = kind;
    if (open.has(kind)) part.setAttribute("open", "");
    const list = tag("ul", { class: "things" });
    const fill = () => {
      if (list.childElementCount || !part.hasAttribute("open")) return;
      list.append(...items.map((item) => tag("li", {}, link(item.id, nameOf(item.id), choose))));
    };
    part.addEventListener("toggle", fill);
    fill();
    part.append(list);
    return part;
  });
  place.replaceChildren(...parts.filter((part) => part !== null));
}

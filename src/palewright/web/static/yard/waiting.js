/** What waits on this phone: how much, what the office did not take and why, whose hand it is, and how to pair again. */

import { tag } from "../shared/dom.js";
import { button, said } from "./parts.js";

/**
 * @param {import("./parts.js").Act} act @param {import("./box.js").Box} box @param {import("./sync.js").Sync} sync
 * @param {{who: string, rename: () => Promise<unknown>, changed: () => Promise<void>}} person
 * @returns {Promise<Node[]>}
 */
export async function waiting(act, box, sync, person) {
  const { words } = act;
  const refused = (await box.entries()).filter((row) => !row.sent && row.refused);
  const items = refused.map(({ id, entry, refused: why }) => {
    const title = [...act.pack.holes, ...act.pack.checks, ...act.pack.gates, ...act.pack.runs, ...act.pack.bays].find((one) => one.about === entry.about)?.title ?? entry.about;
    const what = `${title}, ${entry.what}: ${plain(entry.value)}`;
    return tag("li", {}, tag("p", {}, tag("strong", {}, what)), ...said([why]), button(words("yard_take_back"), async () => {
      await box.takeBack(id, words("yard_taken_back_note", { what, why: why ?? "" }));
      await person.changed();
    }, { class: "wide" }));
  });
  /** @type {Node[]} */
  const parts = [tag("h2", {}, words(sync.state === "refused" && !sync.said ? "yard_refused" : `yard_state_${sync.state}`, { number: String(items.length) }))];
  if (sync.left) parts.push(...said([words("yard_waits", { number: String(sync.left) })]));
  if (sync.state === "ended") parts.push(...said([words("yard_ended_say")]), tag("a", { class: "button wide", href: `/pair?back=${encodeURIComponent(location.pathname)}` }, words("yard_ended")));
  if (sync.state === "refused" && sync.said) parts.push(...said([sync.said]));
  if (items.length) parts.push(...said([words("yard_refused_say")]), tag("ul", { class: "refused" }, ...items));
  parts.push(...said([words(box.promised ? "yard_promised" : "yard_not_promised"), "serviceWorker" in navigator ? "" : words("yard_stay_open")]));
  parts.push(tag("p", {}, words("yard_hand", { who: person.who || "—" }), " ", button(words("yard_rename"), person.rename, { class: "small" })));
  parts.push(tag("p", {}, tag("a", { class: "button wide", href: "/yard/" }, words("yard_other_jobs"))));
  return parts;
}

/** An entry's value for reading. @param {Record<string, any>} value */
function plain(value) {
  return Object.entries(value).map(([key, one]) => `${key} ${one}`).join(", ").slice(0, 200);
}


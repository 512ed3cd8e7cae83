/** What waits on this phone: how much, what the office did not take and why, whose hand it is, and how to pair again. */

import { tag } from "../shared/dom.js";
import { aboutText, entryText, faultText, reasons } from "./faults.js";
import { button, said } from "./parts.js";

/**
 * @param {import("./parts.js").Act} act @param {import("./box.js").Box} box @param {import("./sync.js").Sync} sync
 * @param {{who: string, rename: () => Promise<unknown>, changed: () => Promise<void>}} person
 * @returns {Promise<Node[]>}
 */
export async function waiting(act, box, sync, person) {
  const { words } = act;
  const items = [...(await refusedEntries(act, box, person.changed)), ...(await refusedPhotos(act, box, person.changed))];
  /** @type {Node[]} */
  const parts = [tag("h2", {}, words(sync.state === "refused" && !sync.fault ? "yard_refused" : `yard_state_${sync.state}`, { number: String(items.length) }))];
  if (sync.left) parts.push(...said([words("yard_waits", { number: String(sync.left) })]));
  if (sync.state === "ended") parts.push(...said([words("yard_ended_say")]), tag("a", { class: "button wide", href: `/pair?back=${encodeURIComponent(location.pathname)}&lang=${act.language}` }, words("yard_ended")));
  else if (sync.fault) parts.push(...said([faultText(sync.fault, words)]));
  if (items.length) parts.push(...said([words("yard_refused_say")]), tag("ul", { class: "refused" }, ...items));
  parts.push(...said([words(box.promised ? "yard_promised" : "yard_not_promised"), "serviceWorker" in navigator ? "" : words("yard_stay_open")]));
  parts.push(tag("p", {}, words("yard_hand", { who: person.who || "—" }), " ", button(words("yard_rename"), person.rename, { class: "small" })));
  parts.push(tag("p", {}, tag("a", { class: "button wide", href: "/yard/" }, words("yard_other_jobs"))));
  return parts;
}

/** @param {import("./parts.js").Act} act @param {import("./box.js").Box} box @param {() => Promise<void>} changed @returns {Promise<Node[]>} */
async function refusedEntries(act, box, changed) {
  const { words, pack } = act;
  const refused = (await box.entries()).filter((row) => !row.sent && row.refused);
  return refused.map(({ id, entry, refused: why }) => {
    const what = entryText(entry, pack, words);
    const lines = whyText(why, entry, act);
    return tag("li", {}, tag("p", {}, tag("strong", {}, what)), ...said(lines), button(words("yard_take_back"), async () => {
      await box.takeBack(id, words("yard_taken_back_note", { what, why: lines.join(" ") }));
      await changed();
    }, { class: "wide" }));
  });
}

/** @param {import("./parts.js").Act} act @param {import("./box.js").Box} box @param {() => Promise<void>} changed @returns {Promise<Node[]>} */
async function refusedPhotos(act, box, changed) {
  const { words, pack } = act;
  const rows = await box.entries();
  return (await box.refusedPhotos()).map(({ id, refused }) => {
    const entry = rows.find((row) => row.entry.value.photo === id)?.entry;
    const title = entry ? aboutText(entry.about, pack, words) : "";
    return tag("li", {}, tag("p", {}, tag("strong", {}, title)), ...said([words("yard_photo_refused"), ...whyText(refused, entry, act)]), button(words("yard_photo_drop"), async () => {
      await box.photoSent(id, { seen: true });
      await changed();
    }, { class: "wide" }));
  });
}

/** Why, in the language that is shown; what an earlier version of this page kept is one text. @param {import("../shared/api.js").Problem[] | string | undefined} why @param {import("./fold.js").Entry | undefined} entry @param {import("./parts.js").Act} act */
function whyText(why, entry, act) {
  return Array.isArray(why) ? reasons(why, entry, act.words, act.pack.units) : [why ?? ""];
}

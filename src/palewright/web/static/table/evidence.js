/**
 * What was found at a corner of the property: a form for what one sees when one stands there.
 * Whether it counts is said by the program behind the page, and shown on the drawing at once.
 */

import { nameOf } from "./names.js";

const RESTS = ["", "monument", "record only", "map", "gnss", "neighbour's fence", "owner's word"];

/** The day as a calendar has it here. */
function today() {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
}

/** @param {import("./types.js").Item} item @param {import("./chosen.js").Act} act */
export async function sayEvidence(item, { ask, words, save, typed }) {
  const now = await typed(item.id);
  const said = Object.keys(now).length > 0;
  const value = (/** @type {string} */ key) => now[key] ?? "";
  const choices = (/** @type {string[]} */ values, /** @type {string} */ name) => values.map((one) => ({ value: one, text: words(`${name}_${one.replace(/[ ']/g, "_") || "unsaid"}`) }));
  const asked = await ask({
    title: words("ask_evidence", { what: nameOf(item.id) }),
    say: words("evidence_say"),
    fields: [
      { key: "what", label: words("evidence_what"), value: value("what"), hint: words("evidence_what_hint") },
      { key: "size", label: words("evidence_size"), value: value("size"), hint: words("evidence_size_hint") },
      { key: "cap", label: words("evidence_cap"), value: value("cap"), hint: words("evidence_cap_hint") },
      { key: "stamp", label: words("evidence_stamp"), value: value("stamp"), hint: words("evidence_stamp_hint") },
      { key: "agrees", label: words("evidence_matches"), value: value("matches record"), choices: choices(["", "yes", "no"], "matches"), hint: value("record") && words("evidence_record", { what: value("record") }) },
      { key: "stands_off", label: words("evidence_stands_off"), value: value("stands off"), hint: words("evidence_stands_off_hint") },
      { key: "rests_on", label: words("evidence_rests_on"), value: value("rests on"), choices: choices(RESTS, "rests") },
      { key: "who", label: words("evidence_who"), value: value("who") },
      { key: "when", label: words("evidence_when"), value: said ? value("when") : today() },
    ],
  });
  if (!asked) return;
  const { agrees, ...rest } = asked; // a field named "matches" would hide the form's own method of that name
  await save([{ kind: "evidence", about: item.id, ...rest, matches: agrees }]);
}

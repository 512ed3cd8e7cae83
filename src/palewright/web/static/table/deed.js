/** The deed, pasted: what cannot be read of it is marked in the text, which stays until it is taken. */

import { Fault } from "../shared/api.js";
import { textOf } from "../shared/problems.js";

/** @param {{job: import("./job.js").Job, ask: import("./ask.js").Ask, words: (key: string) => string}} at */
export function deedOf({ job, ask, words }) {
  let kept = "";

  /** @param {Record<string, string>} values @returns {Promise<import("./ask.js").Wrong | null>} */
  async function use({ text }) {
    if (!text) return { text: words("deed_text"), key: "text" };
    /** @type {unknown} */
    let fault = null;
    kept = text;
    if (await job.save([{ kind: "deed", text }], (error) => (fault = error))) kept = "";
    else if (fault instanceof Fault && fault.status === 409) job.dispatchEvent(new CustomEvent("refused", { detail: fault }));
    else return { text: textOf(fault), key: "text", ...place(text, fault) };
    return null;
  }

  /** True where it was taken. */
  return async () => Boolean(await ask({ title: words("ask_deed"), say: words("deed_say"), fields: [{ key: "text", label: words("deed_text"), value: kept, long: true }], use })) && !kept;
}

/** From where to where of the text the first problem is. @param {string} text @param {unknown} fault */
function place(text, fault) {
  const where = fault instanceof Fault ? fault.problems[0]?.where : undefined;
  if (!where?.line || where.path) return {};
  const before = text.split("\n").slice(0, where.line - 1).reduce((sum, line) => sum + line.length + 1, 0);
  const from = before + where.column - 1;
  return { from, to: from + Math.max(where.width, 1) };
}

/** A question before something that should not be: it is done only where somebody says so. */

import { tag } from "../shared/dom.js";

/**
 * @param {HTMLDialogElement} sheet @param {(...nodes: Node[]) => void} open shows nodes in the sheet, with a button below that closes it
 * @param {(key: string) => string} words @param {string} head @param {string} why @returns {Promise<boolean>}
 */
export async function sure(sheet, open, words, head, why) {
  if (sheet.open) return false;
  let said = false;
  const yes = tag("button", { type: "button", class: "wide" }, words("all_the_same"));
  yes.addEventListener("click", () => {
    said = true;
    sheet.close();
  });
  open(tag("p", { class: "big" }, head), tag("p", {}, why), yes);
  const no = /** @type {HTMLElement} */ (sheet.querySelector("#sheet-close"));
  no.textContent = words("do_not_tick");
  no.focus();
  return new Promise((done) => sheet.addEventListener("close", () => done(said), { once: true }));
}

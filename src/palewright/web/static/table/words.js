/** What the drawing table says, in the language of the page. */

import { fill } from "../shared/api.js";

/** @type {Record<string, string>} */
const texts = JSON.parse(document.getElementById("table-words")?.textContent ?? "{}");

/** @param {string} key @param {Record<string, string | number>} [values] */
export function words(key, values = {}) {
  return fill(texts[key] ?? key, values);
}

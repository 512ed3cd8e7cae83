// Files beside a job: listed, put, downloaded.
import { call, get, page, words } from "./api.js";
import { once, say, showFault, textual } from "./problems.js";

/**
 * @param {HTMLElement} list @param {HTMLInputElement} input @param {() => void} changed called after a file was put
 */
export function listFiles(list, input, changed) {
  const path = `/jobs/${page.job}/files`;

  async function show() {
    try {
      const files = await get(path);
      list.replaceChildren(...files.map((/** @type {any} */ file) => {
        const item = document.createElement("li");
        const link = /** @type {HTMLAnchorElement} */ (textual("a", file.name));
        link.href = `/api${path}/${encodeURIComponent(file.name)}`;
        link.download = file.name;
        item.append(link, ` (${file.bytes})`);
        return item;
      }));
      if (!files.length) list.append(textual("li", list.dataset.none ?? ""));
    } catch (error) {
      showFault(error, null);
    }
  }

  input.addEventListener("change", () =>
    once(null, async () => {
      const file = input.files?.[0];
      if (!file) return;
      await putFile(file, file.name);
      input.value = "";
      say(words.done);
      await show();
      changed();
    }, document.getElementById("problems")));
  show();
}

/** @param {File} file @param {string} name @param {string} [job] */
export async function putFile(file, name, job = page.job) {
  await call("PUT", `/jobs/${job}/files/${encodeURIComponent(name)}`, file);
}

/** A name that a file beside a job may have. @param {string} name */
export const plainName = (name) => name.replace(/[^\p{L}\p{N}._() -]+/gu, "-").replace(/\.{2,}/g, ".").replace(/^[ .-]+/, "").slice(-90) || "drawing";

// The drawing table. Mounts on #table; the job and its revision are in shared/api.js `page`.
import { get, page } from "../shared/api.js";
import { showFault, textual } from "../shared/problems.js";

const table = /** @type {HTMLElement} */ (document.getElementById("table"));
get(`/jobs/${page.job}/sight?lang=${page.lang}`).then(
  (drawn) => {
    const list = document.createElement("ul");
    list.append(...(drawn.sight.notices ?? []).map((/** @type {any} */ notice) => textual("li", notice.text)));
    table.replaceChildren(list);
  },
  (error) => {
    table.replaceChildren();
    showFault(error, document.getElementById("problems"));
  },
);

// The yard. Mounts on #yard; the job is in shared/api.js `page`.
import { get, page } from "../shared/api.js";
import { showFault, textual } from "../shared/problems.js";

const yard = /** @type {HTMLElement} */ (document.getElementById("yard"));
get(`/jobs/${page.job}/yard?lang=${page.lang}`).then(
  (day) => {
    const list = document.createElement("ol");
    list.append(...day.pack.holes.map((/** @type {any} */ hole) => textual("li", `${hole.title}: ${hole.reads}`)));
    yard.replaceChildren(list);
  },
  (error) => {
    yard.replaceChildren();
    showFault(error, document.getElementById("problems"));
  },
);

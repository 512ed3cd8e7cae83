// Papers to look at, exports to download.
import { call, get, page } from "./api.js";
import { once, say, showFault, showProblems, textual } from "./problems.js";

const list = /** @type {HTMLElement} */ (document.getElementById("papers"));
const preview = /** @type {HTMLIFrameElement} */ (document.getElementById("preview"));
const languages = { en: "English", es: "Español" };

/** @param {{name: string, title: string}} paper */
function row(paper) {
  const item = document.createElement("li");
  item.append(textual("span", paper.title, "title"));
  const links = document.createElement("span");
  for (const [code, name] of Object.entries(languages)) {
    const link = /** @type {HTMLAnchorElement} */ (textual("a", name));
    link.href = `/api/jobs/${page.job}/papers/${paper.name}?lang=${code}`;
    link.lang = code;
    link.setAttribute("aria-label", `${paper.title}, ${name}`);
    link.target = "_blank";
    link.addEventListener("click", (event) => {
      if (!matchMedia("(min-width: 60rem)").matches || event.ctrlKey || event.metaKey || event.shiftKey) return;
      event.preventDefault();
      preview.src = link.href;
      preview.hidden = false;
    });
    links.append(link);
  }
  item.append(links);
  return item;
}

get(`/jobs/${page.job}/papers?lang=${page.lang}`).then(
  (found) => {
    list.replaceChildren(...found.papers.map(row));
    showProblems(/** @type {HTMLElement} */ (document.getElementById("problems")), found.problems);
  },
  (error) => {
    list.replaceChildren();
    showFault(error, document.getElementById("problems"));
  },
);

for (const link of /** @type {NodeListOf<HTMLAnchorElement>} */ (document.querySelectorAll("[data-export]"))) {
  link.addEventListener("click", (event) => {
    event.preventDefault();
    const place = /** @type {HTMLInputElement} */ (document.getElementById("place")).value.trim();
    const problems = /** @type {HTMLElement} */ (document.getElementById("export-problems"));
    once(null, async () => {
      const path = `/jobs/${page.job}/exports/${link.dataset.export}${place ? `?place=${encodeURIComponent(place)}` : ""}`;
      const answer = await call("GET", path);
      const name = /filename="([^"]+)"/.exec(answer.headers.get("Content-Disposition") ?? "")?.[1] ?? "plan";
      download(await answer.blob(), name);
      showProblems(problems, []);
      say("");
    }, problems);
  });
}

/** @param {Blob} blob @param {string} name */
function download(blob, name) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

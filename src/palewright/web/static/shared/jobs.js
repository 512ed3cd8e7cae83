// The list of jobs: begin, duplicate, take off the list, bring back.
import { newKey, send } from "./api.js";
import { plainName, putFile } from "./files.js";
import { once, say, showProblems } from "./problems.js";

const form = /** @type {HTMLFormElement | null} */ (document.getElementById("new"));
const problems = document.getElementById("problems");
let key = newKey();

/** @param {string} from @param {string} title @param {HTMLButtonElement | null} button @param {string} [text] */
function begin(from, title, button, text) {
  return once(button, async () => {
    const job = await send("POST", "/jobs", { title, from, key, ...(text === undefined ? {} : { text }) });
    location.assign(from === "text" ? `/jobs/${job.id}/text` : `/jobs/${job.id}`);
  }, problems);
}

form?.addEventListener("submit", (event) => {
  event.preventDefault();
  const button = /** @type {HTMLButtonElement} */ (event.submitter ?? form.querySelector("button.main"));
  const title = /** @type {HTMLInputElement} */ (form.elements.namedItem("title")).value.trim();
  if (title) begin(button.value, title, button);
});
form?.addEventListener("input", () => (key = newKey()));

/** Kinds of files that the drawing table reads as a beginning; what is none of them is said in words. */
const READ = /\.(geojson|json|gpkg|shp|zip|dxf|xml|kml|gpx|csv|txt|pts|asc|pnezd|penzd)$/i;

/** A job with nothing in it, and a file of another program beside it that the drawing table then reads. @param {string} title @param {File} given */
function beginWith(title, given) {
  return once(null, async () => {
    const job = await send("POST", "/jobs", { title, from: "empty", key });
    const name = plainName(given.name);
    await putFile(given, name, job.id);
    location.assign(`/jobs/${job.id}?bring=${encodeURIComponent(name)}`);
  }, problems);
}

const file = /** @type {HTMLInputElement | null} */ (document.getElementById("file"));
file?.addEventListener("change", async () => {
  const chosen = file.files?.[0];
  if (!chosen) return;
  const typed = /** @type {HTMLInputElement} */ (document.getElementById("title")).value.trim();
  const title = typed || chosen.name.replace(/\.[^.]*$/, "").slice(0, 200) || "job";
  key = newKey();
  if (/\.ya?ml$/i.test(chosen.name)) await begin("text", title, null, await chosen.text());
  else if (READ.test(chosen.name)) await beginWith(title, chosen);
  else {
    const what = file.dataset.none ?? "";
    say(what, true);
    if (problems) showProblems(problems, [{ slug: "", severity: "error", where: { file: "", line: 0, column: 0, width: 0, path: "", thing: "" }, what, found: chosen.name, allowed: "", hint: "" }]);
  }
  file.value = "";
});

for (const button of document.querySelectorAll("[data-copy]")) {
  const copyKey = newKey();
  button.addEventListener("click", () =>
    once(/** @type {HTMLButtonElement} */ (button), async () => {
      const job = await send("POST", `/jobs/${button.getAttribute("data-copy")}/copy`, { title: button.getAttribute("data-title")?.slice(0, 200), key: copyKey });
      location.assign(`/jobs/${job.id}`);
    }, problems));
}

for (const button of document.querySelectorAll("[data-remove]")) {
  button.addEventListener("click", () => {
    if (!confirm(button.getAttribute("data-sure") ?? "")) return;
    once(/** @type {HTMLButtonElement} */ (button), async () => {
      await send("DELETE", `/jobs/${button.getAttribute("data-remove")}?revision=${button.getAttribute("data-revision")}`);
      location.reload();
    }, problems);
  });
}

for (const button of document.querySelectorAll("[data-back]")) {
  button.addEventListener("click", () =>
    once(/** @type {HTMLButtonElement} */ (button), async () => {
      await send("POST", `/jobs/${button.getAttribute("data-back")}/back`);
      location.reload();
    }, problems));
}

// the back button shows the list as it is now, not as it was
addEventListener("pageshow", (event) => event.persisted && location.reload());

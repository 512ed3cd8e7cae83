// The list of jobs: begin, duplicate, take off the list.
import { newKey, send } from "./api.js";
import { once } from "./problems.js";

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

const file = /** @type {HTMLInputElement | null} */ (document.getElementById("file"));
file?.addEventListener("change", async () => {
  const chosen = file.files?.[0];
  if (!chosen) return;
  const typed = /** @type {HTMLInputElement} */ (document.getElementById("title")).value.trim();
  key = newKey();
  await begin("text", typed || chosen.name.replace(/\.ya?ml$/i, "") || "job", null, await chosen.text());
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

// the back button shows the list as it is now, not as it was
addEventListener("pageshow", (event) => event.persisted && location.reload());

// Devices that may come in, and a code for a new one.
import { fill, get, send, words } from "./api.js";
import { once, say, showFault, textual } from "./problems.js";

const body = /** @type {HTMLElement} */ (document.getElementById("devices"));
const problems = document.getElementById("problems");
/** @type {Record<string, string>} */
const roles = JSON.parse(document.getElementById("roles")?.textContent ?? "{}");

/** @param {any} device */
function row(device) {
  const item = document.createElement("tr");
  const head = textual("th", device.name);
  head.setAttribute("scope", "row");
  head.append(textual("span", fill(body.dataset.since ?? "", { made: when(device.made), seen: when(device.seen) }), "example"));
  const last = document.createElement("td");
  last.className = "acts";
  if (device.ended) last.textContent = body.dataset.ended ?? "";
  else if (device.this) last.textContent = body.dataset.this ?? "";
  else {
    const button = /** @type {HTMLButtonElement} */ (textual("button", body.dataset.end ?? "", "plain"));
    button.type = "button";
    button.append(textual("span", ` ${device.name}`, "hidden"));
    button.addEventListener("click", () =>
      once(button, async () => {
        await send("DELETE", `/devices/${device.id}`);
        say(words.ended);
        await show();
      }, problems));
    last.append(button);
  }
  item.append(head, textual("td", roles[device.role]), last);
  return item;
}

/** A time as the clock on this screen has it. @param {string} at */
function when(at) {
  return new Date(at).toLocaleString(document.documentElement.lang, { dateStyle: "medium", timeStyle: "short" });
}

async function show() {
  body.replaceChildren(...(await get("/devices")).map(row));
}

document.getElementById("make")?.addEventListener("submit", (event) => {
  event.preventDefault();
  const form = /** @type {HTMLFormElement} */ (event.target);
  once(form.querySelector("button"), async () => {
    const made = await send("POST", "/pairing", { role: new FormData(form).get("role") });
    const box = /** @type {HTMLElement} */ (document.getElementById("code"));
    /** @type {HTMLImageElement} */ (document.getElementById("qr")).src = made.qr;
    set("letters", made.code);
    set("address", made.url.split("#")[0]);
    set("until", fill(box.dataset.until ?? "", { until: new Date(made.until).toLocaleTimeString(document.documentElement.lang) }));
    box.hidden = false;
    say("");
  }, problems);
});

/** @param {string} id @param {string} text */
function set(id, text) {
  const place = document.getElementById(id);
  if (place) place.textContent = text;
}

show().catch((error) => showFault(error, problems));

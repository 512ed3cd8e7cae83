// Pair this device: the code comes with the address that was scanned, or is typed.
import { send } from "./api.js";
import { once } from "./problems.js";

const code = /** @type {HTMLInputElement} */ (document.getElementById("code"));
const called = /** @type {HTMLInputElement} */ (document.getElementById("called"));
if (location.hash.length > 1) {
  code.value = decodeURIComponent(location.hash.slice(1));
  history.replaceState(null, "", location.pathname + location.search);
  called.focus();
}
document.getElementById("pair")?.addEventListener("submit", (event) => {
  event.preventDefault();
  const form = /** @type {HTMLFormElement} */ (event.target);
  once(form.querySelector("button"), async () => {
    await send("POST", "/pair", { code: code.value.trim().toUpperCase(), name: called.value.trim() });
    const back = new URLSearchParams(location.search).get("back") ?? "";
    location.assign(/^\/yard\/[\w-]*$/.test(back) ? back : "/");
  }, document.getElementById("problems"));
});

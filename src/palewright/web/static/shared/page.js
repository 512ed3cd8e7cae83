// What every page has: signing out.
import { send } from "./api.js";
import { once } from "./problems.js";

const leave = /** @type {HTMLButtonElement | null} */ (document.getElementById("leave"));
leave?.addEventListener("click", () =>
  once(leave, async () => {
    await send("POST", "/leave");
    location.assign("/pair");
  }, document.getElementById("problems")));

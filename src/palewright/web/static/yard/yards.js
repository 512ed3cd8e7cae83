/** The jobs of the yard, in the language of the phone: which of them it has with it. */

import { Box } from "./box.js";
import { keepPages } from "./keeping.js";

const box = await Box.open();
const language = await box.fact("language", document.documentElement.lang);
const texts = JSON.parse(document.getElementById("yard-words")?.textContent ?? "{}")[language] ?? {};
document.documentElement.lang = language;
for (const place of document.querySelectorAll("[data-word]")) place.textContent = texts[place.getAttribute("data-word") ?? ""] ?? place.textContent;
const skip = document.querySelector(".skip");
if (skip) skip.textContent = texts.skip;
const here = await box.jobs();
for (const place of document.querySelectorAll("[data-job]")) {
  place.textContent = here.has(place.getAttribute("data-job") ?? "") ? texts.with_it : texts.not_with_it;
}
await keepPages();

/** The jobs of the yard: which of them this phone has with it. */

import { Box } from "./box.js";
import { keepPages } from "./keeping.js";

const texts = JSON.parse(document.getElementById("yard-words")?.textContent ?? "{}")[document.documentElement.lang] ?? {};
const here = await (await Box.open()).jobs();
for (const place of document.querySelectorAll("[data-job]")) {
  place.textContent = here.has(place.getAttribute("data-job") ?? "") ? texts.with_it : texts.not_with_it;
}
await keepPages();

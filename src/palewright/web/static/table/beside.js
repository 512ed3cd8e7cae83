/**
 * Two jobs side by side, seen with one eye: alternates of one yard, or one yard before and after.
 */

import { get, page } from "../shared/api.js";
import { tag } from "../shared/dom.js";
import { showFault } from "../shared/problems.js";
import { Drawing } from "./drawing.js";
import { Eye } from "./eye.js";
import { showCounts } from "./lists.js";
import { shape } from "./paint.js";
import { roomFor } from "./room.js";
import { words } from "./words.js";

/** @type {Eye[]} */
const eyes = [];

/** @param {HTMLElement} part */
async function show(part) {
  const svg = /** @type {SVGSVGElement} */ (part.querySelector("svg"));
  const holder = shape("g", { class: "held" });
  svg.append(holder);
  const drawing = new Drawing(holder);
  const drawn = await get(`/jobs/${part.dataset.job}/sight?lang=${page.lang}&beside=${part.dataset.other}`);
  const sight = { items: [], ...drawn.sight };
  drawing.show(sight.items);
  const room = roomFor(drawing);
  const eye = new Eye(svg, holder, () => {
    drawing.look(eye.view());
    room();
  });
  eyes.push(eye);
  const lines = sight.difference?.lines ?? [];
  showCounts(/** @type {HTMLElement} */ (part.querySelector(".counts")), { ...sight, difference: undefined }, words, () => {});
  return { extent: sight.extent, lines };
}

try {
  const [first, second] = await Promise.all([...document.querySelectorAll("#alternates section")].map((part) => show(/** @type {HTMLElement} */ (part))));
  const [a, b] = [first.extent, second.extent];
  const both = /** @type {[number, number, number, number]} */ ([Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.max(a[2], b[2]), Math.max(a[3], b[3])]);
  for (const eye of eyes) eye.fit(both);
  const [title = "", other = ""] = [...document.querySelectorAll("#alternates h2")].map((one) => one.textContent ?? "");
  const of = document.getElementById("differ-of");
  if (of) of.textContent = first.lines.length ? words("beside_of", { title, other }) : words("beside_same");
  const said = first.lines.map((/** @type {Record<string, string>} */ line) => tag("li", {}, words("beside_line", line)));
  document.getElementById("differences")?.replaceChildren(...said);
} catch (error) {
  showFault(error, document.getElementById("problems"));
}

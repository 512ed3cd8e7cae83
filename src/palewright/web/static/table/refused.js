/**
 * What the program says no to, over the drawing: in words, with what stands in the way, each a link to it and lit on the drawing.
 */

import { Fault } from "../shared/api.js";
import { tag } from "../shared/dom.js";
import { textOf } from "../shared/problems.js";

/**
 * @param {HTMLElement} place @param {unknown} error
 * @param {{drawing: import("./drawing.js").Drawing, see: (id: string) => void}} act
 */
export function showRefused(place, error, { drawing, see }) {
  const problems = error instanceof Fault ? error.problems : [];
  const needs = problems.filter(({ slug }) => slug === "still-needed");
  drawing.mark("needs", needs.map(({ where }) => where.thing));
  if (problems[0]?.slug === "answer-unusable") return place.replaceChildren(tag("p", {}, unanswered(problems[0])));
  if (!needs.length) return place.replaceChildren(tag("p", {}, textOf(error)));
  const entry = (/** @type {import("../shared/api.js").Problem} */ { found, where }) => {
    if (!drawing.of(where.thing).length) return tag("li", {}, found);
    const link = tag("button", { type: "button", class: "link" }, found);
    link.addEventListener("click", () => see(where.thing));
    return tag("li", {}, link);
  };
  return place.replaceChildren(tag("p", {}, `${needs[0].what[0].toUpperCase()}${needs[0].what.slice(1)}:`), tag("ul", {}, ...needs.map(entry)), tag("p", {}, needs[0].hint));
}

/** Blanks of the first steps that were left empty, by what stands beside them; the first of them is looked at. @param {import("../shared/api.js").Problem} problem */
function unanswered({ what, found }) {
  const blanks = found.split(", ").map((key) => document.querySelector(`#walk [name="${CSS.escape(key)}"]`));
  const labels = blanks.map((blank) => blank?.closest("label")?.querySelector("span")?.textContent).filter(Boolean);
  const [first] = blanks;
  if (first instanceof HTMLElement) setTimeout(() => first.focus()); // its buttons sleep until then
  return `${what[0].toUpperCase()}${what.slice(1)}: ${labels.length ? labels.join(", ") : found}`;
}

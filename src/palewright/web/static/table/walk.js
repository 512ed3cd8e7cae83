/**
 * The first five minutes: plain questions, one at a time, until there is something to draw.
 * Which question comes next, and what an answer means, is decided by the program behind the page.
 */

import { get } from "../shared/api.js";
import { tag } from "../shared/dom.js";

/**
 * @param {HTMLElement} place
 * @param {import("./job.js").Job} job
 * @param {{words: (key: string, values?: Record<string, string>) => string, empty: boolean}} act
 */
export async function showWalk(place, job, act) {
  const held = /** @type {HTMLElement} */ (place.parentElement);
  if (!act.empty && !held.hasAttribute("open")) return;
  const walk = await get(job.path(`walk?lang=${job.language}`)).catch(() => null);
  if (!walk) return;
  if (act.empty) held.setAttribute("open", "");
  const parts = [];
  const doubts = walk.doubts ?? [];
  if (doubts.length) parts.push(tag("p", { class: "asked" }, act.words("walk_doubts")), tag("ul", { class: "doubts" }, ...doubts.map((/** @type {string} */ line) => tag("li", {}, line))));
  const last = job.sight?.notices.some(({ level }) => level === "problem") ? "walk_problems" : "walk_done";
  if (walk.question) parts.push(question(walk.question, job));
  else if (!doubts.length) parts.push(tag("p", { class: "asked" }, act.words(last)));
  if (walk.said?.length)
    parts.push(tag("details", {}, tag("summary", {}, act.words("walk_assumed", { number: String(walk.said.length) })), tag("ul", { class: "assumed" }, ...walk.said.map((/** @type {string} */ line) => tag("li", {}, line)))));
  const typing = place.contains(document.activeElement);
  place.replaceChildren(...parts);
  if (!typing) return;
  /** @type {HTMLElement | null} */ (place.querySelector("input:placeholder-shown") ?? place.querySelector("input, button"))?.focus({ preventScroll: true });
  held.scrollIntoView({ block: "start" }); // the next question is read from its beginning
}

/** @param {any} question @param {import("./job.js").Job} job */
function question(question, job) {
  const form = /** @type {HTMLFormElement} */ (tag("form", { class: "walk" }, tag("p", { class: "asked" }, question.text)));
  for (const field of question.fields ?? []) {
    const control = field.choices?.length ? tag("select", { name: field.key }) : tag("input", { name: field.key, value: field.value ?? "", autocomplete: "off", placeholder: " " });
    for (const choice of field.choices ?? []) control.append(new Option(choice.text, choice.value, false, choice.value === field.value));
    if (!field.label) control.setAttribute("type", "hidden"); // known already, and sent back
    form.append(field.label ? tag("label", {}, tag("span", {}, field.label), control, ...(field.hint ? [tag("small", {}, field.hint)] : [])) : control);
  }
  const row = tag("div", { class: "row" });
  for (const answer of question.answers ?? []) {
    const made = tag("button", { type: "submit", value: answer.value, name: "answer", class: row.childElementCount ? "" : "main" }, answer.text);
    row.append(made);
  }
  form.append(row);
  let busy = false;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const data = new FormData(form, /** @type {HTMLElement} */ (event.submitter));
    const values = Object.fromEntries(data.entries());
    if (busy) return; // a double click answers once; the keyboard stays where it is, which it would not on what is disabled
    busy = true;
    busy = await job.answer(question.slug, values);
  });
  return form;
}

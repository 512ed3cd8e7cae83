/**
 * The drawing table: one job, its drawing, what stands beside it, and the hands that change it.
 * @typedef {import("./types.js").Sight} Sight
 * @typedef {import("./types.js").Change} Change
 */

import { page as opened } from "../shared/api.js";
import { textOf } from "../shared/problems.js";
import { asker } from "./ask.js";
import { showChosen } from "./chosen.js";
import { drawElevation } from "./elevation.js";
import { Eye } from "./eye.js";
import { handsOf } from "./hands.js";
import { Job, changed } from "./job.js";
import { listen } from "./listen.js";
import { showCounts, showNotices, showTapes, showThings } from "./lists.js";
import { Drawing, shape } from "./paint.js";
import { roomFor } from "./room.js";
import { showWalk } from "./walk.js";
import { words } from "./words.js";

/** @param {string} id @returns {any} */
const at = (id) => document.getElementById(id);

const paper = /** @type {SVGSVGElement} */ (at("paper"));
const side = /** @type {SVGSVGElement} */ (at("elevation"));
const root = shape("g");
const overlay = shape("g", { class: "overlay" });
const holder = shape("g");
holder.append(root, overlay);
paper.append(holder);

const job = new Job(opened.job, opened.lang);
const drawing = new Drawing(root);
const giveRoom = roomFor(drawing, paper);
const eye = new Eye(paper, holder, () => {
  showBar();
  giveRoom();
});
const ask = asker(at("ask"), words);
/** @type {Sight | null} */
let shown = null;
let chosen = "";
let elevationRun = "";
let fresh = true;

/** @type {import("./hands.js").Bench} */
const bench = { job, eye, drawing, overlay, choose, tell, ask, take, words };
const hands = handsOf(bench);
let hand = hands.look;

/** @param {string} name */
function take(name) {
  hand.end();
  hand = hands[name];
  for (const button of document.querySelectorAll("[data-hand]"))
    if (button instanceof HTMLButtonElement) button.setAttribute("aria-pressed", String(button.dataset.hand === name));
  paper.dataset.hand = name;
  hand.begin();
}

/** @param {string} text */
function tell(text) {
  at("told").textContent = text;
}

/** @param {string} id */
function choose(id) {
  chosen = id;
  const item = drawing.item(id);
  const run = [item?.about, id].find((name) => name?.startsWith("run "));
  if (run && run !== elevationRun) showElevation(run);
  light(id);
  if (shown) showChosen(at("chosen"), item, shown, { save: (edits) => job.save(edits), ask, words, nudge });
  if (item?.say) tell(item.say);
}

/** @param {string} id */
function light(id) {
  drawing.mark("chosen", id ? [id] : []);
  giveRoom();
  for (const element of document.querySelectorAll("#elevation .lit, #beside .lit")) element.classList.remove("lit");
  if (!id) return;
  const wanted = `[data-id="${CSS.escape(id)}"]`;
  for (const element of document.querySelectorAll(`#elevation ${wanted}, #beside ${wanted}`)) element.classList.add("lit");
}

/** A point moved by what a tape reads well, with buttons or arrow keys. @param {number} x @param {number} y @param {boolean} [far] */
function nudge(x, y, far = false) {
  const item = drawing.item(chosen);
  if (!item?.centre || !item.drag) return;
  const step = far ? 0.3048 : 0.0254;
  job.save([{ kind: "move", about: item.id, to: [item.centre[0] + x * step, item.centre[1] + y * step] }]);
}

/** @param {string} about */
function showElevation(about) {
  const run = shown?.elevations.find((one) => one.about === about) ?? shown?.elevations[0];
  elevationRun = run?.about ?? "";
  at("under").hidden = !run;
  if (!run) {
    side.replaceChildren();
    return;
  }
  const counted = shown?.counts.runs?.find((one) => one.about === run.about);
  at("elevation-name").textContent = [run.run, counted?.length].filter(Boolean).join(", ");
  const pick = /** @type {HTMLSelectElement} */ (at("follows"));
  pick.replaceChildren(...(run.choices ?? []).map((choice) => new Option(choice.text, choice.value, false, choice.value === run.follows)));
  pick.onchange = () => job.save([{ kind: "follows", run: run.run, follows: pick.value }]);
  const { exaggerated } = drawElevation(side, run);
  at("exaggerated").textContent = exaggerated > 1.05 ? words("heights_times", { times: exaggerated.toFixed(1) }) : "";
}

/** The longest length that fits the corner, drawn true. */
function showBar() {
  const bars = shown?.bars ?? [];
  const bar = [...bars].reverse().find(({ m }) => m * eye.scale <= 160) ?? bars[0];
  if (!bar) return;
  at("bar-line").style.width = `${bar.m * eye.scale}px`;
  at("bar-text").textContent = bar.text;
}

/** @param {Sight} sight */
function show(sight) {
  shown = sight;
  drawing.show(sight.items);
  showCounts(at("counts"), sight, words, see);
  showNotices(at("notices"), sight, words, { choose: see, settle, textLink: (line) => `/jobs/${job.id}/text#line-${line}` });
  showTapes(at("tapes"), sight, words, { choose: see, change: changeTape, remove: (id) => job.save([{ kind: "delete", about: id }]), measure });
  showThings(at("things"), sight, words, see);
  showElevation(elevationRun);
  at("north").hidden = !sight.north;
  const counted = sight.notices.filter(({ level }) => level === "problem" || level === "caution").length;
  at("notice-count").textContent = counted ? `(${counted})` : "";
  showBar();
}

/** @param {string} id */
function visible(id) {
  const item = drawing.item(id);
  const places = item?.points ?? (item?.centre ? [item.centre] : []);
  return places.every((place) => eye.sees(place));
}

/** A thing chosen from a list comes into view. @param {string} id */
function see(id) {
  const item = drawing.item(id);
  const place = item?.centre ?? item?.points?.[0];
  if (place && !eye.sees(place)) eye.centre(place);
  choose(id);
}

/** @param {string} path */
async function settle(path) {
  const value = await ask({ title: path });
  if (value) await job.save([{ kind: "set", path, value }]);
}

/** @param {import("./types.js").TapeLine} tape */
async function changeTape(tape) {
  const reads = await ask({ title: words("ask_tape_again", { what: tape.what }), value: tape.reads });
  if (reads) await job.save([{ kind: "tape", about: tape.id, reads }]);
}

const TOOLS = ["", "steel tape", "long fibreglass", "wheel", "hand laser", "pacing"];

/** @param {string[]} [points] */
async function measure(points = ["", ""]) {
  const ends = (shown?.items ?? []).filter((item) => ["point", "corner"].includes(item.kind));
  const names = ends.map((item) => item.id.slice(item.kind.length + 1));
  const choices = [...new Set([...points, ...names])].filter(Boolean).map((value) => ({ value, text: value }));
  const tools = TOOLS.map((value) => ({ value, text: words(`with_${value.replace(" ", "_") || "unsaid"}`) }));
  const asked = await ask({
    title: words("ask_new_tape"),
    fields: [
      { key: "first", label: words("tape_first"), value: points[0], choices },
      { key: "second", label: words("tape_second"), value: points[1], choices },
      { key: "reads", label: words("tapes_reads"), value: "" },
      { key: "with", label: words("tape_with"), value: "", choices: tools },
    ],
  });
  if (asked?.reads) await job.save([{ kind: "tape", points: [asked.first, asked.second], reads: asked.reads, with: asked.with }]);
}

async function deed() {
  const asked = await ask({ title: words("ask_deed"), fields: [{ key: "text", label: words("deed_text"), value: "", long: true }] });
  if (asked?.text) await job.save([{ kind: "deed", text: asked.text }]);
}

async function mark() {
  const name = await ask({ title: words("ask_mark") });
  if (name) await job.mark(name);
}

/** Another job beside this one: its page is opened. */
async function showJobs() {
  const pick = /** @type {HTMLSelectElement} */ (at("beside-job"));
  const jobs = await job.others();
  pick.append(...jobs.map(({ id, title }) => new Option(title, id)));
  pick.addEventListener("change", () => pick.value && location.assign(`/jobs/${job.id}/beside/${pick.value}`));
}

async function showMarks() {
  const marks = await job.marks();
  const pick = /** @type {HTMLSelectElement} */ (at("against"));
  pick.replaceChildren(pick.options[0], ...marks.map(({ name }) => new Option(name, name, false, name === job.against)));
}

job.addEventListener("saving", () => (at("state").textContent = words("saving")));
job.addEventListener("marked", showMarks);
job.addEventListener("sight", (event) => {
  const { said, made } = /** @type {CustomEvent} */ (event).detail;
  const sight = /** @type {Sight} */ (job.sight);
  show(sight);
  at("state").textContent = words("saved", { number: String(job.revision) });
  at("undo").disabled = !job.canUndo;
  at("redo").disabled = !job.canRedo;
  if (fresh) eye.fit(sight.items.length ? sight.extent : [0, 0, 30, 20]);
  else if (made.some((/** @type {string} */ id) => !visible(id))) eye.fit(sight.extent);
  fresh = false;
  showWalk(at("walk"), job, { words, empty: !sight.items.length });
  choose(made.find((/** @type {string} */ id) => !id.startsWith("point ")) ?? made[0] ?? (drawing.item(chosen) ? chosen : ""));
  if (said.length) tell(said.join(" "));
});
job.addEventListener("change", (event) => {
  if (!job.sight) return;
  const change = /** @type {Change} */ (/** @type {CustomEvent} */ (event).detail);
  const sight = changed(job.sight, change);
  shown = sight;
  drawing.show(sight.items);
  showCounts(at("counts"), sight, words, see);
  if ("elevations" in change) showElevation(elevationRun);
  giveRoom();
  drawing.mark("moved", (change.items ?? []).map((item) => item.id).filter((id) => id.startsWith("post ")));
});
job.addEventListener("not-there", (event) => tell(textOf(/** @type {CustomEvent} */ (event).detail)));
job.addEventListener("refused", (event) => {
  const error = /** @type {CustomEvent} */ (event).detail;
  at("refused-text").textContent = textOf(error);
  at("refused-load").hidden = error.status !== 409;
  at("refused").hidden = false;
  at("state").textContent = words("not_saved");
});

listen({ paper, side, beside: at("beside"), eye, hand: () => hand, choose, light: (id) => light(id || chosen), nudge, job,
  movable: () => Boolean(drawing.item(chosen)?.drag), fit: () => shown && eye.fit(shown.extent) });

/** @type {Record<string, () => unknown>} */
const buttons = {
  undo: () => job.undo(), redo: () => job.redo(), mark, deed, measure: () => measure(),
  nearer: () => eye.near(1.4), further: () => eye.near(1 / 1.4), fit: () => shown && eye.fit(shown.extent),
  "refused-close": () => (at("refused").hidden = true),
  "refused-load": async () => {
    await job.load();
    at("refused").hidden = true;
  },
};
for (const [id, run] of Object.entries(buttons)) at(id)?.addEventListener("click", run);
for (const button of document.querySelectorAll("[data-hand]"))
  if (button instanceof HTMLButtonElement) button.addEventListener("click", () => take(button.dataset.hand ?? "look"));
at("against").addEventListener("change", () => {
  job.against = at("against").value;
  job.load();
});
at("walk-part").addEventListener("toggle", () => showWalk(at("walk"), job, { words, empty: false }));
new ResizeObserver(() => {
  showElevation(elevationRun);
  showBar();
}).observe(paper);

take("look");
showMarks().catch(() => {});
showJobs().catch(() => {});
job.load().catch((error) => job.dispatchEvent(new CustomEvent("refused", { detail: error })));

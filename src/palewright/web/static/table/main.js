/**
 * The drawing table: one job, its drawing, what stands beside it, and the hands that change it.
 * @typedef {import("./types.js").Sight} Sight
 * @typedef {import("./types.js").Change} Change
 */

import { get, page as opened } from "../shared/api.js";
import { textOf } from "../shared/problems.js";
import { asker } from "./ask.js";
import { bringFile } from "./bring.js";
import { showChosen } from "./chosen.js";
import { Corner } from "./corner.js";
import { deedOf } from "./deed.js";
import { Drawing } from "./drawing.js";
import { drawElevation } from "./elevation.js";
import { Eye } from "./eye.js";
import { standing } from "./focus.js";
import { handsOf } from "./hands.js";
import { Job, changed } from "./job.js";
import { listen } from "./listen.js";
import { showCounts, showNotices, showTapes, showThings } from "./lists.js";
import { nameOf } from "./names.js";
import { shape } from "./paint.js";
import { showRefused } from "./refused.js";
import { roomFor } from "./room.js";
import { settleOf } from "./settle.js";
import { tapesOf } from "./tapes.js";
import { versionsOf } from "./versions.js";
import { showWalk } from "./walk.js";
import { wireOf } from "./wire.js";
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
const giveRoom = roomFor(drawing);
const corner = new Corner(drawing, words);
const eye = new Eye(paper, holder, () => {
  drawing.look(eye.view());
  wire?.look();
  showBar();
  giveRoom();
});
const wire = wireOf(job, drawing);
const ask = asker(at("ask"), at("told"), words);
const versions = versionsOf(job, { against: at("against"), other: at("beside-job"), go: at("beside-go"), words, ask, revision: opened.revision });
/** @type {Sight | null} */
let shown = null;
let chosen = "";
let elevationRun = "";
let fresh = true;

/** @type {import("./hands.js").Bench} */
const bench = { job, eye, drawing, overlay, choose, tell, ask, take, words, name: nameOf, busy };
const hands = handsOf(bench);
let hand = hands.look;

/** @param {string} name @param {boolean} [quietly]  what was said stays */
function take(name, quietly = false) {
  hand.end();
  hand = hands[name];
  for (const button of document.querySelectorAll("[data-hand]"))
    if (button instanceof HTMLButtonElement) button.setAttribute("aria-pressed", String(button.dataset.hand === name));
  paper.dataset.hand = name;
  const said = at("told").textContent;
  hand.begin();
  if (quietly) tell(said);
}

/** @param {string} text */
function tell(text) {
  at("told").textContent = text;
}

/** Buttons for what a chain of places can do next. @param {number} places @param {number} least */
function busy(places, least) {
  at("doing").hidden = !places;
  at("chain-end").disabled = places < least;
}

/** @param {string} id */
function choose(id) {
  chosen = id;
  const item = drawing.item(id);
  const run = [item?.about, id].find((name) => name?.startsWith("run "));
  if (item?.kind === "stretch") showStretch(id);
  else if (item?.kind === "line post") showStretch(item.about ?? "");
  else if (run && run !== elevationRun) showElevation(run);
  drawing.mark("chosen", id ? [id] : []);
  corner.choose(id);
  giveRoom();
  light(id);
  if (shown) showChosen(at("chosen"), id, item, shown, { save: (edits, wrong) => job.save(edits, wrong), ask, words, nudge, corner, choose, typed });
  tell(item?.say ?? "");
}

/** @param {string} id  what the mouse is on; what is chosen stays lit beside the drawing when it is on nothing */
function light(id) {
  drawing.mark("lit", id && id !== chosen ? [id] : []);
  drawing.tip(id);
  sayLine(id);
  if (drawing.item(id)?.drag && hand === hands.look) job.warm();
  for (const element of document.querySelectorAll("#elevation .lit, #beside .lit")) element.classList.remove("lit");
  for (const one of new Set([id, chosen])) {
    if (!one) continue;
    const listed = drawing.item(one)?.kind === "line post" ? drawing.item(one)?.about : one; // lists have its stretch
    const [own, about] = [`[data-id="${CSS.escape(one)}"]`, `[data-about="${CSS.escape(listed ?? one)}"]`];
    for (const element of document.querySelectorAll(`#elevation ${own}, #beside ${own}, #counts ${about}, #things ${about}`)) element.classList.add("lit");
  }
}

/** What a line post of wire is comes a moment later than the post itself. @param {string} id */
async function sayLine(id) {
  const item = drawing.item(id);
  if (item?.kind !== "line post" || item.say) return;
  await wire.say(item);
  drawing.tip(id);
  if (chosen === id && item.say) choose(id);
}

/** Several things lie under a finger: which is meant? @param {string[]} ids */
async function among(ids) {
  if (ids.length < 2) return choose(ids[0] ?? "");
  const id = await ask({ title: words("ask_among"), pick: ids.slice(0, 12).map((value) => ({ value, text: nameOf(value) })) });
  if (id) choose(id);
  return undefined;
}

/** What is chosen moved by what a tape reads well, with buttons or arrow keys. @param {number} x @param {number} y @param {boolean} [far] */
function nudge(x, y, far = false) {
  const item = drawing.item(chosen);
  if (!item?.drag) return;
  const metric = job.sight?.print === "metric";
  const step = far ? (metric ? 0.25 : 0.3048) : metric ? 0.01 : 0.0254;
  const [dx, dy] = [x * step, y * step];
  const [from, to] = item.points ?? [];
  const at = corner.at;
  if (item.kind === "gate" && from && to) job.save([{ kind: "move gate", about: item.id, at: [(from[0] + to[0]) / 2 + dx, (from[1] + to[1]) / 2 + dy] }]);
  else if (at) job.save([{ kind: "move", about: item.id, to: [at[0] + dx, at[1] + dy], index: corner.index }]);
  else if (item.centre) job.save([{ kind: "move", about: item.id, to: [item.centre[0] + dx, item.centre[1] + dy] }]);
  else job.save([{ kind: "move", about: item.id, to: [dx, dy], held: [0, 0] }]); // a zone or a building as a whole
}

/** What stands in the job file of a thing, as it is typed. @param {string} about @returns {Promise<Record<string, string>>} */
async function typed(about) {
  try {
    return await get(job.path(`typed?about=${encodeURIComponent(about)}`));
  } catch (error) {
    job.dispatchEvent(new CustomEvent("refused", { detail: error }));
    return {};
  }
}

/** @param {string} about */
function showElevation(about) {
  const run = shown?.elevations.find((one) => one.about === about) ?? shown?.elevations[0];
  elevationRun = run?.about ?? "";
  at("under").hidden = !run;
  if (!run) return side.replaceChildren();
  const counted = shown?.counts.runs?.find((one) => one.about === run.about);
  at("elevation-name").textContent = [nameOf(run.about), counted?.length].filter(Boolean).join(", ");
  const pick = /** @type {HTMLSelectElement} */ (at("follows"));
  pick.replaceChildren(...(run.choices ?? []).map((choice) => new Option(choice.text, choice.value, false, choice.value === run.follows)));
  /** @type {HTMLElement} */ (pick.parentElement).hidden = !run.choices?.length;
  pick.onchange = () => job.save([{ kind: "follows", run: run.run, follows: pick.value }]);
  const { exaggerated } = drawElevation(side, run);
  at("level").hidden = !run.level;
  const drawnSo = exaggerated > 1.05 ? words("heights_times", { times: exaggerated.toFixed(1) }) : "";
  at("exaggerated").textContent = run.length ? drawnSo : words("not_built");
  light("");
  return undefined;
}

/** One stretch of wire from the side, as soon as it is known. @param {string} id */
async function showStretch(id) {
  const found = await wire.side(id);
  if (!found || (chosen !== id && drawing.item(chosen)?.about !== id) || !shown) return;
  shown.elevations = [...shown.elevations.filter(({ about }) => !about.startsWith("stretch ")), found];
  showElevation(id);
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
  showNotices(at("notices"), sight, words, { choose: see, about, settle, textLink: (line) => `/jobs/${job.id}/text#line-${line}` });
  showTapes(at("tapes"), sight, words, { choose: see, change: tapes.change, remove: (id) => job.save([{ kind: "delete", about: id }]), measure: tapes.measure });
  showThings(at("things"), sight, words, see);
  if (elevationRun.startsWith("stretch ")) showStretch(elevationRun);
  else showElevation(elevationRun);
  wire.look();
  at("north").hidden = !sight.north;
  const problems = sight.notices.filter(({ level }) => level === "problem").length;
  const counted = problems + sight.notices.filter(({ level }) => level === "caution").length;
  at("notice-count").textContent = counted ? `(${counted})` : "";
  at("trouble").hidden = !problems;
  at("trouble").textContent = words("trouble", { number: String(problems) });
  showBar();
}

/** Whether something is drawn of a thing. @param {string} id */
const drawn = (id) => drawing.of(id).length > 0;

/** What is drawn of the thing that a notice is about: itself, or what it is a part of; "" for nothing. @param {import("./types.js").Notice} notice */
function about({ about: id = "", path = "" }) {
  if (drawn(id)) return id;
  const parts = [...drawing.held.values()].map(({ item }) => item).filter((item) => item.path && path.startsWith(item.path) && item.kind !== "post");
  return parts.sort((a, b) => (b.path?.length ?? 0) - (a.path?.length ?? 0))[0]?.id ?? "";
}

/** Whether all of a thing is in view. @param {string} id */
function visible(id) {
  const item = drawing.item(id);
  const places = item?.points ?? (item?.centre ? [item.centre] : []);
  return places.every((place) => eye.sees(place));
}

/** A thing chosen from a list comes into view. @param {string} id */
function see(id) {
  const item = drawing.item(id) ?? [...drawing.held.values()].find((one) => one.item.about === id)?.item;
  const place = item?.centre ?? item?.points?.[0];
  if (place && !eye.sees(place)) eye.centre(place);
  choose(id);
  if (matchMedia("(max-width: 60rem)").matches) at("chosen").scrollIntoView({ block: "center" });
}

const settle = settleOf({ job, ask, words, typed, drawing, sight: () => shown });

const paste = deedOf({ job, ask, words });
async function deed() {
  if ((await paste()) && shown) eye.fit(shown.extent);
}

const tapes = tapesOf({ job, ask, words, sight: () => shown });

/** What moved since the sight before. @param {Sight | null} before @param {Sight} now */
function moved(before, now) {
  if (!before) return [];
  const places = new Map(before.items.filter(({ kind }) => kind === "post").map((item) => [item.id, String(item.centre)]));
  return now.items.filter((item) => item.kind === "post" && places.has(item.id) && places.get(item.id) !== String(item.centre)).map(({ id }) => id);
}

/** First steps open on an empty page, and close again when somebody goes on by hand. @param {Sight} sight @param {string} how */
function guide(sight, how) {
  const part = /** @type {HTMLDetailsElement} */ (at("walk-part"));
  const empty = !sight.items.length;
  const sided = sight.notices.some(({ slug }) => slug === "point-either-side"); // no tape can tell: it is asked
  if (sided) part.open = true;
  document.body.toggleAttribute("data-empty", empty && !job.older);
  if (!sided && !empty && (how === "edits" || how === "import") && part.dataset.own) {
    part.open = false;
    delete part.dataset.own;
  }
  if (empty && !job.older) part.dataset.own = "yes";
  showWalk(at("walk"), job, { words, empty: empty && !job.older });
}

job.addEventListener("saving", () => (at("state").textContent = words("saving")));
job.addEventListener("sight", (event) => {
  const { said, made, how } = /** @type {CustomEvent} */ (event).detail;
  const before = shown;
  const stood = standing();
  const sight = /** @type {Sight} */ (job.sight);
  show(sight);
  at("state").textContent = words("saved", { number: String(job.revision) });
  at("undo").disabled = !job.canUndo;
  at("redo").disabled = !job.canRedo;
  if (how !== "restore") escape();
  if (fresh) eye.fit(sight.items.length ? sight.extent : [0, 0, 30, 20]);
  else if (how === "import" || !before?.items.length || (sight.elevations.length && !before.elevations.length) || made.some((/** @type {string} */ id) => !visible(id))) eye.fit(sight.extent);
  fresh = false;
  if (how !== "restore") guide(sight, how);
  choose(made.find((/** @type {string} */ id) => !id.startsWith("point ")) ?? made[0] ?? (drawn(chosen) ? chosen : ""));
  const others = ["edits", "undo", "redo"].includes(how) ? moved(before, sight) : [];
  drawing.mark("moved", others);
  giveRoom();
  paper.classList.toggle("older", job.older);
  if (job.older) tell(words(sight.items.length ? "older" : "nothing_drawn"));
  else if (said.length) tell(said.join("\n"));
  else if (others.length && !made.length) tell(words("moved", { number: String(others.length) }));
  stood();
});
job.addEventListener("change", (event) => {
  if (!job.sight) return;
  const change = /** @type {Change} */ (/** @type {CustomEvent} */ (event).detail);
  drawing.over(change.items ?? [], change.gone ?? []);
  if ("whole" in change) {
    shown = changed(job.sight, change);
    showCounts(at("counts"), shown, words, see);
    showElevation(elevationRun);
  }
  giveRoom();
  drawing.mark("moved", (change.items ?? []).map((item) => item.id ?? "").filter((id) => id.startsWith("post ")));
});
job.addEventListener("not-there", (event) => tell(textOf(/** @type {CustomEvent} */ (event).detail)));
job.addEventListener("refused", (event) => {
  const error = /** @type {CustomEvent} */ (event).detail;
  showRefused(at("refused-text"), error, { drawing, see });
  at("refused-load").hidden = error.status !== 409;
  at("refused").hidden = false;
  at("state").textContent = words("not_saved");
});

/** Escape closes what stands over the drawing. */
function escape() {
  if (at("refused").hidden) return false;
  at("refused").hidden = true;
  drawing.mark("needs", []);
  return true;
}

job.side = () => (at("under").open ? elevationRun : "");

const fit = () => shown && eye.fit(shown.items.length ? shown.extent : [0, 0, 30, 20]);
listen({ paper, side, beside: at("beside"), tools: at("hands"), eye, hand: () => hand, choose, light, among, nudge, job, escape, fit,
  movable: () => Boolean(drawing.item(chosen)?.drag) });

/** @type {Record<string, () => unknown>} */
const buttons = {
  undo: () => job.undo(), redo: () => job.redo(), mark: versions.mark, copy: versions.copy, deed, measure: () => tapes.measure(), fit,
  nearer: () => eye.near(1.4), further: () => eye.near(1 / 1.4), bring: () => at("bring-file").click(),
  "chain-end": () => hand.finish(), "chain-type": () => hand.type(), "chain-back": () => hand.back(), "chain-away": () => hand.away(),
  trouble: () => {
    at("notices-part").open = true;
    if (matchMedia("(max-width: 60rem)").matches) at("notices-part").scrollIntoView();
    else at("beside").scrollTop = at("notices-part").offsetTop - at("beside").firstElementChild.offsetHeight;
    at("notices-part").querySelector("summary").focus({ preventScroll: true });
  },
  "refused-close": escape,
  "refused-load": async () => {
    await job.load();
    at("refused").hidden = true;
  },
};
for (const [id, run] of Object.entries(buttons)) at(id)?.addEventListener("click", run);
for (const button of document.querySelectorAll("[data-hand]"))
  if (button instanceof HTMLButtonElement) button.addEventListener("click", () => take(button.dataset.hand ?? "look"));
at("bring-file").addEventListener("change", async () => {
  const file = at("bring-file").files?.[0];
  if (file) await bringFile(job, file, { ask, words, tell });
  at("bring-file").value = "";
});
at("walk-part").addEventListener("toggle", () => showWalk(at("walk"), job, { words, empty: false }));
at("under").addEventListener("toggle", () => showElevation(elevationRun));
let [wide, high] = [0, 0];
new ResizeObserver(([{ contentRect: { width, height } }]) => {
  if (wide) eye.resized(width - wide, height - high);
  [wide, high] = [width, height];
  showElevation(elevationRun);
  showBar();
}).observe(paper);

take("look");
/** A file that was put beside the job before it was opened. */
async function brought() {
  const name = new URLSearchParams(location.search).get("bring");
  if (!name) return;
  history.replaceState(null, "", location.pathname); // once
  await bringFile(job, name, { ask, words, tell });
}

versions.ready.then(() => job.load()).then(brought).catch((error) => job.dispatchEvent(new CustomEvent("refused", { detail: error })));

/**
 * The yard: one hole at a time, next and back by thumb, ticks kept on the phone until they are sent.
 */

import { fill, get, page } from "../shared/api.js";
import { tag } from "../shared/dom.js";
import { textOf } from "../shared/problems.js";
import { Box } from "./box.js";
import { checkCard, gateCard, holeCard, lastCard, locateCard, runCard } from "./cards.js";
import { fold, kept } from "./fold.js";
import { Sync } from "./sync.js";

const job = page.job;
const VIEWS = ["locate", "holes", "checks", "last"];
/** @type {Record<string, Record<string, string>>} */
const texts = JSON.parse(document.getElementById("yard-words")?.textContent ?? "{}");
/** @param {string} id @returns {any} */
const at = (id) => document.getElementById(id);

const box = await Box.open(job);
const sync = new Sync(box);
/** @type {string} */
let language = await box.fact("language", page.lang);
/** @type {any} */
let pack = null;
/** @type {any[]} */
let entries = [];
/** @type {Map<string, any>} */
let states = new Map();
let view = "holes";
let place = 0;
let string = "";

/** @param {string} key @param {Record<string, string>} [values] */
function words(key, values = {}) {
  return fill(texts[language]?.[key.replace(/^yard_/, "")] ?? key, values);
}

/** An id that no other phone makes; also where a browser has no randomUUID. */
function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((one) => one.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

/** @type {import("./cards.js").Act} */
const act = {
  async put(about, what, value, photo) {
    const who = await name();
    if (!who) return;
    const shot = photo ? { id: newId(), blob: photo } : undefined;
    await box.add({ id: newId(), who, made: new Date().toISOString(), about, what, value: shot ? { photo: shot.id } : value }, shot);
    await refresh();
    sync.go();
  },
  state: (about, field) => states.get(`${about} | ${field}`),
  kept: (about, what) => kept(entries, about, what),
  words,
  get pack() {
    return pack;
  },
};

/** Whose hand it is; asked once. @returns {Promise<string>} */
async function name() {
  const held = await box.fact("who", "");
  if (held) return held;
  const dialog = /** @type {HTMLDialogElement} */ (at("who"));
  dialog.returnValue = "";
  dialog.showModal();
  await new Promise((done) => dialog.addEventListener("close", done, { once: true }));
  const who = dialog.returnValue === "take" ? at("who-name").value.trim() : "";
  if (who) await box.putFact("who", who);
  return who;
}

async function load() {
  if (!(await box.fact("device", ""))) await box.putFact("device", newId());
  pack = (await box.pack(language))?.pack ?? null;
  await refresh();
  for (const other of [language, language === "en" ? "es" : "en"]) {
    try {
      const fresh = await get(`/jobs/${job}/yard?lang=${other}`);
      await box.putPack(other, fresh.pack);
      if (other === language) {
        pack = fresh.pack;
        await refresh();
      }
    } catch (error) {
      // without a signal the pack of this morning serves
      if (other === language && !pack) at("card").replaceChildren(tag("p", { class: "big" }, textOf(error)));
    }
  }
  sync.go();
}

async function refresh() {
  entries = (await box.entries()).map((one) => one.entry);
  states = fold(entries);
  show();
}

/** What the present view goes through, in order. @returns {(() => HTMLElement)[]} */
function things() {
  if (view === "locate") return [() => locateCard(act)];
  if (view === "checks") return pack.checks.map((/** @type {any} */ one) => () => checkCard(one, act));
  if (view === "holes") {
    const found = pack.strings.find((/** @type {any} */ one) => one.about === string) ?? pack.strings[0];
    const wanted = new Set(found?.holes ?? []);
    return pack.holes.filter((/** @type {any} */ hole) => wanted.has(hole.about)).map((/** @type {any} */ hole) => () => holeCard(hole, act));
  }
  const gates = pack.gates.map((/** @type {any} */ one) => () => gateCard(one, act));
  return [...gates, ...pack.runs.map((/** @type {any} */ one) => () => runCard(one, act)), () => lastCard(act)];
}

function show() {
  if (!pack) {
    at("card").replaceChildren(tag("p", { class: "big" }, at("card").dataset.empty ?? ""));
    return;
  }
  at("title").textContent = pack.title;
  at("stop").hidden = pack.locate.dig;
  at("stop").textContent = pack.locate.dig ? "" : pack.locate.head;
  for (const one of VIEWS) {
    at(`view-${one}`).textContent = words(`view_${one}`);
    at(`view-${one}`).setAttribute("aria-current", String(view === one));
  }
  const list = things();
  place = Math.min(Math.max(place, 0), Math.max(list.length - 1, 0));
  showStrings();
  at("card").replaceChildren(list.length ? list[place]() : tag("p", {}, words("nothing")));
  at("where").textContent = list.length ? `${place + 1} / ${list.length}` : "";
  at("back").disabled = place === 0;
  at("next").disabled = place >= list.length - 1;
  for (const key of ["back", "next"]) at(key).textContent = words(key);
  at("language").textContent = words("other_language");
  at("who-title").textContent = words("who");
  showState();
}

function showStrings() {
  at("string-row").hidden = view !== "holes" || pack.strings.length < 2;
  const done = (/** @type {string[]} */ holes) => holes.filter((about) => states.get(`${about} | done`)?.value).length;
  const options = pack.strings.map((/** @type {any} */ one) => new Option(`${one.title} (${done(one.holes)}/${one.holes.length})`, one.about, false, one.about === string));
  at("string").replaceChildren(...options);
}

const STATES = /** @type {Record<string, string>} */ ({ sent: "sent", refused: "refused", ended: "ended" });

function showState() {
  at("state").textContent = words(STATES[sync.state] ?? "waiting", { number: String(sync.left) });
  at("state").dataset.state = sync.state;
}

/** @param {number} by */
function go(by) {
  place += by;
  show();
  scrollTo(0, 0);
}

at("back").addEventListener("click", () => go(-1));
at("next").addEventListener("click", () => go(1));
for (const one of VIEWS)
  at(`view-${one}`).addEventListener("click", () => {
    view = one;
    place = 0;
    show();
  });
at("string").addEventListener("change", () => {
  string = at("string").value;
  place = 0;
  show();
});
at("language").addEventListener("click", async () => {
  language = language === "en" ? "es" : "en";
  document.documentElement.lang = language;
  await box.putFact("language", language);
  pack = (await box.pack(language))?.pack ?? pack;
  show();
});
at("state").addEventListener("click", () => sync.go());
sync.addEventListener("state", showState);
sync.addEventListener("news", refresh);
document.addEventListener("keydown", (event) => {
  const typing = event.target instanceof HTMLInputElement || event.target instanceof HTMLTextAreaElement || event.target instanceof HTMLSelectElement;
  if (!typing && event.key === "ArrowRight") go(1);
  if (!typing && event.key === "ArrowLeft") go(-1);
});
await load();
await keepPages();

/** The page and all that it is made of, kept for a day without a signal: what was loaded before the worker woke is loaded through it again. */
async function keepPages() {
  if (!("serviceWorker" in navigator)) return;
  try {
    await navigator.serviceWorker.register("/yard/sw.js");
    await navigator.serviceWorker.ready;
    if (!navigator.serviceWorker.controller) await new Promise((done) => navigator.serviceWorker.addEventListener("controllerchange", done, { once: true }));
    const parts = performance.getEntriesByType("resource").map(({ name: url }) => url).filter((url) => new URL(url).pathname.startsWith("/static/"));
    await Promise.all([location.href, ...new Set(parts)].map((url) => fetch(url)));
    document.body.dataset.kept = "yes";
  } catch {
    // without a worker the page must stay open: the entries are kept all the same
  }
}

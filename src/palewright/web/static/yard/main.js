/**
 * The yard: one thing at a time, next and back by thumb, ticks kept on the phone until they are sent.
 */

import { fill, get, page } from "../shared/api.js";
import { tag } from "../shared/dom.js";
import { sure } from "./asking.js";
import { Box, newId } from "./box.js";
import { checkCard, holeCard, locateCard, stretchCard, stringCard, wireCard, wirePostCard } from "./cards.js";
import { faultText } from "./faults.js";
import { bayCard, closeCard, gateCard, runCard } from "./finish.js";
import { beforeChange, fold, kept, placeOf } from "./fold.js";
import { keepPages } from "./keeping.js";
import { bayMark, checkMark, checkTitle, gateMark, postMark, runMark, sign } from "./marks.js";
import { changedBays, readsNow } from "./moved.js";
import { sheetCard } from "./sheet.js";
import { Sync, now } from "./sync.js";
import { stopText } from "./ticket.js";
import { waiting } from "./waiting.js";

const job = page.job;
const LANGUAGES = ["en", "es"];
const VIEWS = ["locate", "holes", "checks", "last"];
/** A second touch within so many milliseconds is the same touch. */
const SAME_TOUCH = 700;
/** @type {Record<string, Record<string, string>>} */
const texts = JSON.parse(document.getElementById("yard-words")?.textContent ?? "{}");
/** @param {string} id @returns {any} */
const at = (id) => document.getElementById(id);

const box = await Box.open(job);
const sync = new Sync(box);
const others = "BroadcastChannel" in window ? new BroadcastChannel(`palewright-yard-${job}`) : null;
/** @type {string} */
let language = await box.fact("language", page.lang);
/** @type {any} */
let pack = null;
/** @type {Record<string, any>} the pack by language */
const packs = {};
/** @type {any} the pack that byAbout was made from */
let indexed = null;
/** @type {Map<string, any>} */
let byAbout = new Map();
/** Whether every language was asked for once. */
let loaded = false;
/** @type {any[]} */
let entries = [];
/** @type {Map<string, import("./fold.js").State>} */
let states = new Map();
let view = "holes";
let [place, atHole] = [0, 0]; // atHole: where the crew stopped among the holes
/** @type {string} */
let string = "";
let shown = "";
/** @type {Map<string, number>} */
const touched = new Map();

/** @param {string} key @param {Record<string, string>} [values] */
function words(key, values = {}) {
  return fill(texts[language]?.[key.replace(/^yard_/, "")] ?? key, values);
}

/** @type {import("./parts.js").Act} */
const act = {
  async put(about, what, value, photo) {
    const touch = [about, what, ...Object.keys(value)].join("|");
    const now = performance.now();
    if (now - (touched.get(touch) ?? -SAME_TOUCH) < SAME_TOUCH) return;
    touched.set(touch, Infinity);
    try {
      await keep(about, what, value, photo);
    } finally {
      touched.set(touch, performance.now());
    }
  },
  state: (about, field) => states.get(`${about} | ${field}`),
  kept: (about, what) => kept(entries, about, what),
  async photo(id) {
    const blob = await box.photo(id);
    if (blob) return URL.createObjectURL(blob);
    return navigator.onLine ? `/api/jobs/${job}/yard/photos/${id}` : "";
  },
  words,
  tell,
  async waits(why) {
    const today = now().slice(0, 10);
    const asked = (await box.fact(`wait ${job}`, "")) === today;
    if (asked || !(await sure(at("sheet"), open, words, stopText(pack.locate, words), why))) return asked;
    await box.putFact(`wait ${job}`, today);
    return true;
  },
  before: (about) => beforeChange(entries, about, pack),
  get pack() { return pack; },
  get language() { return language; },
};

/** Keep one entry; nothing is shown as done before it is on the phone. @param {string} about @param {string} what @param {object} value @param {Blob} [photo] */
async function keep(about, what, value, photo) {
  const who = await name();
  if (!who) return;
  const place = placeOf(about, pack);
  const shot = photo ? { id: newId(), blob: photo } : undefined;
  try {
    const entry = await box.add({ id: newId(), who, made: now(), about, what, value: { ...value, ...(place ? { place } : {}), ...(shot ? { photo: shot.id } : {}) } }, shot);
    entries.push(entry);
    sync.left += 1;
  } catch (error) {
    tell(words(/** @type {any} */ (error)?.name === "QuotaExceededError" ? "full" : "not_kept", { why: String(/** @type {any} */ (error)?.name ?? "") }));
    return;
  }
  states = fold(entries, pack);
  others?.postMessage("news");
  show();
  sync.go();
}

/** Say one thing that must not be missed; a touch puts it away. @param {string} text */
function tell(text) {
  at("news-text").textContent = text;
  at("news").hidden = !text;
}

/** Whose hand it is; asked once. @returns {Promise<string>} */
async function name() {
  return (await box.fact("who", "")) || rename();
}

/** @returns {Promise<string>} */
async function rename() {
  const dialog = /** @type {HTMLDialogElement} */ (at("who"));
  if (dialog.open) return "";
  at("who-title").textContent = words("who");
  dialog.returnValue = "";
  dialog.showModal();
  await new Promise((done) => dialog.addEventListener("close", done, { once: true }));
  const who = dialog.returnValue === "take" ? at("who-name").value.trim() : "";
  if (who) await box.putFact("who", who);
  return who;
}

async function load() {
  for (const one of LANGUAGES) packs[one] = (await box.pack(one))?.pack ?? null;
  pack = packs[language];
  readPlace();
  await refresh();
  show();
  if (pack) history.replaceState(null, "", address());
  for (const other of [language, ...LANGUAGES.filter((one) => one !== language)]) {
    try {
      if (!navigator.onLine) throw new Error("offline");
      await fetchPack(other);
    } catch (error) {
      // without a signal the pack of this morning serves
      if (other === language && !pack) at("card").replaceChildren(tag("p", { class: "big" }, noPlan(error)));
    }
  }
  loaded = true;
  sync.go();
}

/** Why there is no plan to show. @param {unknown} error */
function noPlan(error) {
  if (!navigator.onLine) return words("state_offline");
  return /** @type {any} */ (error).status === 422 ? words("no_plan") : faultText(error, words);
}

/** @param {string} which */
async function fetchPack(which) {
  const [before, fresh] = await Promise.all([box.pack(which), get(`/jobs/${job}/yard?lang=${which}`, AbortSignal.timeout(60_000))]);
  await box.putPack(which, fresh.pack, fresh.job.revision).catch(() => tell(words("full")));
  packs[which] = fresh.pack;
  if (which !== language) return;
  if (at("news-text").textContent === words("pack_to_come")) tell("");
  if (before && before.revision !== fresh.job.revision) tell(words("plan_changed"));
  [pack, states] = [fresh.pack, fold(entries, fresh.pack)];
  if (!before) readPlace();
  show();
  if (!before) history.replaceState(null, "", address());
}

/** Entries anew from the phone: others sent some, or another tab made one. What is being typed stays. */
async function refresh() {
  const before = known();
  entries = (await box.entries()).filter((row) => !row.refused).map((row) => row.entry);
  states = fold(entries, pack);
  const busy = at("card").querySelector("[data-dirty]") || at("card").querySelector("input:focus, textarea:focus") || at("card").querySelector("textarea")?.value;
  if (!pack || busy || known() === before) showFrame();
  else show();
}

/** What all is known, to see whether a card must be drawn anew. */
function known() {
  return JSON.stringify([[...states], entries.filter((one) => one.what === "note" || one.what === "photo").map((one) => one.id)]);
}

/**
 * What the present view goes through, in order.
 * @returns {{about: string, title: string, reads: string, mark: import("./marks.js").Mark, card: () => HTMLElement}[]}
 */
function things() {
  const thing = (/** @type {any} */ one, /** @type {string} */ reads, /** @type {() => HTMLElement} */ card, /** @type {import("./marks.js").Mark} */ mark = "") => ({ about: one.about, title: one.title, reads, mark, card });
  if (view === "locate") return [thing({ about: "job", title: words("view_locate") }, "", () => locateCard(act))];
  if (view === "checks") return pack.checks.map((/** @type {any} */ one) => thing({ ...one, title: checkTitle(one) }, one.expect, () => checkCard(one, act), checkMark(one, act)));
  if (view === "holes") {
    const group = present();
    if (!group) return [];
    const head = group.order ? thing(group, group.length, () => wireCard(group, act)) : thing(group, group.face ? words("offs", { centre: group.offset, face: group.face }) : group.offset, () => stringCard(group, act));
    return [head, ...group.holes.map((/** @type {string} */ about) => ofGroup(group, about)).map((/** @type {any} */ [one, reads, card]) => thing(one, reads, card, postMark(one, act)))];
  }
  return [
    ...pack.gates.map((/** @type {any} */ one) => thing(one, one.opening, () => gateCard(one, act), gateMark(one, act))),
    ...pack.runs.map((/** @type {any} */ one) => thing(one, one.signed || one.length, () => runCard(one, act), runMark(one, act))),
    ...changedBays(pack, act).map((/** @type {any} */ one) => thing(one, "", () => bayCard(one, act), bayMark(one, act))),
    thing({ about: "job", title: words("last_card") }, "", () => closeCard(act), states.get("job | signed.name")?.value ? "good" : "open"),
    thing({ about: "sheet", title: words("sheet") }, "", () => sheetCard(act, box)),
  ];
}

/** Something that a string or a run of wire goes through: it, its biggest number, its card. @param {any} group @param {string} about */
function ofGroup(group, about) {
  if (indexed !== pack) {
    indexed = pack;
    byAbout = new Map([...pack.stretches, ...pack.wire_posts, ...pack.holes].map((one) => [one.about, one]));
  }
  const one = byAbout.get(about);
  if (one.posts) return [one, one.reads, () => stretchCard(one, act)];
  if (one.set) return [one, one.reads, () => wirePostCard(one, act)];
  const on = one.others.find((/** @type {any} */ other) => other.string === group.about) ?? one;
  const now = on === one ? readsNow(one, act) : "";
  return [one, now ? `${on.reads} → ${now}` : on.reads, () => holeCard(one, group, act)];
}

/** Strings and runs of wire, which the crew works along. */
function groups() {
  return [...pack.strings, ...pack.wire];
}

function present() {
  const all = groups();
  return all.find((one) => one.about === string) ?? all[0];
}

function show() {
  showFrame();
  if (!pack) {
    at("card").replaceChildren(tag("p", { class: "big" }, words("loading")));
    return;
  }
  const list = things();
  place = Math.min(Math.max(place, 0), Math.max(list.length - 1, 0));
  at("where").textContent = list.length ? `${place + 1} / ${list.length}` : "";
  at("where").setAttribute("aria-label", words("list", { place: String(place + 1), all: String(list.length) }));
  at("back").disabled = place === 0;
  at("next").disabled = place >= list.length - 1;
  const key = [view, string, list[place]?.about, language].join("|");
  const opened = key === shown ? [...at("card").querySelectorAll("details[open]")].map((one) => one.dataset.key) : [];
  shown = key;
  at("card").replaceChildren(list.length ? list[place].card() : tag("p", { class: "big" }, words("nothing")));
  for (const one of opened) at("card").querySelector(`details[data-key="${one}"]`)?.setAttribute("open", "");
}

/** All but the card. */
function showFrame() {
  for (const one of VIEWS) {
    at(`view-${one}`).textContent = words(`view_${one}`);
    at(`view-${one}`).setAttribute("aria-current", String(view === one));
  }
  for (const key of ["back", "next"]) at(key).textContent = words(key);
  /** @type {HTMLElement} */ (document.querySelector(".skip")).textContent = words("skip");
  document.querySelector("nav.steps")?.setAttribute("aria-label", words("steps"));
  at("sheet").setAttribute("aria-label", words("all"));
  at("string-row").querySelector("span").textContent = words("string");
  at("language").textContent = words("other_language");
  at("language").lang = language === "en" ? "es" : "en";
  showState();
  if (!pack) return;
  at("title").textContent = pack.title;
  at("stop").textContent = stopText(pack.locate, words);
  at("stop").hidden = !at("stop").textContent;
  const all = groups();
  at("string-row").hidden = view !== "holes" || all.length < 2;
  const done = (/** @type {string[]} */ holes) => holes.filter((about) => states.get(`${about} | done`)?.value).length;
  const now = present()?.about;
  at("string").replaceChildren(...all.map((one) => new Option(`${one.title}: ${done(one.holes)} / ${one.holes.length}`, one.about, false, one.about === now)));
}

function showState() {
  const state = sync.left && sync.state === "sent" ? "waiting" : sync.state === "waiting" && !sync.left ? "looking" : sync.state === "offline" && !sync.left ? "state_offline" : sync.state;
  at("state").textContent = words(state === "refused" && !sync.refused ? "state_refused" : state, { number: String(state === "refused" ? sync.refused : sync.left) });
  at("state").dataset.state = sync.state;
  at("state").dataset.left = String(sync.left);
}

// ---------------------------------------------------------------- moving about

/** Where one is, in the address: the phone's own back button goes to what was seen before, and nothing is lost by reloading. */
function address() {
  return `#${new URLSearchParams({ view, string, place: String(place) })}`;
}

/** Where the address says; a page that is opened anew begins with the locate while that is open, else where the crew stopped. */
function readPlace() {
  const stored = new URLSearchParams(localStorage.getItem(`yard ${job}`) ?? "");
  const asked = location.hash.length > 1 ? new URLSearchParams(location.hash.slice(1)) : new URLSearchParams(stored);
  const whole = (/** @type {string | null} */ text) => Number.parseInt(text ?? "", 10) || 0;
  atHole = whole(stored.get("hole"));
  string = asked.get("string") ?? string;
  const wanted = asked.get("view") ?? "";
  [view, place] = [VIEWS.includes(wanted) ? wanted : "holes", whole(asked.get("place"))];
  if (location.hash.length <= 1 && pack && stopText(pack.locate, words)) [view, place] = ["locate", 0];
}

/** @param {() => void} change */
function goTo(change) {
  change();
  show();
  const where = address();
  if (where !== location.hash) history.pushState(null, "", where);
  if (view === "holes") atHole = place;
  localStorage.setItem(`yard ${job}`, `${where.slice(1)}&hole=${atHole}`);
  scrollTo(0, 0);
}

/** @param {number} by */
function step(by) {
  const last = things().length - 1;
  if (place + by >= 0 && place + by <= last) goTo(() => (place += by));
}

function list() {
  const disputed = new Set([...states].filter(([, state]) => state.conflict).map(([key]) => key.split(" | ")[0]));
  const items = things().map((one, k) => {
    const made = tag("button", { type: "button", "aria-current": String(k === place) }, tag("span", {}, one.title), tag("strong", {}, one.reads), sign(disputed.has(one.about) ? "two" : one.mark, act));
    made.addEventListener("click", () => {
      at("sheet").close();
      goTo(() => (place = k));
    });
    return tag("li", {}, made);
  });
  open(tag("ol", { class: "things" }, ...items));
  at("sheet").querySelector("[aria-current=true]")?.scrollIntoView({ block: "center" });
}

/** @param {...Node} nodes */
function open(...nodes) {
  at("sheet-body").replaceChildren(...nodes);
  at("sheet-close").textContent = words("close");
  if (!at("sheet").open) at("sheet").showModal();
}

async function openState() {
  const changed = async () => {
    await refresh();
    await sync.go();
    await openState();
  };
  open(...(await waiting(act, box, sync, { who: await box.fact("who", ""), rename: async () => (await rename(), openState()), changed })));
}

at("back").addEventListener("click", () => step(-1));
at("next").addEventListener("click", () => step(1));
at("where").addEventListener("click", list);
for (const one of VIEWS) at(`view-${one}`).addEventListener("click", () => goTo(() => ([view, place] = [one, one === "holes" && view !== one ? atHole : 0])));
at("string").addEventListener("change", () => goTo(() => ([string, place] = [at("string").value, 0])));
at("language").addEventListener("click", () => {
  language = language === "en" ? "es" : "en";
  document.documentElement.lang = language;
  pack = packs[language] ?? pack;
  show();
  if (!packs[language]) tell(words("pack_to_come"));
  box.putFact("language", language);
});
at("state").addEventListener("click", async () => {
  await sync.go();
  await openState();
});
at("news-close").addEventListener("click", () => tell(""));
sync.addEventListener("state", async () => {
  showState();
  if (sync.state === "sent") for (const one of LANGUAGES) if (loaded && !packs[one]) await fetchPack(one).catch(() => {});
});
sync.addEventListener("news", refresh);
others?.addEventListener("message", refresh);
addEventListener("popstate", () => {
  readPlace();
  show();
});
addEventListener("pageshow", (event) => event.persisted && refresh());
document.addEventListener("keydown", (event) => {
  const target = /** @type {HTMLElement} */ (event.target);
  if (target.closest("input, textarea, select, dialog")) return;
  if (event.key === "ArrowRight") step(1);
  if (event.key === "ArrowLeft") step(-1);
});
document.documentElement.lang = language;
await load();
await keepPages();

/**
 * A question of the plan is answered on the page: by one of a few words, by a text, or by a form where it takes more than one.
 * @typedef {import("./types.js").Notice} Notice
 *
 * @typedef {object} Act
 * @property {import("./job.js").Job} job
 * @property {import("./ask.js").Ask} ask
 * @property {(key: string, values?: Record<string, string>) => string} words
 * @property {(about: string) => Promise<Record<string, string>>} typed
 * @property {import("./drawing.js").Drawing} drawing
 * @property {() => import("./types.js").Sight | null} sight
 */

import { textOf } from "../shared/problems.js";

/** Words of the job file that a question may be answered with. @type {Record<string, string[]>} */
const ANSWERS = { yard: ["left", "right"], "good side": ["neighbour", "yard"], swings: ["to yard", "out"] };

/** @param {Act} act @returns {(notice: Notice) => Promise<unknown>} */
export function settleOf(act) {
  const { job, ask, words, sight } = act;
  return async ({ answer: path = "", text, about = "", hint }) => {
    const key = path.slice(path.lastIndexOf(".") + 1);
    if (key === "locate") return sayLocate({ title: text, say: hint }, act);
    const run = key === "follows" ? sight()?.elevations.find(({ path: own }) => path.startsWith(own ?? "-")) : undefined;
    const few = ANSWERS[key]?.map((value) => ({ value, text: words(`answer_${value.replace(" ", "_")}`) }));
    const pick = key === "hinges" ? await hinges(about, act) : (run?.choices ?? few);
    const value = await ask({ title: text, ...(pick ? { pick } : {}) });
    if (value) await job.save([{ kind: "set", path, value }]);
    return undefined;
  };
}

/** The two posts of a gate, as the job file names them. Nobody has said which yet: they are drawn at the near one. @param {string} about @param {Act} act */
async function hinges(about, { words, typed, drawing, sight }) {
  const now = await typed(about);
  const [, point = ""] = /^.*? from (.*)$/.exec(now.starts ?? now.centre ?? "") ?? [];
  const bay = sight()?.elevations.flatMap(({ bays = [] }) => bays).find(({ gate }) => gate === about);
  const hung = drawing.item(about)?.spots?.[0];
  const off = (/** @type {string} */ label) => {
    const at = drawing.item(`post ${label}`)?.centre;
    return at && hung ? Math.hypot(at[0] - hung[0], at[1] - hung[1]) : 0;
  };
  const [near = "", far = ""] = (bay?.id.slice("bay ".length).split("-") ?? []).sort((a, b) => off(a) - off(b));
  const said = (/** @type {string} */ word, /** @type {string} */ post) => words(`hinges_${word}${post ? "" : "_unnamed"}`, { post, point });
  return [
    { value: point ? `near ${point}` : "near", text: said("near", near) },
    { value: point ? `far from ${point}` : "far", text: said("far", far) },
  ];
}

const LOCATE = ["ticket", "called on", "legal from", "expires"];

/**
 * What the one-call office said, and what each company on the ticket answered. What is there is shown; what stays empty stays open.
 * @param {{title: string, say?: string}} said @param {Act} act
 */
async function sayLocate(said, { job, ask, words, typed }) {
  const held = await typed("locate");
  const now = Object.fromEntries([...LOCATE, "members"].map((key) => [key, held[key] === "ask" ? "" : (held[key] ?? "")]));
  const fields = [...LOCATE, "members"].map((key) => {
    const word = `locate_${key.replace(" ", "_")}`;
    return { key, label: words(word), value: now[key], long: key === "members", ...(key === "ticket" ? {} : { hint: words(`${word}_hint`) }) };
  });
  /** @param {Record<string, string>} given @returns {Promise<import("./ask.js").Wrong | null>} */
  const use = async (given) => {
    const bad = LOCATE.slice(1).find((key) => given[key] && !/^\d{4}-\d\d-\d\d\b/.test(given[key]));
    if (bad) return { text: words("locate_day"), key: bad };
    const edits = /** @type {object[]} */ (LOCATE.filter((key) => given[key] !== now[key]).map((key) => ({ kind: "set", path: `locate.${key}`, value: given[key] || "ask" })));
    if (given.members !== now.members) {
      const members = membersOf(given.members);
      if (held.members) edits.push({ kind: "remove", path: "locate.members" });
      if (Object.keys(members).length) edits.push({ kind: "set", path: "locate.members", value: members });
    }
    /** @type {unknown} */
    let fault = null;
    const done = !edits.length || (await job.save(edits, (error) => (fault = error)));
    return done ? null : { text: textOf(fault) };
  };
  await ask({ ...said, fields, use });
}

/** A company on each line, and behind a colon what it answered and when. @param {string} text */
function membersOf(text) {
  const rows = text.split("\n").map((line) => /^\s*([^:]*[^:\s])\s*(?::\s*(.*?)\s*)?$/.exec(line));
  return Object.fromEntries(rows.flatMap((row) => (row ? [[row[1], answerOf(row[2] ?? "")]] : [])));
}

/** @param {string} said */
function answerOf(said) {
  const [, answer = said, when = ""] = /^(.*?)\s*,\s*(\d{4}-\d\d-\d\d.*)$/.exec(said) ?? [];
  return when ? { answer, when } : answer || "ask";
}

/**
 * The chosen thing: what it is, and what can be done with it.
 * @typedef {import("./types.js").Item} Item
 * @typedef {import("./types.js").Sight} Sight
 *
 * @typedef {object} Act
 * @property {(edits: object[], wrong?: (error: unknown) => void) => Promise<boolean>} save
 * @property {import("./ask.js").Ask} ask
 * @property {(key: string, values?: Record<string, string>) => string} words
 * @property {(x: number, y: number) => void} nudge
 * @property {import("./corner.js").Corner} corner
 * @property {(id: string) => void} choose
 * @property {(about: string) => Promise<Record<string, string>>} typed  what stands in the job file of a thing
 */

import { tag } from "../shared/dom.js";
import { textOf } from "../shared/problems.js";
import { sayEvidence } from "./evidence.js";
import { sayGround } from "./ground.js";
import { freeName, nameOf } from "./names.js";

const NAMED = ["run", "gate", "point", "corner", "zone", "building"];
const GONE = ["run", "gate", "point", "zone", "building", "tape", "wall", "walk", "old fence", "boundary"];

/** @param {HTMLElement} place @param {string} id @param {Item | undefined} item @param {Sight} sight @param {Act} act */
export function showChosen(place, id, item, sight, act) {
  if (!id) return place.replaceChildren(tag("p", { class: "quiet" }, act.words("nothing_chosen")));
  const kind = item?.kind ?? id.split(" ")[0];
  const row = tag("div", { class: "row" });
  const add = (/** @type {string} */ key, /** @type {() => unknown} */ run) => {
    const made = /** @type {HTMLButtonElement} */ (tag("button", { type: "button" }, act.words(key)));
    let busy = false;
    made.addEventListener("click", async () => {
      if (busy) return; // a double click does it once; the keyboard comes back to it
      busy = true;
      await run();
      busy = false;
    });
    row.append(made);
  };
  if (NAMED.includes(kind)) add("rename", () => rename(id, kind, act));
  if (item?.kind === "gate") add("change", () => changeGate(item, act));
  if (item?.kind === "dimension") add("length", () => changeLength(item, act));
  if (item?.kind === "run" && item.path) add("what_built", () => sayBuilt(item, sight, act));
  if (item?.kind === "run" && item.path) add("ground", () => sayGround(item, act));
  if (item?.kind === "run" && item.path) add("which_yard", () => sayYard(item, act));
  if (item?.kind === "run" && item.path && sight.items.some((one) => one.kind === "side")) add("keep_inside", () => keepInside(item, act));
  if (item?.kind === "corner") add("evidence", () => sayEvidence(item, act));
  if (item?.marks?.includes("along sides")) add("run_ends", () => sayEnds(item, sight, act));
  const corners = item ? act.corner.choice(item) : [];
  if (item && (corners.length || ((item.drag === "point" || item.drag === "walk") && item.centre))) row.append(...nudges(act, sight.print));
  if (GONE.includes(kind)) add("delete", () => act.save([{ kind: "delete", about: id }]));
  if (kind === "side") add("fence_along", () => fenceAlong(id, sight, act));
  if (kind === "side") add("delete_boundary", () => act.save([{ kind: "delete", about: "boundary" }]));
  const owner = item?.about && item.about !== id ? [owned(item.about, act)] : [];
  const parts = [tag("h3", {}, nameOf(id), ...owner), ...(item?.say ? [tag("p", {}, item.say)] : [])];
  if (item?.why) parts.push(tag("p", { class: "quiet" }, item.why));
  if (item?.kind === "run") parts.push(...follows(item, sight, act));
  place.replaceChildren(...parts, ...corners, row);
  return undefined;
}

/** The thing that the chosen one belongs to, to be chosen instead. @param {string} about @param {Act} act */
function owned(about, act) {
  const made = tag("button", { type: "button", class: "link owner" }, nameOf(about));
  made.addEventListener("click", () => act.choose(about));
  return made;
}

/** @param {string} id @param {string} kind @param {Act} act */
async function rename(id, kind, act) {
  const fresh = await act.ask({ title: act.words("ask_name", { what: nameOf(id) }), value: id.slice(kind.length + 1) });
  if (fresh) await act.save([{ kind: "rename", about: id, name: fresh }]);
}

/** @param {Item} item @param {Act} act */
async function changeGate(item, act) {
  const { words } = act;
  const typed = Object.entries(await act.typed(item.id));
  const now = Object.fromEntries(typed.filter(([, value]) => value !== "ask")); // what is asked for is not said
  const unsaid = now.swings ? [] : [["", words("with_unsaid")]];
  const counted = "centre" in now ? "centre" : "starts";
  const [, starts = "", point = ""] = /^(.*?) from (.*)$/.exec(now[counted] ?? "") ?? [];
  const posts = [[`near ${point}`.trim(), words("hinges_near_unnamed")], [`far from ${point}`.replace(/ from $/, ""), words("hinges_far_unnamed")]];
  const same = posts.some(([value]) => value === now.hinges) ? [] : [[now.hinges ?? "", now.hinges || words("with_unsaid")]];
  const hung = [...same, ...posts];
  const asked = await act.ask({
    title: nameOf(item.id),
    say: item.say,
    fields: [
      { key: "opening", label: words("opening"), value: now.opening, hint: words("opening_hint") },
      { key: "starts", label: point ? words(`${counted}_from`, { point }) : words(counted), value: starts },
      { key: "hinges", label: words("hinges"), value: now.hinges ?? "", choices: hung.map(([value, text]) => ({ value, text })) },
      { key: "swings", label: words("swings"), value: now.swings ?? "", choices: [...unsaid, ["to yard", words("to_yard")], ["out", words("swing_out")]].map(([value, text]) => ({ value, text })) },
      { key: "leaves", label: words("leaves"), value: now.leaves ?? "1", choices: ["1", "2"].map((value) => ({ value, text: value })) },
    ],
  });
  if (!asked) return;
  const given = Object.fromEntries(["opening", "hinges", "swings"].map((key) => [key, asked[key]]).filter(([key, value]) => value && value !== now[key]));
  const edits = [];
  const leaves = asked.leaves === (now.leaves ?? "1") ? {} : { leaves: Number(asked.leaves) };
  if (Object.keys({ ...given, ...leaves }).length) edits.push({ kind: "gate change", about: item.id, ...given, ...leaves });
  if (asked.starts && asked.starts !== starts) edits.push({ kind: "move gate", about: item.id, starts: asked.starts });
  if (edits.length) await act.save(edits);
}

/** @param {Item} item @param {Act} act */
async function changeLength(item, act) {
  const reads = await act.ask({ title: act.words("ask_length", { what: item.say ?? item.id }), value: item.text ?? "", small: true });
  if (reads) await act.save([{ kind: "length", about: item.id, length: reads }]);
}

/** @param {Item} item @param {Act} act */
async function sayYard(item, act) {
  const pick = ["left", "right"].map((value) => ({ value, text: act.words(`yard_${value}`) }));
  const value = await act.ask({ title: act.words("ask_yard", { what: nameOf(item.id) }), pick });
  if (value) await act.save([{ kind: "set", path: `${item.path}.yard`, value }]);
}

/** Kinds of fence of the catalogue; the program says which it knows. */
const BUILT = ["boards", "vinyl-panels", "composite-panels", "metal-panels", "chain-link", "chain-link-commercial", "post-and-rail", "woven wire", "barbed wire", "high-tensile wire", "electric wire", "deer wire", "wildlife-friendly wire"];

/** What is built along a run. @param {Item} item @param {Sight} sight @param {Act} act */
async function sayBuilt(item, sight, act) {
  const { words } = act;
  const { fence = "" } = await act.typed(item.id);
  const now = await act.typed(`fence ${fence}`);
  const tall = now.board ?? now.panel ?? now.fabric ?? now["top of rails"] ?? "";
  const own = [...new Set([fence, ...(sight.counts.runs ?? []).map((run) => run.fence)])].filter(Boolean);
  const kinds = BUILT.filter((kind) => !own.includes(kind));
  const asked = await act.ask({
    title: words("what_built"),
    say: words("built_say"),
    fields: [
      { key: "fence", label: words("built_fence"), value: fence, choices: [...own.map((value) => ({ value, text: value })), ...kinds.map((value) => ({ value, text: words(`built_${value.replace(/[ -]/g, "_")}`) }))] },
      { key: "tall", label: words("built_tall"), value: tall === "ask" ? "" : tall, hint: words("built_tall_hint") },
      { key: "good", label: words("built_good"), value: now["good side"] ?? "ask", choices: ["neighbour", "yard", "ask"].map((value) => ({ value, text: words(`answer_${value}`) })) },
    ],
  });
  if (!asked) return;
  const other = asked.fence !== fence;
  const edit = { ...(asked.tall && (other || asked.tall !== tall) ? { tall: asked.tall } : {}), ...(other || asked.good !== (now["good side"] ?? "ask") ? { good: asked.good } : {}) };
  if (other || Object.keys(edit).length) await act.save([{ kind: "built", run: item.id, fence: asked.fence, ...edit }]);
}

/** Points that a run along sides may begin or end abreast of. @param {Sight} sight @param {Act} act */
function abreast(sight, { words }) {
  const points = sight.items.filter(({ kind }) => kind === "point").map(({ id }) => id.slice("point ".length));
  return [{ value: "", text: words("at_corner") }, ...points.map((value) => ({ value, text: value }))];
}

/** Where a run along sides begins and ends. @param {Item} item @param {Sight} sight @param {Act} act */
async function sayEnds(item, sight, act) {
  const { words } = act;
  const now = await act.typed(item.id);
  const keys = ["begins abreast of", "ends abreast of"];
  const known = abreast(sight, act);
  const asked = await act.ask({
    title: words("ask_ends", { what: nameOf(item.id) }),
    say: words("ends_say"),
    fields: keys.map((key) => {
      const value = now[key] ?? "";
      return { key, label: words(key.replaceAll(" ", "_")), value, choices: known.some((one) => one.value === value) ? known : [...known, { value, text: value }] };
    }),
  });
  if (!asked) return;
  const changed = keys.filter((key) => asked[key] !== (now[key] ?? ""));
  const edits = changed.map((key) => (asked[key] ? { kind: "set", path: `${item.path}.${key}`, value: asked[key] } : { kind: "remove", path: `${item.path}.${key}` }));
  if (edits.length) await act.save(edits);
}

/** How far inside the line of the property a run is to stand. @param {Item} item @param {Act} act */
async function keepInside(item, act) {
  const { words } = act;
  const inside = await act.ask({ title: words("along_inside"), say: words("on_line_say"), value: "" });
  if (inside) await act.save([{ kind: "inside", run: item.id, inside }]);
}

/** A fence along sides of the property, inside the line. @param {string} id @param {Sight} sight @param {Act} act */
async function fenceAlong(id, sight, act) {
  const { words } = act;
  const name = freeName((run) => sight.items.some((item) => item.id === run));
  /** @param {Record<string, string>} asked @returns {Promise<import("./ask.js").Wrong | null>} */
  const use = async (asked) => {
    if (!asked.inside) return { text: words("along_inside_ask"), key: "inside" };
    let fault = null;
    const edit = { ...asked, kind: "run", name, sides: asked.sides.split(/[\s,]+/).filter(Boolean) };
    const done = await act.save([edit], (/** @type {unknown} */ error) => (fault = error));
    return done ? null : { text: textOf(fault) };
  };
  await act.ask({
    use,
    title: words("fence_along"),
    say: words("on_line_say"),
    fields: [
      { key: "sides", label: words("along_sides"), value: id.slice(5), hint: words("along_sides_hint") },
      { key: "inside", label: words("along_inside"), value: "", hint: words("along_inside_hint") },
      { key: "begins", label: words("begins_abreast_of"), value: "", choices: abreast(sight, act) },
      { key: "ends", label: words("ends_abreast_of"), value: "", choices: abreast(sight, act) },
    ],
  });
}

/** @param {Item} item @param {Sight} sight @param {Act} act */
function follows(item, sight, act) {
  const run = sight.elevations.find((one) => one.about === item.id);
  if (!run) return [];
  const pick = /** @type {HTMLSelectElement} */ (tag("select", { name: "follows" }));
  for (const choice of run.choices ?? []) pick.append(new Option(choice.text, choice.value, false, choice.value === run.follows));
  pick.addEventListener("change", () => act.save([{ kind: "follows", run: run.run, follows: pick.value }]));
  return [tag("label", {}, tag("span", {}, act.words("follows")), pick)];
}

/** Four buttons that move a point by the smallest that a tape reads well. @param {Act} act @param {string} print  how the job writes lengths */
function nudges(act, print) {
  const step = act.words(print === "metric" ? "nudge_metric" : "nudge_inch");
  return [["←", -1, 0], ["→", 1, 0], ["↑", 0, 1], ["↓", 0, -1]].map(([sign, x, y]) => {
    const made = /** @type {HTMLButtonElement} */ (tag("button", { type: "button", class: "nudge", "aria-label": act.words(`nudge_${x}_${y}`, { step }) }, String(sign)));
    made.addEventListener("click", () => act.nudge(Number(x), Number(y)));
    return made;
  });
}

/**
 * The chosen thing: what it is, and what can be done with it.
 * @typedef {import("./types.js").Item} Item
 * @typedef {import("./types.js").Sight} Sight
 */

import { tag } from "../shared/dom.js";

/**
 * @param {HTMLElement} place
 * @param {Item | undefined} item
 * @param {Sight} sight
 * @param {{save: (edits: object[]) => Promise<boolean>, ask: (ask: any) => Promise<any>, words: (key: string, values?: Record<string, string>) => string, nudge: (x: number, y: number) => void}} act
 */
export function showChosen(place, item, sight, act) {
  if (!item) return place.replaceChildren(tag("p", { class: "quiet" }, act.words("nothing_chosen")));
  const row = tag("div", { class: "row" });
  const add = (/** @type {string} */ key, /** @type {() => unknown} */ run) => {
    const made = /** @type {HTMLButtonElement} */ (tag("button", { type: "button" }, act.words(key)));
    made.addEventListener("click", async () => {
      made.disabled = true; // a double click does it once
      await run();
      made.disabled = false;
    });
    row.append(made);
  };
  const name = item.id.slice(item.kind.length + 1);
  if (["run", "gate", "point", "zone", "building"].includes(item.kind)) {
    add("rename", async () => {
      const fresh = await act.ask({ title: act.words("ask_name", { what: item.id }), value: name });
      if (fresh) await act.save([{ kind: "rename", about: item.id, name: fresh }]);
    });
  }
  if (item.kind === "gate") add("change", () => changeGate(item, act));
  if (item.kind === "dimension") add("length", () => changeLength(item, act));
  if (item.drag === "point" || item.drag === "walk") row.append(...nudges(act));
  if (["run", "gate", "point", "zone", "building", "tape", "wall", "walk"].includes(item.kind)) add("delete", () => act.save([{ kind: "delete", about: item.id }]));
  const parts = [tag("h3", {}, item.id), tag("p", {}, item.say ?? "")];
  if (item.why) parts.push(tag("p", { class: "quiet" }, item.why));
  if (item.kind === "run") parts.push(...follows(item, sight, act));
  place.replaceChildren(...parts, row);
  return undefined;
}

/** @param {Item} item @param {any} act */
async function changeGate(item, act) {
  const asked = await act.ask({
    title: item.id,
    fields: [
      { key: "opening", label: act.words("opening"), value: "" },
      { key: "starts", label: act.words("starts"), value: "" },
      { key: "hinges", label: act.words("hinges"), value: "" },
      { key: "swings", label: act.words("swings"), value: "", choices: [["", ""], ["to yard", act.words("to_yard")], ["out", act.words("swing_out")]].map(([value, text]) => ({ value, text })) },
      { key: "leaves", label: act.words("leaves"), value: "" },
    ],
  });
  if (!asked) return;
  const { starts, leaves, ...rest } = asked;
  const said = Object.fromEntries(Object.entries(rest).filter(([, value]) => value));
  const edits = [];
  if (Object.keys(said).length || leaves) edits.push({ kind: "gate change", about: item.id, ...said, ...(leaves ? { leaves: Number(leaves) } : {}) });
  if (starts) edits.push({ kind: "move gate", about: item.id, starts });
  if (edits.length) await act.save(edits);
}

/** @param {Item} item @param {any} act */
async function changeLength(item, act) {
  const reads = await act.ask({ title: act.words("ask_length", { what: item.id }), value: item.text ?? "" });
  if (reads) await act.save([{ kind: "length", about: item.id, length: reads }]);
}

/** @param {Item} item @param {Sight} sight @param {any} act */
function follows(item, sight, act) {
  const run = sight.elevations.find((one) => one.about === item.id);
  if (!run) return [];
  const pick = /** @type {HTMLSelectElement} */ (tag("select", { name: "follows" }));
  for (const choice of run.choices ?? []) pick.append(new Option(choice.text, choice.value, false, choice.value === run.follows));
  pick.addEventListener("change", () => act.save([{ kind: "follows", run: run.run, follows: pick.value }]));
  return [tag("label", {}, tag("span", {}, act.words("follows")), pick)];
}

/** Four buttons that move a point by the smallest that a tape reads well. @param {any} act */
function nudges(act) {
  return [["←", -1, 0], ["→", 1, 0], ["↑", 0, 1], ["↓", 0, -1]].map(([sign, x, y]) => {
    const made = /** @type {HTMLButtonElement} */ (tag("button", { type: "button", class: "nudge", "aria-label": act.words(`nudge_${x}_${y}`) }, String(sign)));
    made.addEventListener("click", () => act.nudge(Number(x), Number(y)));
    return made;
  });
}

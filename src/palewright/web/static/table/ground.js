/**
 * The ground under a run, typed as it was measured: below a level string, or one even slope.
 */

import { nameOf } from "./names.js";

/** @param {import("./types.js").Item} item @param {import("./chosen.js").Act} act */
export async function sayGround(item, { ask, words, save, typed }) {
  const name = item.id.slice("run ".length);
  const [run, known] = await Promise.all([typed(item.id), typed(`ground ${name}`)]);
  const points = (run.through ?? run.call ?? "").split(", ").filter((one) => one && one !== "_");
  const begun = Object.keys(known)[0] ?? points[0] ?? "";
  const choices = [...new Set([begun, ...points])].map((value) => ({ value, text: value || words("ground_begin") }));
  let shown = begun;
  const asked = await ask({
    // what was measured from another point is shown, unless something else was typed meanwhile
    picked: (key, now, put) => {
      if (key !== "start") return;
      if (now.drops === (known[shown] ?? "")) put("drops", known[now.start] ?? "");
      shown = now.start;
    },
    title: words("ask_ground", { what: nameOf(item.id) }),
    say: words("ground_say"),
    fields: [
      { key: "start", label: words("ground_from"), value: begun, choices },
      { key: "drops", label: words("ground_drops"), value: known[begun] ?? "", hint: words("ground_drops_hint"), long: true },
      { key: "falls", label: words("ground_falls"), value: "", hint: words("ground_falls_hint") },
      { key: "end", label: words("ground_to"), value: points.at(-1) ?? "", choices: points.map((value) => ({ value, text: value })) },
    ],
  });
  if (!asked) return;
  const { start, falls, end } = asked;
  if (falls) await save([{ kind: "ground", run: item.id, start, falls, end }]);
  else if (asked.drops || known[start]) await save([{ kind: "ground", run: item.id, start, drops: asked.drops.split("\n") }]);
}

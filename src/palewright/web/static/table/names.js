/** Things in the words of the page: "run rear" is "tramo rear" in Spanish. The id itself stays the plan's. */

import { words } from "./words.js";

const KINDS = ["old fence", "old post", "line post", "run", "stretch", "gate", "point", "corner", "side", "zone", "building", "post", "hole", "bay", "leg", "tape", "string", "fence", "pin", "wall", "walk", "boundary", "job"];

/** @param {string} id */
export function nameOf(id) {
  const kind = KINDS.find((one) => id === one || id.startsWith(`${one} `));
  if (!kind) return id;
  const name = id.slice(kind.length + 1);
  const said = words(`one_${kind.replace(" ", "_")}`);
  const own = [kind, said].find((word) => name === word || name.startsWith(`${word} `)); // a gate that is called gate, "corner 1"
  return own ? `${said}${name.slice(own.length)}` : `${said} ${name}`.trim();
}

/** A name that no run has yet. @param {(id: string) => boolean} known */
export function freeName(known) {
  for (let k = 1; ; k++) {
    const name = words("new_run", { number: String(k) });
    if (!known(`run ${name}`)) return name;
  }
}

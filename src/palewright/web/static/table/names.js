/** Things in the words of the page: "run rear" is "tramo rear" in Spanish. The id itself stays the plan's. */

import { words } from "./words.js";

const KINDS = ["old fence", "old post", "run", "stretch", "gate", "point", "corner", "side", "zone", "building", "post", "hole", "bay", "leg", "tape", "string", "fence", "pin", "wall", "boundary", "job"];

/** @param {string} id */
export function nameOf(id) {
  const kind = KINDS.find((one) => id === one || id.startsWith(`${one} `));
  if (!kind) return id;
  return `${words(`one_${kind.replace(" ", "_")}`)}${id.slice(kind.length)}`;
}

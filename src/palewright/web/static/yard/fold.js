/**
 * What entries come to, for the screen: the last word on everything, or two words that disagree.
 * The same rule as in docs/as-built.md; the same cases are tested on both sides.
 * @typedef {{id: string, device: string, who: string, seq: number, saw: number, made: string, about: string, what: string, value: Record<string, any>, number?: number}} Entry
 * @typedef {{value: any, who: string, made: string}} Said
 * @typedef {{value: any, conflict: boolean, said: Said[]}} State
 * @typedef {{entry: Entry, saw: number, value: any}} Given
 */

const KEPT = new Set(["note", "photo"]);
/** Values are one value when they agree to a hundredth of a millimetre. */
const SAME = 1e5;

/**
 * @param {Entry[]} entries
 * @returns {Map<string, State>} by "about | field"
 */
export function fold(entries) {
  const every = once(entries);
  const saw = seen(every);
  /** @type {Map<string, Given[]>} */
  const fields = new Map();
  for (const entry of every) {
    if (KEPT.has(entry.what)) continue;
    for (const [field, value] of valuesOf(entry)) {
      const place = `${entry.about} | ${field}`;
      const all = fields.get(place);
      const given = { entry, saw: saw.get(entry) ?? 0, value };
      if (all) all.push(given);
      else fields.set(place, [given]);
    }
  }
  return new Map([...fields].map(([place, all]) => [place, stateOf(all)]));
}

/** Each entry once, with the number of its first arrival, by device and in the order that the device made them. @param {Entry[]} entries */
function once(entries) {
  /** @type {Map<string, Entry>} */
  const found = new Map();
  for (const entry of entries) {
    const key = [entry.device, entry.seq, entry.id, entry.about, entry.what].join("\n");
    const first = found.get(key);
    if (!first || (entry.number && entry.number < (first.number || entry.number + 1))) found.set(key, entry);
  }
  return [...found.values()].sort((a, b) => (a.device < b.device ? -1 : a.device > b.device ? 1 : a.seq - b.seq));
}

/** How much every entry can have seen: less than its own number, and no more than its device knew later. @param {Entry[]} entries */
function seen(entries) {
  /** @type {Map<Entry, number>} */
  const found = new Map();
  let device = "";
  let least = Infinity;
  for (const entry of [...entries].reverse()) {
    if (entry.device !== device) [device, least] = [entry.device, Infinity];
    least = Math.min(least, entry.saw, entry.number ? entry.number - 1 : Infinity);
    found.set(entry, least);
  }
  return found;
}

/** Fields of an entry; what was measured from a string that it names is a field of its own. @param {Entry} entry @returns {[string, any][]} */
function valuesOf({ what, value }) {
  if (what === "done") return [["done", value.done ?? null]];
  const string = what === "measured" && value.string ? `@${value.string}` : "";
  return Object.entries(value).filter(([key]) => what !== "measured" || key !== "string").map(([key, one]) => [`${what}.${key}${string}`, one]);
}

/** @param {Given[]} all @returns {State} */
function stateOf(all) {
  /** @type {Map<string, {seq: number, saw: number}>} */
  const devices = new Map();
  for (const { entry, saw } of all) {
    const before = devices.get(entry.device);
    devices.set(entry.device, { seq: Math.max(before?.seq ?? entry.seq, entry.seq), saw: Math.max(before?.saw ?? 0, saw) });
  }
  const ranked = [...devices].sort((a, b) => b[1].saw - a[1].saw);
  const heads = all.filter(({ entry }) => {
    const others = ranked.find(([device]) => device !== entry.device)?.[1].saw ?? 0;
    return entry.seq >= (devices.get(entry.device)?.seq ?? 0) && !(entry.number && entry.number <= others);
  });
  const conflict = new Set(heads.map(({ value }) => keyOf(value))).size > 1;
  return { value: conflict ? null : heads[0]?.value ?? null, conflict, said: heads.map(({ entry, value }) => ({ value, who: entry.who, made: entry.made })) };
}

/** @param {any} value */
function keyOf(value) {
  return typeof value === "number" ? `number ${Math.round(value * SAME)}` : JSON.stringify(value);
}

/** Notes and photos are never overridden. @param {Entry[]} entries @param {string} about @param {string} what */
export function kept(entries, about, what) {
  return entries.filter((entry) => entry.about === about && entry.what === what);
}

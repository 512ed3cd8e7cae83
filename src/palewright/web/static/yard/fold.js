/**
 * What entries come to, for the screen: the last word on everything, or two words that disagree.
 * The same rule as in docs/as-built.md; the same cases are tested on both sides.
 * @typedef {{id: string, device: string, who: string, seq: number, saw: number, made: string, about: string, what: string, value: Record<string, any>, number?: number, by?: string}} Entry
 * @typedef {{value: any, who: string, made: string}} Said
 * @typedef {{value: any, conflict: boolean, said: Said[]}} State
 * @typedef {{entry: Entry, author: string, saw: number, value: any}} Given
 */

const KEPT = new Set(["note", "photo"]);
/** Values are one value when they agree to a hundredth of a millimetre. */
const SAME = 1e5;

/**
 * @param {Entry[]} entries
 * @returns {Map<string, State>} by "about | field"
 */
export function fold(entries) {
  const author = authors(entries);
  const every = once(entries, author);
  const saw = seen(every, author);
  /** @type {Map<string, Given[]>} */
  const fields = new Map();
  for (const entry of every) {
    if (KEPT.has(entry.what)) continue;
    for (const [field, value] of valuesOf(entry)) {
      const place = `${entry.about} | ${field}`;
      const all = fields.get(place);
      const given = { entry, author: author(entry), saw: saw.get(entry) ?? 0, value };
      if (all) all.push(given);
      else fields.set(place, [given]);
    }
  }
  return new Map([...fields].map(([place, all]) => [place, stateOf(all)]));
}

/**
 * Who made an entry: the device that it says it is from, and the session that sent it, as the office knows it. What is not sent yet goes
 * out by the session of this phone's last one.
 * @param {Entry[]} entries @returns {(entry: Entry) => string}
 */
function authors(entries) {
  /** @type {Map<string, Entry>} */
  const last = new Map();
  for (const entry of entries) if (entry.number && entry.number > (last.get(entry.device)?.number ?? 0)) last.set(entry.device, entry);
  return (entry) => `${entry.device}\n${(entry.number ? entry : last.get(entry.device))?.by ?? ""}`;
}

/** Each entry once, with the number of its first arrival, by author and in the order that the device made them. @param {Entry[]} entries @param {(entry: Entry) => string} author */
function once(entries, author) {
  /** @type {Map<string, Entry>} */
  const found = new Map();
  for (const entry of entries) {
    const key = [entry.device, entry.seq, entry.id, entry.about, entry.what].join("\n");
    const first = found.get(key);
    if (!first || (entry.number && entry.number < (first.number || entry.number + 1))) found.set(key, entry);
  }
  const rows = [...found.values()].map((entry) => ({ entry, by: author(entry) }));
  return rows.sort((a, b) => (a.by < b.by ? -1 : a.by > b.by ? 1 : a.entry.seq - b.entry.seq)).map(({ entry }) => entry);
}

/** How much every entry can have seen: less than its own number, and no more than its device knew later. @param {Entry[]} entries @param {(entry: Entry) => string} author */
function seen(entries, author) {
  /** @type {Map<Entry, number>} */
  const found = new Map();
  let own = "";
  let least = Infinity;
  for (const entry of [...entries].reverse()) {
    if (author(entry) !== own) [own, least] = [author(entry), Infinity];
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
  for (const { entry, author, saw } of all) {
    const before = devices.get(author);
    devices.set(author, { seq: Math.max(before?.seq ?? entry.seq, entry.seq), saw: Math.max(before?.saw ?? 0, saw) });
  }
  const ranked = [...devices].sort((a, b) => b[1].saw - a[1].saw);
  const heads = all.filter(({ entry, author }) => {
    const others = ranked.find(([device]) => device !== author)?.[1].saw ?? 0;
    return entry.seq >= (devices.get(author)?.seq ?? 0) && !(entry.number && entry.number <= others);
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

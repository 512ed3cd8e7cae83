/**
 * What entries come to, for the screen: the last word on everything, or two words that disagree.
 * The same rule as in docs/as-built.md; the same cases are tested on both sides.
 * @typedef {{id: string, device: string, who: string, seq: number, saw: number, made: string, about: string, what: string, value: Record<string, any>, number?: number, by?: string}} Entry
 * @typedef {{value: any, who: string, made: string}} Said
 * @typedef {{value: any, conflict: boolean, said: Said[]}} State
 * @typedef {{entry: Entry, author: string, saw: number, value: any}} Given
 */

const KEPT = new Set(["note", "photo"]);
/** Within so many millimetres a thing is where it was when something was read there; within the second it is the same post. */
const [SAME_MM, SAME_POST_MM] = [13, 150];
const OF_A_POST = new Set(["done", "measured.depth_m"]);
/** Values are one value when they agree to a hundredth of a millimetre. */
const SAME = 1e5;

/** @type {WeakMap<any, Map<string, string>>} */
const known = new WeakMap();

/** What the plan says of a post, bay or check; "" of anything else. @param {string} about @param {any} pack */
export function placeOf(about, pack) {
  if (!pack) return "";
  if (!known.has(pack)) known.set(pack, new Map([...pack.holes, ...pack.bays, ...pack.checks].map((one) => [one.about, one.place ?? ""])));
  return known.get(pack)?.get(about) ?? "";
}

/** How far what an entry is about is now from where the plan had it then, in millimetres: numbers move. @param {Entry} entry @param {any} pack */
function elsewhere({ about, value }, pack) {
  const now = placeOf(about, pack);
  if (!now || typeof value.place !== "string") return 0;
  const [one, two] = [now, value.place].map((text) => text.split(",").map(Number));
  return one.length === two.length ? Math.max(...one.map((part, k) => Math.abs(part - two[k]))) : Infinity;
}

/** Whether something was entered of a thing that was elsewhere then. @param {Entry[]} entries @param {string} about @param {any} pack */
export function beforeChange(entries, about, pack) {
  return entries.some((entry) => entry.about === about && elsewhere(entry, pack) > SAME_MM);
}

/**
 * @param {Entry[]} entries
 * @param {any} [pack] the plan as it is now: what was entered elsewhere does not count
 * @returns {Map<string, State>} by "about | field"
 */
export function fold(entries, pack = null) {
  const author = authors(entries);
  const every = once(entries, author);
  const saw = seen(every, author);
  /** @type {Map<string, Given[]>} */
  const fields = new Map();
  for (const entry of every) {
    if (KEPT.has(entry.what)) continue;
    const off = elsewhere(entry, pack);
    for (const [field, value] of valuesOf(entry)) {
      if (off > (OF_A_POST.has(field) ? SAME_POST_MM : SAME_MM)) continue;
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
  return Object.entries(value).filter(([key]) => key !== "place" && (what !== "measured" || key !== "string")).map(([key, one]) => [`${what}.${key}${string}`, one]);
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

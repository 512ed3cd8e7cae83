/**
 * What entries come to, for the screen: the last word on everything, or two words that disagree.
 * The same rule as in docs/as-built.md; the same cases are tested on both sides.
 * @typedef {{id: string, device: string, who: string, seq: number, saw: number, made: string, about: string, what: string, value: Record<string, any>, number?: number}} Entry
 */

const KEPT = new Set(["note", "photo"]);

/** True when one entry was made by somebody who knew the other. @param {Entry} later @param {Entry} earlier */
function knew(later, earlier) {
  if (later.device === earlier.device) return later.seq > earlier.seq;
  return earlier.number !== undefined && earlier.number > 0 && later.saw >= earlier.number;
}

/**
 * @param {Entry[]} entries
 * @returns {Map<string, {value: any, conflict: boolean, said: {value: any, who: string, made: string}[]}>} by "about | field"
 */
export function fold(entries) {
  /** @type {Map<string, {entry: Entry, value: any}[]>} */
  const fields = new Map();
  for (const entry of new Map(entries.map((one) => [one.id, one])).values()) {
    if (KEPT.has(entry.what)) continue;
    for (const [key, value] of Object.entries(entry.value)) {
      const field = key === entry.what ? entry.what : `${entry.what}.${key}`;
      const place = `${entry.about} | ${field}`;
      fields.set(place, [...(fields.get(place) ?? []), { entry, value }]);
    }
  }
  const states = new Map();
  for (const [place, all] of fields) {
    const last = all.filter(({ entry }) => !all.some((other) => other.entry !== entry && knew(other.entry, entry)));
    const values = new Set(last.map(({ value }) => JSON.stringify(value)));
    const conflict = values.size > 1;
    states.set(place, {
      value: conflict ? null : last[0]?.value ?? null,
      conflict,
      said: last.map(({ entry, value }) => ({ value, who: entry.who, made: entry.made })),
    });
  }
  return states;
}

/** Notes and photos are never overridden. @param {Entry[]} entries @param {string} about @param {string} what */
export function kept(entries, about, what) {
  return entries.filter((entry) => entry.about === about && entry.what === what);
}

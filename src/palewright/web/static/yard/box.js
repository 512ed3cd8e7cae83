/**
 * What the phone keeps: the day's pack in both languages, entries and photos until they are sent, and what others sent.
 * Everything is written before it is shown as done, so a flat battery loses nothing that was ticked.
 * @typedef {import("./fold.js").Entry} Entry
 * @typedef {import("../shared/api.js").Problem} Problem
 * @typedef {{job: string, id: string, entry: Entry, sent: boolean, refused?: Problem[] | string}} Row
 */

const NAME = "palewright-yard";

/** @returns {Promise<IDBDatabase>} */
function open() {
  return new Promise((done, fail) => {
    const ask = indexedDB.open(NAME, 1);
    ask.onupgradeneeded = () => {
      const db = ask.result;
      db.createObjectStore("packs", { keyPath: ["job", "language"] });
      db.createObjectStore("entries", { keyPath: ["job", "id"] }).createIndex("job", "job");
      db.createObjectStore("photos", { keyPath: ["job", "id"] }).createIndex("job", "job");
      db.createObjectStore("facts", { keyPath: "key" });
    };
    ask.onsuccess = () => done(ask.result);
    ask.onerror = () => fail(ask.error);
  });
}

/** @template T @param {IDBRequest<T>} ask @returns {Promise<T>} */
const answer = (ask) => new Promise((done, fail) => {
  ask.onsuccess = () => done(ask.result);
  ask.onerror = () => fail(ask.error);
});

/** @param {IDBTransaction} work @returns {Promise<void>} */
const finished = (work) => new Promise((done, fail) => {
  work.oncomplete = () => done();
  work.onabort = () => fail(work.error);
  work.onerror = () => fail(work.error);
});

/** An id that no other phone makes; also where a browser has no randomUUID. */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((one) => one.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

export class Box {
  /** @param {IDBDatabase} db @param {string} job */
  constructor(db, job) {
    this.db = db;
    this.job = job;
    /** Whether the browser promises not to clear it when the phone is short of room. */
    this.promised = false;
    db.onversionchange = () => db.close();
  }

  /** @param {string} [job] */
  static async open(job = "") {
    const box = new Box(await open(), job);
    try {
      box.promised = (await navigator.storage?.persisted?.()) || (await navigator.storage?.persist?.()) || false;
    } catch {
      // a browser that cannot promise keeps it as well as it can
    }
    return box;
  }

  /** @param {string} language */
  async pack(language) {
    return answer(this.db.transaction("packs").objectStore("packs").get([this.job, language]));
  }

  /** Jobs whose pack is here. @returns {Promise<Set<string>>} */
  async jobs() {
    /** @type {any[]} */
    const all = await answer(this.db.transaction("packs").objectStore("packs").getAllKeys());
    return new Set(all.map(([job]) => job));
  }

  /** @param {string} language @param {object} pack @param {number} revision */
  async putPack(language, pack, revision) {
    const work = this.db.transaction("packs", "readwrite");
    work.objectStore("packs").put({ job: this.job, language, pack, revision, kept: new Date().toISOString() });
    return finished(work);
  }

  /** Entries of this job, those of others among them. @returns {Promise<Row[]>} */
  async entries() {
    return answer(this.db.transaction("entries").objectStore("entries").index("job").getAll(this.job));
  }

  /**
   * A new entry of this phone: numbered on the device in the same transaction that keeps it, so no number is lost or used
   * twice, however many tabs are open. Where the phone is full, photos that were sent make room.
   * @param {{id: string, who: string, made: string, about: string, what: string, value: object}} said
   * @param {{id: string, blob: Blob}} [photo]
   * @returns {Promise<Entry>}
   */
  async add(said, photo) {
    try {
      return await this.#add(said, photo);
    } catch (error) {
      if (/** @type {any} */ (error)?.name !== "QuotaExceededError") throw error;
      await this.#forgetSentPhotos();
      return this.#add(said, photo);
    }
  }

  /** @param {any} said @param {{id: string, blob: Blob}} [photo] @returns {Promise<Entry>} */
  async #add(said, photo) {
    const work = this.db.transaction(["entries", "facts", "photos"], "readwrite", { durability: "strict" });
    const done = finished(work);
    const facts = work.objectStore("facts");
    const held = async (/** @type {string} */ key) => (await answer(facts.get(key)))?.value;
    const device = (await held("device")) ?? newId();
    const seq = ((await held(`seq ${this.job}`)) ?? 0) + 1;
    const saw = (await held(`saw ${this.job}`)) ?? 0;
    const entry = { ...said, device, seq, saw };
    facts.put({ key: "device", value: device });
    facts.put({ key: `seq ${this.job}`, value: seq });
    work.objectStore("entries").put({ job: this.job, id: entry.id, entry, sent: false });
    if (photo) work.objectStore("photos").put({ job: this.job, id: photo.id, blob: photo.blob, sent: false });
    await done;
    return entry;
  }

  /** What the office answered: numbers for what was sent, and entries of other phones. @param {Entry[]} entries @param {number} saw */
  async arrived(entries, saw) {
    const work = this.db.transaction(["entries", "facts"], "readwrite");
    const done = finished(work);
    const store = work.objectStore("entries");
    for (const entry of entries) store.put({ job: this.job, id: entry.id, entry, sent: true });
    const facts = work.objectStore("facts");
    const before = (await answer(facts.get(`saw ${this.job}`)))?.value ?? 0;
    facts.put({ key: `saw ${this.job}`, value: Math.max(before, saw) });
    return done;
  }

  /** The office does not take an entry: it is kept with what was said, and holds up no other. @param {string} id @param {Problem[]} why */
  async refuse(id, why) {
    return this.#change(id, (row) => ({ ...row, refused: why }));
  }

  /** A person takes back what was refused: a note in its place says so, for its number must not be missing. @param {string} id @param {string} text */
  async takeBack(id, text) {
    const work = this.db.transaction("entries", "readwrite");
    const done = finished(work);
    const store = work.objectStore("entries");
    const row = await answer(store.get([this.job, id]));
    if (row?.refused) {
      const entry = { ...row.entry, id: newId(), about: "job", what: "note", value: { text: text.slice(0, 2000) } };
      store.delete([this.job, id]);
      store.put({ job: this.job, id: entry.id, entry, sent: false });
    }
    return done;
  }

  /** @param {string} id @param {(row: Row) => Row} change */
  async #change(id, change) {
    const work = this.db.transaction("entries", "readwrite");
    const done = finished(work);
    const store = work.objectStore("entries");
    const row = await answer(store.get([this.job, id]));
    if (row && !row.sent) store.put(change(row));
    return done;
  }

  /** @returns {Promise<{id: string, blob: Blob}[]>} */
  async unsentPhotos() {
    const all = await answer(this.db.transaction("photos").objectStore("photos").index("job").getAll(this.job));
    return all.filter((photo) => !photo.sent && !photo.refused);
  }

  /** Photos that the office did not take. @returns {Promise<{id: string, refused: Problem[] | string}[]>} */
  async refusedPhotos() {
    const all = await answer(this.db.transaction("photos").objectStore("photos").index("job").getAll(this.job));
    return all.filter((photo) => !photo.sent && photo.refused && !photo.seen);
  }

  /** @param {string} id @returns {Promise<Blob | undefined>} */
  async photo(id) {
    return (await answer(this.db.transaction("photos").objectStore("photos").get([this.job, id])))?.blob;
  }

  /** @param {string} id @param {{sent: true} | {refused: Problem[]} | {seen: true}} how */
  async photoSent(id, how) {
    const work = this.db.transaction("photos", "readwrite");
    const done = finished(work);
    const store = work.objectStore("photos");
    const held = await answer(store.get([this.job, id]));
    if (held) store.put({ ...held, ...how });
    return done;
  }

  /** Photos that the office has: the phone need not hold them. */
  async #forgetSentPhotos() {
    const work = this.db.transaction("photos", "readwrite");
    const done = finished(work);
    const store = work.objectStore("photos");
    for (const photo of await answer(store.getAll())) if (photo.sent) store.delete([photo.job, photo.id]);
    return done;
  }

  /** @param {string} key @param {any} [otherwise] */
  async fact(key, otherwise) {
    return (await answer(this.db.transaction("facts").objectStore("facts").get(key)))?.value ?? otherwise;
  }

  /** @param {string} key @param {any} value */
  async putFact(key, value) {
    const work = this.db.transaction("facts", "readwrite");
    work.objectStore("facts").put({ key, value });
    return finished(work);
  }
}

/**
 * What the phone keeps: the day's pack in both languages, entries and photos until they are sent, and what others sent.
 * Everything is written before it is shown as done, so a flat battery loses nothing that was ticked.
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

export class Box {
  /** @param {IDBDatabase} db @param {string} job */
  constructor(db, job) {
    this.db = db;
    this.job = job;
  }

  /** @param {string} job */
  static async open(job) {
    const box = new Box(await open(), job);
    try {
      await navigator.storage?.persist?.();
    } catch {
      // a browser that cannot promise keeps it as well as it can
    }
    return box;
  }

  /** @param {string} language */
  async pack(language) {
    return answer(this.db.transaction("packs").objectStore("packs").get([this.job, language]));
  }

  /** @param {string} language @param {object} pack */
  async putPack(language, pack) {
    const work = this.db.transaction("packs", "readwrite");
    work.objectStore("packs").put({ job: this.job, language, pack, kept: new Date().toISOString() });
    return finished(work);
  }

  /** Entries of this job, those of others among them. @returns {Promise<any[]>} */
  async entries() {
    return answer(this.db.transaction("entries").objectStore("entries").index("job").getAll(this.job));
  }

  /**
   * A new entry of this phone: numbered on the device in the same transaction that keeps it, so no number is lost or used twice.
   * @param {{id: string, who: string, made: string, about: string, what: string, value: object}} said
   * @param {{id: string, blob: Blob}} [photo]
   */
  async add(said, photo) {
    const work = this.db.transaction(["entries", "facts", "photos"], "readwrite");
    const facts = work.objectStore("facts");
    const held = async (/** @type {string} */ key, /** @type {any} */ otherwise) => (await answer(facts.get(key)))?.value ?? otherwise;
    const device = await held("device", "");
    const seq = (await held(`seq ${this.job}`, 0)) + 1;
    const saw = await held(`saw ${this.job}`, 0);
    const entry = { ...said, device, seq, saw };
    facts.put({ key: `seq ${this.job}`, value: seq });
    work.objectStore("entries").put({ job: this.job, id: entry.id, entry, sent: false });
    if (photo) work.objectStore("photos").put({ job: this.job, id: photo.id, blob: photo.blob, sent: false });
    await finished(work);
    return entry;
  }

  /** What the office answered: numbers for what was sent, and entries of other phones. @param {any[]} entries @param {number} saw */
  async arrived(entries, saw) {
    const work = this.db.transaction(["entries", "facts"], "readwrite");
    const store = work.objectStore("entries");
    for (const entry of entries) store.put({ job: this.job, id: entry.id, entry, sent: true });
    const facts = work.objectStore("facts");
    const before = (await answer(facts.get(`saw ${this.job}`)))?.value ?? 0;
    facts.put({ key: `saw ${this.job}`, value: Math.max(before, saw) });
    return finished(work);
  }

  /** @returns {Promise<{id: string, blob: Blob}[]>} */
  async unsentPhotos() {
    const all = await answer(this.db.transaction("photos").objectStore("photos").index("job").getAll(this.job));
    return all.filter((photo) => !photo.sent);
  }

  /** @param {string} id */
  async photoSent(id) {
    const work = this.db.transaction("photos", "readwrite");
    const store = work.objectStore("photos");
    const held = await answer(store.get([this.job, id]));
    if (held) store.put({ ...held, sent: true });
    return finished(work);
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

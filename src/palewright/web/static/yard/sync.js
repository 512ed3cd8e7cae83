/**
 * Sends what is kept when there is a signal, and takes what others sent. Sending twice does no harm: every entry has an id of its own.
 */

import { get, page, send } from "../shared/api.js";
import { problemsOf } from "./faults.js";

const AT_ONCE = 200;
const PAUSE = 20_000;
/** A signal that answers nothing for so long is none. */
const PATIENCE = 60_000;
/** Answers that say no to what was sent, and not to who sends or when. */
const REFUSED = new Set([400, 409, 413, 415, 422]);

/** What the clock of the phone shows, with how far it is from UTC: the day of a crew, not that of a server. */
export function now() {
  const clock = new Date();
  const ahead = -clock.getTimezoneOffset();
  const two = (/** @type {number} */ value) => String(Math.floor(value)).padStart(2, "0");
  const local = new Date(clock.getTime() + ahead * 60_000).toISOString().slice(0, 19);
  return `${local}${ahead < 0 ? "-" : "+"}${two(Math.abs(ahead) / 60)}:${two(Math.abs(ahead) % 60)}`;
}

export class Sync extends EventTarget {
  /** @param {import("./box.js").Box} box */
  constructor(box) {
    super();
    this.box = box;
    this.state = "waiting";
    this.left = 0;
    this.refused = 0;
    /** @type {unknown} what stopped it last */
    this.fault = null;
    this.busy = false;
    addEventListener("online", () => this.go());
    addEventListener("offline", () => this.#say("offline"));
    document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && this.go());
    setInterval(() => navigator.onLine && this.go(), PAUSE);
  }

  async go() {
    if (this.busy) {
      this.again = true;
      return;
    }
    this.busy = true;
    try {
      do {
        this.again = false;
        this.fault = null;
        await this.#count();
        if (!navigator.onLine) return this.#say("offline");
        await this.#entries();
        await this.#photos();
      } while (this.again);
      await this.#count();
      this.#say(this.refused ? "refused" : "sent");
    } catch (error) {
      await this.#count();
      const status = /** @type {any} */ (error).status ?? 0;
      this.fault = status ? error : null;
      this.#say(status === 401 ? "ended" : [403, 404, 410].includes(status) ? "refused" : status ? "trouble" : "offline");
    } finally {
      this.busy = false;
    }
  }

  /** How many entries and photos wait here, and how many the office did not take. */
  async #count() {
    const waiting = (await this.box.entries()).filter((row) => !row.sent);
    const refused = waiting.filter((row) => row.refused).length;
    this.refused = refused + (await this.box.refusedPhotos()).length;
    this.left = waiting.length - refused + (await this.box.unsentPhotos()).length;
  }

  async #entries() {
    for (;;) {
      const waiting = (await this.box.entries()).filter((row) => !row.sent && !row.refused).map((row) => row.entry).sort((a, b) => a.seq - b.seq);
      const news = await this.#send(waiting.slice(0, AT_ONCE));
      if (news) this.dispatchEvent(new Event("news"));
      if (waiting.length <= AT_ONCE) break;
    }
  }

  /** Send entries; where the office says no to some of them, halve until it is known which. @param {any[]} part @returns {Promise<boolean>} */
  async #send(part) {
    const saw = await this.box.fact(`saw ${this.box.job}`, 0);
    const path = `/jobs/${this.box.job}/yard/entries`;
    let answer;
    try {
      answer = part.length ? await renewed(() => send("POST", path, { entries: part, after: saw }, AbortSignal.timeout(PATIENCE))) : await get(`${path}?after=${saw}`, AbortSignal.timeout(PATIENCE));
    } catch (error) {
      if (!part.length || !REFUSED.has(/** @type {any} */ (error).status)) throw error;
      if (part.length === 1) {
        await this.box.refuse(part[0].id, problemsOf(error));
        return true;
      }
      const half = Math.ceil(part.length / 2);
      const first = await this.#send(part.slice(0, half));
      return (await this.#send(part.slice(half))) || first;
    }
    const back = new Map(answer.entries.map((/** @type {any} */ entry) => [entry.id, entry]));
    const mine = part.map((entry, k) => back.get(entry.id) ?? { ...entry, number: answer.numbers[k] });
    if (answer.entries.length || mine.length) await this.box.arrived([...answer.entries, ...mine], answer.last);
    return Boolean(part.length || answer.entries.length);
  }

  async #photos() {
    for (const { id, blob } of await this.box.unsentPhotos()) {
      try {
        await renewed(() => send("PUT", `/jobs/${this.box.job}/yard/photos/${id}`, blob, AbortSignal.timeout(3 * PATIENCE)));
        await this.box.photoSent(id, { sent: true });
      } catch (error) {
        if (!REFUSED.has(/** @type {any} */ (error).status)) throw error;
        await this.box.photoSent(id, { refused: problemsOf(error) });
      }
    }
  }

  /** @param {string} state */
  #say(state) {
    this.state = state;
    this.dispatchEvent(new Event("state"));
  }
}

/** Do it; where the page is older than the session, with the token of the session, once more. @template T @param {() => Promise<T>} act @returns {Promise<T>} */
async function renewed(act) {
  try {
    return await act();
  } catch (error) {
    if (/** @type {any} */ (error).problems?.[0]?.slug !== "page-token-missing") throw error;
    page.token = (await get("/about")).token;
    return act();
  }
}

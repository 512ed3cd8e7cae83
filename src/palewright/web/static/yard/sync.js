/**
 * Sends what is kept when there is a signal, and takes what others sent. Sending twice does no harm: every entry has an id of its own.
 */

import { get, send } from "../shared/api.js";

const AT_ONCE = 200;
const PAUSE = 20_000;

export class Sync extends EventTarget {
  /** @param {import("./box.js").Box} box */
  constructor(box) {
    super();
    this.box = box;
    this.state = "waiting";
    this.left = 0;
    this.busy = false;
    addEventListener("online", () => this.go());
    addEventListener("offline", () => this.#say("offline"));
    document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && this.go());
    setInterval(() => this.go(), PAUSE);
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
        await this.#entries();
        await this.#photos();
      } while (this.again);
      this.#say("sent");
    } catch (error) {
      this.left = (await this.box.entries()).filter((one) => !one.sent).length;
      const status = /** @type {any} */ (error).status;
      this.refusal = status && status !== 503 ? error : null;
      this.#say(status === 401 ? "ended" : status && status !== 503 ? "refused" : "offline");
    } finally {
      this.busy = false;
    }
  }

  async #entries() {
    for (;;) {
      const waiting = (await this.box.entries()).filter((one) => !one.sent).map((one) => one.entry).sort((a, b) => a.seq - b.seq);
      this.left = waiting.length;
      const part = waiting.slice(0, AT_ONCE);
      const saw = await this.box.fact(`saw ${this.box.job}`, 0);
      const path = `/jobs/${this.box.job}/yard/entries`;
      const answer = part.length ? await send("POST", path, { entries: part, after: saw }) : await get(`${path}?after=${saw}`);
      await this.box.arrived(answer.entries, answer.last);
      if (part.length) {
        const numbers = answer.numbers;
        const back = new Map(answer.entries.map((/** @type {any} */ entry) => [entry.id, entry]));
        await this.box.arrived(part.map((entry, k) => back.get(entry.id) ?? { ...entry, number: numbers[k] }), 0);
      }
      if (part.length || answer.entries.length) this.dispatchEvent(new Event("news"));
      if (waiting.length <= AT_ONCE) break;
    }
    this.left = 0;
  }

  async #photos() {
    for (const { id, blob } of await this.box.unsentPhotos()) {
      await send("PUT", `/jobs/${this.box.job}/yard/photos/${id}`, blob);
      await this.box.photoSent(id);
    }
  }

  /** @param {string} state */
  #say(state) {
    this.state = state;
    this.dispatchEvent(new Event("state"));
  }
}

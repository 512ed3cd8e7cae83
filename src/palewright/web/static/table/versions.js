/**
 * Versions of the job and other jobs: what the drawing is compared with, names, copies, two side by side.
 * Until somebody chooses, a job is compared with its last named version, or with how it was when this session opened it.
 * @typedef {import("./job.js").Job} Job
 */

import { newKey, send } from "../shared/api.js";

/** @param {Job} job */
const kept = (job) => `opened ${job.id}`;

/** The revision with which this session began; a page that is loaded again keeps it. @param {Job} job @param {number} revision */
function opened(job, revision) {
  const before = Number(sessionStorage.getItem(kept(job)));
  if (before > 0 && before <= revision) return before;
  sessionStorage.setItem(kept(job), String(revision));
  return revision;
}

/**
 * @param {Job} job
 * @param {{against: HTMLSelectElement, other: HTMLSelectElement, go: HTMLButtonElement, words: (key: string, values?: Record<string, string>) => string, ask: import("./ask.js").Ask, revision: number}} at
 */
export function versionsOf(job, { against, other, go, words, ask, revision }) {
  const first = opened(job, revision);

  async function showMarks() {
    const marks = await job.marks();
    const last = marks.reduce((found, one) => (!found || one.revision > found.revision ? one : found), /** @type {{name: string, revision: number} | null} */ (null));
    const chosen = against.dataset.chosen ?? String(last?.revision ?? first);
    against.replaceChildren(
      ...(marks.some((one) => one.revision === first) ? [] : [new Option(words("against_opened", { number: String(first) }), String(first))]),
      ...marks.map((one) => new Option(one.name, String(one.revision))),
      new Option(words("against_none"), "0"),
    );
    against.value = chosen;
    job.since = Number(against.value);
  }

  async function showJobs() {
    const jobs = await job.others();
    other.append(...jobs.map(({ id, title }) => new Option(title, id)));
  }

  async function mark() {
    const name = await ask({ title: words("ask_mark"), say: words("mark_say") });
    if (!name || !(await job.mark(name))) return;
    against.dataset.chosen = String(job.revision);
    await showMarks();
    await job.load();
  }

  /** A second job with the same text: an alternate, opened beside this one. */
  async function copy() {
    const title = await ask({ title: words("ask_copy"), value: words("copied", { title: job.sight?.title ?? "" }) });
    if (!title) return;
    try {
      const made = await send("POST", job.path("copy"), { title, key: newKey() });
      location.assign(`/jobs/${made.id}`);
    } catch (error) {
      job.dispatchEvent(new CustomEvent("refused", { detail: error }));
    }
  }

  against.addEventListener("change", () => {
    against.dataset.chosen = against.value;
    job.since = Number(against.value);
    job.load();
  });
  const beside = () => other.value && location.assign(`/jobs/${job.id}/beside/${other.value}`);
  go.addEventListener("click", beside);
  other.addEventListener("change", () => (go.disabled = !other.value)); // an arrow key looks at one after the other
  other.addEventListener("keydown", (event) => event.key === "Enter" && beside());
  showJobs().catch(() => {});
  return { ready: showMarks().catch(() => {}), mark, copy };
}

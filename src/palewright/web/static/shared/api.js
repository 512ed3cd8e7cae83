// The only place that talks to the server: the page's token on every change, one shape for whatever goes wrong.

/** @typedef {{slug: string, severity: string, where: {file: string, line: number, column: number, width: number, path: string, thing: string}, what: string, found: string, allowed: string, hint: string}} Problem */

/** The job and revision that this page was made for. */
export const page = {
  token: meta("page-token"),
  job: meta("job"),
  revision: Number(meta("revision")),
  lang: document.documentElement.lang,
};

/** @type {Record<string, string>} What the modules say, in the language of the page. */
export const words = JSON.parse(document.getElementById("words")?.textContent ?? "{}");

/** @param {string} name */
function meta(name) {
  return document.querySelector(`meta[name="${name}"]`)?.getAttribute("content") ?? "";
}

/**
 * A sentence with its blanks filled.
 * @param {string} text
 * @param {Record<string, string | number>} values
 */
export function fill(text, values) {
  return text.replace(/\{(\w+)\}/g, (whole, name) => String(values[name] ?? whole));
}

/** What the server said no to, or that it did not answer (status 0). */
export class Fault extends Error {
  /** @param {number} status @param {Problem[]} problems @param {number | undefined} revision */
  constructor(status, problems, revision) {
    super(problems[0]?.what ?? words.unreachable);
    this.status = status;
    this.problems = problems;
    this.revision = revision;
  }
}

/** A name for one act. Keep it while the same act is tried again: the server does it once. */
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * @param {string} method
 * @param {string} path under /api
 * @param {unknown} [body] sent as JSON, or as it is when it is a Blob
 * @param {AbortSignal} [signal]
 * @returns {Promise<Response>}
 */
export async function call(method, path, body, signal) {
  /** @type {Record<string, string>} */
  const headers = { "Accept-Language": page.lang };
  const raw = body instanceof Blob;
  if (method !== "GET") headers["X-Page-Token"] = page.token;
  if (body !== undefined) headers["Content-Type"] = raw ? body.type || "application/octet-stream" : "application/json";
  const sent = body === undefined ? undefined : raw ? body : JSON.stringify(body);
  let answer;
  try {
    answer = await fetch(`/api${path}`, { method, headers, body: sent, signal, credentials: "same-origin" });
  } catch (error) {
    if (signal?.aborted) throw error;
    throw new Fault(0, [], undefined);
  }
  if (answer.ok) return answer;
  const said = await answer.json().catch(() => ({ problems: [] }));
  throw new Fault(answer.status, said.problems ?? [], said.revision);
}

/** @param {string} path @param {AbortSignal} [signal] @returns {Promise<any>} */
export const get = async (path, signal) => (await call("GET", path, undefined, signal)).json();

/** @param {string} method @param {string} path @param {unknown} [body] @param {AbortSignal} [signal] @returns {Promise<any>} */
export const send = async (method, path, body, signal) => (await call(method, path, body, signal)).json();

/**
 * A file of another program: put beside the job, then read by the program; what the file leaves open is asked.
 * @typedef {import("./job.js").Job} Job
 */

import { Fault, get } from "../shared/api.js";
import { plainName, putFile } from "../shared/files.js";

/** What a problem of a file asks a person; any other is no question of how to read it. @type {Record<string, string[]>} */
const ASKS = {
  "which-ring": ["ring"], "unknown-ring": ["ring"], "which-layer": ["layer"], "unknown-layer": ["layer"], "csv-order-not-said": ["order"],
  "unit-not-said": ["unit"], "unit-unknown": ["unit"], "size-unlikely": ["unit", "any_size"], "crs-unknown": ["crs"], "outside-crs": ["crs"],
};
const UNITS = ["", "ft", "ft US", "m", "in"];

/** What is wrong with the file; hints of the command line are left out. @param {Fault} fault */
const said = ({ problems }) => problems.map(({ what, found }) => (found ? `${what}: ${found}` : what)).join("\n");

/**
 * @param {Job} job @param {File | string} file  the name of one that lies beside the job already
 * @param {{ask: import("./ask.js").Ask, words: (key: string, values?: Record<string, string>) => string, tell: (text: string) => void}} act
 */
export async function bringFile(job, file, { ask, words, tell }) {
  const called = typeof file === "string" ? file : file.name;
  const name = typeof file === "string" ? file : plainName(file.name);
  /** @type {Record<string, string>} */
  let how = {};
  tell(words("reading", { what: called }));
  try {
    if (typeof file !== "string") await putFile(file, name);
    for (;;) {
      const fault = await job.bring({ file: name, ...how, any_size: how.any_size === "yes" });
      if (!fault) return;
      if (!ASKS[fault.problems[0]?.slug]) throw fault;
      const more = await ask({ title: words("ask_file", { what: called }), say: said(fault), fields: await fields(fault, how) });
      if (!more) return;
      how = { ...how, ...more };
    }
  } catch (error) {
    job.dispatchEvent(new CustomEvent("refused", { detail: error }));
  }

  /** @param {Fault} fault @param {Record<string, string>} known */
  async function fields(fault, known) {
    const keys = ASKS[fault.problems[0].slug];
    return Promise.all(keys.map(async (key) => ({ key, label: words(`file_${key}`), value: known[key] ?? "", choices: await choices(key, fault, known) })));
  }

  /** @param {string} key @param {Fault} fault @param {Record<string, string>} known */
  async function choices(key, fault, known) {
    const same = (/** @type {string[]} */ values) => values.map((value) => ({ value, text: value || words("file_as_it_says") }));
    if (key === "unit") return same(UNITS);
    if (key === "order") return same(["", "PNEZD", "PENZD"]);
    if (key === "any_size") return [{ value: "", text: words("file_size_doubted") }, { value: "yes", text: words("file_size_right") }];
    if (key === "layer") return same(fault.problems[0].allowed.split(", "));
    if (key !== "ring") return undefined;
    const asked = new URLSearchParams(Object.entries(known).filter(([part, value]) => value && ["unit", "crs", "layer"].includes(part)));
    const found = await get(job.path(`files/${encodeURIComponent(name)}/outlines?${asked}`));
    const rings = found.filter((/** @type {{kind: string}} */ { kind }) => kind === "ring");
    return rings.map((/** @type {{name: string, size: string, layer: string}} */ one) => ({ value: one.name, text: [one.name, one.size, one.layer].filter(Boolean).join(", ") }));
  }
}

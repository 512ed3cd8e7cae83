// The job file as text: checked while it is typed, saved on a revision, every problem a link to its line.
import { Fault, fill, get, newKey, page, send, words } from "./api.js";
import { once, say, showProblems, textual } from "./problems.js";
import { listFiles } from "./files.js";

const field = /** @type {HTMLTextAreaElement} */ (document.getElementById("text"));
const save = /** @type {HTMLButtonElement} */ (document.getElementById("save"));
const undo = /** @type {HTMLButtonElement} */ (document.getElementById("undo"));
const redo = /** @type {HTMLButtonElement} */ (document.getElementById("redo"));
const place = /** @type {HTMLOutputElement} */ (document.getElementById("place"));
const problems = /** @type {HTMLElement} */ (document.getElementById("problems"));
const path = `/jobs/${page.job}`;
let saved = field.value;
let revision = page.revision;
let key = newKey();
/** @type {AbortController | undefined} */
let checking;
/** @type {number | undefined} */
let waiting;
/** @type {HTMLElement[]} */
let conflict = []; // somebody else saved: stays above the problems until their text is taken

/** @param {number} line @param {number} column @param {number} width */
function select(line, column, width) {
  const lines = field.value.split("\n");
  const start = lines.slice(0, line - 1).reduce((sum, text) => sum + text.length + 1, 0) + Math.max(column - 1, 0);
  field.focus();
  field.setSelectionRange(start, Math.min(start + Math.max(width, 1), field.value.length));
  const height = field.scrollHeight / Math.max(lines.length, 1);
  field.scrollTop = Math.max(0, (line - 4) * height);
  where();
}

function where() {
  const before = field.value.slice(0, field.selectionStart).split("\n");
  const stands = fill(words.position, { line: before.length, column: before[before.length - 1].length + 1 });
  place.value = field.value === saved ? stands : `${stands}, ${words.unsaved}`;
}

/** @param {import("./api.js").Problem[]} found */
function show(found) {
  showProblems(problems, found, (problem) => select(problem.where.line, problem.where.column, problem.where.width), conflict.length ? "" : words.no_problem);
  problems.prepend(...conflict);
}

async function check() {
  checking?.abort();
  checking = new AbortController();
  try {
    show((await send("POST", `${path}/check`, { text: field.value }, checking.signal)).problems);
  } catch (error) {
    if (error instanceof Fault) say(error.message, true);
  }
}

/** @param {any} job */
function stands(job) {
  revision = job.revision;
  undo.disabled = !job.can_undo;
  redo.disabled = !job.can_redo;
}

/** @param {() => Promise<void>} act @param {HTMLButtonElement} button */
async function change(act, button) {
  await once(button, async () => {
    try {
      await act();
    } catch (error) {
      if (error instanceof Fault && error.problems[0]?.slug === "job-changed-elsewhere") return elsewhere();
      throw error;
    }
  }, problems);
  where();
}

/** Somebody else saved: what is typed here stays until its writer lets it go. */
function elsewhere() {
  say("");
  const take = textual("button", words.take_theirs);
  take.setAttribute("type", "button");
  take.addEventListener("click", fetchText);
  conflict = [textual("p", words.elsewhere, "problem"), take];
  conflict[0].setAttribute("role", "alert");
  problems.replaceChildren(...conflict);
}

async function fetchText() {
  const [text, job] = await Promise.all([get(`${path}/text`), get(path)]);
  field.value = saved = text.text;
  conflict = [];
  stands(job);
  show(text.problems);
  say("");
  where();
}

document.getElementById("edit")?.addEventListener("submit", (event) => {
  event.preventDefault();
  change(async () => {
    const text = field.value;
    const answer = await send("PUT", `${path}/text`, { revision, text, key });
    saved = text;
    key = newKey();
    stands(answer.job);
    show(answer.problems);
    const count = answer.problems.length;
    say(fill(count ? words.saved_with : words.saved, { revision, count }));
  }, save);
});
for (const [button, way] of /** @type {[HTMLButtonElement, string][]} */ ([[undo, "undo"], [redo, "redo"]])) {
  let step = newKey();
  button.addEventListener("click", async () => {
    /** @type {any} */
    let job;
    await change(async () => {
      job = (await send("POST", `${path}/${way}`, { revision, key: step, lang: page.lang })).job;
      step = newKey();
      await fetchText();
      say(fill(words.saved, { revision }));
    }, button);
    if (job) stands(job);
  });
}
field.addEventListener("input", () => {
  key = newKey();
  where();
  clearTimeout(waiting);
  waiting = setTimeout(check, 500);
});
for (const name of ["keyup", "click"]) field.addEventListener(name, where);
addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && event.key === "s") {
    event.preventDefault();
    save.click();
  }
});
addEventListener("beforeunload", (event) => {
  if (field.value !== saved) event.preventDefault();
});
addEventListener("pageshow", (event) => event.persisted && field.value === saved && fetchText());
field.value = saved;
where();
const asked = /^#line-(\d{1,7})$/.exec(location.hash);
if (asked) select(Number(asked[1]), 1, 1);
check();
listFiles(/** @type {HTMLElement} */ (document.getElementById("files")), /** @type {HTMLInputElement} */ (document.getElementById("file")), check);

// What the material costs: figures as the server gives them, nothing is added up here.
import { get, newKey, page, send, words } from "./api.js";
import { putFile } from "./files.js";
import { once, say, showFault, showProblems, textual } from "./problems.js";

const table = /** @type {HTMLTableElement} */ (document.getElementById("lines"));
const problems = document.getElementById("problems");
const file = /** @type {HTMLInputElement} */ (document.getElementById("file"));

async function show() {
  const money = await get(`/jobs/${page.job}/money?lang=${page.lang}`);
  if (problems) showProblems(problems, money.problems);
  table.hidden = money.problems.length > 0;
  if (table.hidden) return;
  const total = /** @type {HTMLElement} */ (document.getElementById("total"));
  table.tBodies[0].replaceChildren(...money.lines.map((/** @type {any} */ line) => {
    const row = document.createElement("tr");
    const head = textual("th", line.what);
    head.setAttribute("scope", "row");
    row.append(head, textual("td", `${line.buy} ${line.unit}`, "number"), textual("td", line.price ?? "–", "number"), textual("td", line.cost ?? "–", "number"));
    return row;
  }));
  total.textContent = money.total === null ? `${total.dataset.unpriced}: ${money.unpriced.length}` : `${money.total} ${money.currency}`;
}

file.addEventListener("change", () =>
  once(null, async () => {
    const chosen = file.files?.[0];
    if (!chosen) return;
    await putFile(chosen, "prices.csv");
    const job = await get(`/jobs/${page.job}`);
    const edits = [{ kind: "set", path: "prices", value: "prices.csv" }];
    await send("POST", `/jobs/${page.job}/edits`, { revision: job.revision, edits, key: newKey(), lang: page.lang });
    file.value = "";
    await show();
    say(words.done);
  }, problems));
show().catch((error) => showFault(error, problems));

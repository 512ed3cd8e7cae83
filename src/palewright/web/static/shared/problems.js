// Problems shown as a list; where a problem has a line, a button leads there.
import { Fault, fill, words } from "./api.js";

/** @typedef {import("./api.js").Problem} Problem */

/**
 * @param {Element} place what is in it is replaced
 * @param {Problem[]} problems
 * @param {(problem: Problem) => void} [go] called with a problem whose place was clicked
 * @param {string} [none] said when there is none
 */
export function showProblems(place, problems, go, none = "") {
  const parts = problems.map((problem) => one(problem, go));
  if (!problems.length && none) parts.push(textual("p", none, "right"));
  place.replaceChildren(...parts);
}

/** @param {Problem} problem @param {((problem: Problem) => void) | undefined} go */
function one(problem, go) {
  const box = textual("div", "", problem.severity === "caution" ? "caution" : "problem");
  const { line, thing } = problem.where;
  if (line && go) {
    const button = textual("button", fill(words.line, { line }), "plain");
    button.setAttribute("type", "button");
    button.addEventListener("click", () => go(problem));
    box.append(button);
  }
  let what = problem.what;
  if (problem.found) what += `: ${words.found} ${problem.found}`;
  if (problem.allowed) what += `; ${words.allowed}: ${problem.allowed}`;
  box.append(textual("p", thing && !line ? `${thing}: ${what}` : what));
  if (problem.hint) box.append(textual("p", `${words.hint}: ${problem.hint}`));
  return box;
}

/**
 * An element with plain text in it: never markup.
 * @param {string} tag @param {string} text @param {string} [name] its class
 */
export function textual(tag, text, name) {
  const made = document.createElement(tag);
  made.textContent = text;
  if (name) made.className = name;
  return made;
}

/** Say one thing at the foot of the page. @param {string} text @param {boolean} [bad] */
export function say(text, bad = false) {
  const line = document.getElementById("said");
  if (!line) return;
  line.textContent = text;
  line.classList.toggle("bad", bad);
}

/** Show what went wrong. @param {unknown} error @param {Element | null} place */
export function showFault(error, place) {
  if (!(error instanceof Fault)) throw error;
  const told = place !== null && error.problems.length > 0; // there, and not at the foot of the page too
  say(told ? "" : error.message, true);
  if (!place) return;
  place.setAttribute("role", "alert");
  showProblems(place, error.problems);
  if (told) place.scrollIntoView({ block: "nearest" });
}

/**
 * Do one act: its button sleeps meanwhile, so that a double click does it once.
 * @param {HTMLButtonElement | null} button @param {() => Promise<void>} act @param {Element | null} place for problems
 */
export async function once(button, act, place) {
  if (button?.disabled) return;
  if (button) button.disabled = true;
  say(words.working);
  try {
    await act();
  } catch (error) {
    showFault(error, place);
  } finally {
    if (button) button.disabled = false;
  }
}

/**
 * What went wrong as plain text, a problem a line.
 * @param {unknown} error
 */
export function textOf(error) {
  if (!(error instanceof Fault)) return String(error);
  if (!error.problems.length) return error.message;
  const whole = (/** @type {string} */ text) => text.slice(0, 1).toUpperCase() + text.slice(1);
  return error.problems
    .map(({ what, found, allowed, hint }) => {
      const told = (found ? `: ${words.found} ${found}` : "") + (allowed ? `; ${words.allowed}: ${allowed}` : "");
      return [whole(told ? what.replace(/\.$/, "") + told : what), whole(hint)].filter(Boolean).join(". ");
    })
    .join("\n");
}

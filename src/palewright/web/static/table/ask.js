/**
 * A small form over the drawing: one or more typed values. Enter takes them, Escape leaves things as they are.
 * @typedef {object} Field
 * @property {string} key
 * @property {string} label
 * @property {string} [value]
 * @property {string} [hint]
 * @property {{value: string, text: string}[]} [choices]
 * @property {string[]} [suggest]  what may be meant; anything else may be typed
 * @property {boolean} [long]
 *
 * @typedef {object} Wanted
 * @property {string} title
 * @property {string} [say]  more words under the title
 * @property {string} [value]
 * @property {Field[]} [fields]
 * @property {{value: string, text: string}[]} [pick]  one of these, each a button
 * @property {boolean} [small]  beside the words on the drawing, which stays in sight
 * @property {(key: string, values: Record<string, string>, put: (key: string, value: string) => void) => void} [picked]  told what was picked, of all that stands there
 * @property {(values: Record<string, string>) => Promise<Wrong | null>} [use]  does it while the form still stands; null where it was done
 *
 * @typedef {{text: string, key?: string, from?: number, to?: number}} Wrong  what is wrong, in which field, and in which part of its text
 * @property {(value: string) => void} [typing]  told what the first field holds whenever that changes
 *
 * @typedef {(ask: Wanted) => Promise<any>} Ask  a text, or texts by key where fields were given; null where nothing was taken
 */

import { tag } from "../shared/dom.js";

/**
 * @param {HTMLDialogElement} dialog
 * @param {HTMLElement} near  where a small form stands
 * @param {(key: string) => string} words
 * @returns {Ask}
 */
export function asker(dialog, near, words) {
  return (ask) =>
    new Promise((done) => {
      const fields = ask.fields ?? (ask.pick ? [] : [{ key: "value", label: "", value: ask.value ?? "" }]);
      const inputs = fields.map((field) => input(field));
      const form = tag("form", { method: "dialog" }, tag("h2", { id: "ask-title" }, ask.title));
      if (ask.say) form.append(tag("p", { class: "told" }, ask.say));
      form.append(tag("div", { class: "fields" }, ...inputs.map(({ label }) => label)));
      dialog.classList.toggle("broad", inputs.length > 5);
      const row = tag("div", { class: "row" });
      if (ask.pick) form.append(tag("div", { class: "picks" }, ...ask.pick.map(({ value, text }) => button(text, `=${value}`))));
      else row.append(button(words("take"), "take", "main"));
      row.append(button(words("leave"), "leave"));
      form.append(row);
      dialog.replaceChildren(form);
      dialog.setAttribute("aria-labelledby", "ask-title");
      place(dialog, ask.small ? near : null);
      const values = () => Object.fromEntries(inputs.map(({ key, control }) => [key, control.value.trim()]));
      const put = (/** @type {string} */ key, /** @type {string} */ value) => {
        for (const input of inputs) if (input.key === key) input.control.value = value;
      };
      for (const { key, control } of inputs) if (control instanceof HTMLSelectElement) control.addEventListener("change", () => ask.picked?.(key, values(), put));
      const close = () => {
        const taken = dialog.returnValue;
        if (taken.startsWith("=")) return done(taken.slice(1));
        return done(taken !== "take" ? null : ask.fields ? values() : values().value || null);
      };
      const { use } = ask;
      if (use)
        form.addEventListener("submit", async (event) => {
          const button = /** @type {HTMLButtonElement} */ (/** @type {SubmitEvent} */ (event).submitter);
          if (button.value !== "take") return;
          event.preventDefault();
          button.disabled = true; // a double click does it once
          const wrong = await use(values());
          button.disabled = false;
          if (wrong) say(form, row, wrong, inputs);
          else dialog.close("take");
        });
      dialog.addEventListener("close", close, { once: true });
      dialog.returnValue = "leave";
      dialog.showModal();
      const first = inputs[0]?.control;
      first?.focus();
      first?.addEventListener("input", () => ask.typing?.(first.value.trim()));
      if (first instanceof HTMLInputElement) first.setSelectionRange(first.value.length, first.value.length);
    });

  /** What is wrong is said in the form, and its place is marked. @param {HTMLElement} form @param {HTMLElement} row @param {Wrong} wrong @param {{key: string, control: any}[]} inputs */
  function say(form, row, { text, key, from = 0, to = 0 }, inputs) {
    form.querySelector(".wrong")?.remove();
    const told = tag("p", { class: "wrong", role: "alert" }, text);
    row.before(told);
    told.scrollIntoView({ block: "nearest" });
    for (const input of inputs) {
      input.control.removeAttribute("aria-invalid");
      if (input.key !== key) continue;
      input.control.setAttribute("aria-invalid", "true");
      input.control.focus();
      if (to > from) input.control.setSelectionRange(from, to);
    }
  }

  /** @param {string} text @param {string} value @param {string} [style] */
  function button(text, value, style = "") {
    return tag("button", { value, class: style, ...(value === "leave" ? { formnovalidate: "" } : {}) }, text);
  }

  /** @param {Field} field */
  function input(field) {
    const control = /** @type {HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement} */ (
      tag(field.choices ? "select" : field.long ? "textarea" : "input", { name: field.key })
    );
    if (control instanceof HTMLSelectElement) control.append(...(field.choices ?? []).map(({ value, text }) => new Option(text, value, false, value === field.value)));
    else {
      control.value = field.value ?? "";
      control.autocomplete = "off";
      control.spellcheck = false;
    }
    const list = field.suggest?.length ? tag("datalist", { id: `ask-${field.key}` }, ...field.suggest.map((value) => new Option(value, value))) : "";
    if (list) control.setAttribute("list", `ask-${field.key}`);
    if (!field.label) control.setAttribute("aria-labelledby", "ask-title");
    const label = tag("label", {}, ...(field.label ? [tag("span", {}, field.label)] : []), control, list, ...(field.hint ? [tag("small", {}, field.hint)] : []));
    return { key: field.key, label, control };
  }
}

/** @param {HTMLDialogElement} dialog @param {HTMLElement | null} near */
function place(dialog, near) {
  dialog.classList.toggle("small", Boolean(near));
  const box = near?.getBoundingClientRect();
  dialog.style.setProperty("--left", `${box?.left ?? 0}px`);
  dialog.style.setProperty("--top", `${box?.bottom ?? 0}px`);
}

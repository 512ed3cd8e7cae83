/**
 * A small form over the drawing: one or more typed values. Enter takes them, Escape leaves things as they are.
 * @param {HTMLDialogElement} dialog
 * @param {(key: string) => string} words
 */
export function asker(dialog, words) {
  /**
   * @param {{title: string, value?: string, fields?: {key: string, label: string, value?: string, choices?: {value: string, text: string}[], long?: boolean}[]}} ask
   * @returns {Promise<any>} a text, or texts by key where fields were given; null where nothing was taken
   */
  return (ask) =>
    new Promise((done) => {
      const fields = ask.fields ?? [{ key: "value", label: ask.title, value: ask.value ?? "" }];
      const form = document.createElement("form");
      form.method = "dialog";
      const head = document.createElement("h2");
      head.id = "ask-title";
      head.textContent = ask.title;
      const inputs = fields.map((field) => input(field));
      const row = document.createElement("div");
      row.className = "row";
      row.append(button(words("take"), "take", "first"), button(words("leave"), "leave"));
      form.append(head, ...inputs.map(({ label }) => label), row);
      dialog.replaceChildren(form);
      dialog.setAttribute("aria-labelledby", "ask-title");
      const close = () => {
        const taken = dialog.returnValue === "take";
        const values = Object.fromEntries(inputs.map(({ key, control }) => [key, control.value.trim()]));
        done(!taken ? null : ask.fields ? values : values.value || null);
      };
      dialog.addEventListener("close", close, { once: true });
      dialog.returnValue = "leave";
      dialog.showModal();
      const first = inputs[0].control;
      first.focus();
      if (first instanceof HTMLInputElement) first.setSelectionRange(first.value.length, first.value.length);
    });

  /** @param {string} text @param {string} value @param {string} [style] */
  function button(text, value, style = "") {
    const made = document.createElement("button");
    made.value = value;
    made.textContent = text;
    made.className = style;
    if (value === "leave") made.formNoValidate = true;
    return made;
  }

  /** @param {{key: string, label: string, value?: string, choices?: {value: string, text: string}[], long?: boolean}} field */
  function input(field) {
    const label = document.createElement("label");
    const said = document.createElement("span");
    said.textContent = field.label;
    const control = document.createElement(field.choices ? "select" : field.long ? "textarea" : "input");
    if (control instanceof HTMLSelectElement)
      for (const choice of field.choices ?? []) control.append(new Option(choice.text, choice.value, false, choice.value === field.value));
    else {
      control.value = field.value ?? "";
      control.autocomplete = "off";
      control.spellcheck = false;
    }
    control.name = field.key;
    label.append(said, control);
    return { key: field.key, label, control };
  }
}

/** Where the keyboard stands, while parts beside the drawing are made anew. */

/** @param {Element | null} one */
const called = (one) => one?.getAttribute("aria-label") ?? one?.getAttribute("name") ?? one?.textContent ?? "";

/** @param {Element} part @param {string} name */
const alike = (part, name) => [...part.querySelectorAll("button:enabled, select, a, summary")].filter((one) => called(one) === name);

/** Remember where the keyboard stands; what is given back puts it there again where it was lost: on what is called the same, or at the head of the part. */
export function standing() {
  const was = document.activeElement;
  const part = was?.closest("#beside > details, #beside > .acts");
  const order = was && part ? alike(part, called(was)).indexOf(was) : -1;
  return () => {
    if (!part || document.activeElement !== document.body) return;
    const now = alike(part, called(was));
    const next = now[Math.min(Math.max(order, 0), now.length - 1)] ?? part.querySelector("summary, button:enabled");
    if (next instanceof HTMLElement) next.focus({ preventScroll: true });
  };
}

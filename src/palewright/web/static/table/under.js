/** What lies under a place on the screen, and how far a hand reaches there. */

export const SNAP_PIXELS = 12;
export const CLICK_PIXELS = 5;

/** @typedef {{clientX: number, clientY: number}} Spot */

/** @param {EventTarget | null} target @returns {string} */
export function idUnder(target) {
  const found = target instanceof Element ? target.closest("[data-id]") : null;
  return found instanceof SVGElement ? found.dataset.id ?? "" : "";
}

/** The number of the corner that a grip stands for; -1 for none. @param {EventTarget | null} target */
export function cornerUnder(target) {
  const found = target instanceof Element ? target.closest("[data-index]") : null;
  return found instanceof SVGElement ? Number(found.dataset.index) : -1;
}

/** Small things to drag may lie under others: they come before what lies on them. @param {Element} paper @param {PointerEvent} at @returns {string} */
export function dragUnder(paper, at) {
  const top = idUnder(at.target);
  if (at.target instanceof Element && at.target.closest("[data-drag]")) return top;
  const small = document.elementsFromPoint(at.clientX, at.clientY).find((one) => paper.contains(one) && one.closest(":is(.kind-point, .kind-corner, .kind-gate)[data-drag]"));
  return small ? idUnder(small) : top;
}

const REACH = [0, -7, 7];

/** Ids of everything at a place and a finger's breadth round it, the topmost first. @param {Element} paper @param {Spot} at @returns {string[]} */
export function idsNear(paper, { clientX, clientY }) {
  const found = new Set();
  for (const dx of REACH)
    for (const dy of REACH)
      for (const element of document.elementsFromPoint(clientX + dx, clientY + dy)) if (paper.contains(element)) found.add(idUnder(element));
  found.delete("");
  return [...found];
}

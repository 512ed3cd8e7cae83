/** Makes elements; text stays text. */

/** @param {string} name @param {Record<string, string>} [attributes] @param {...(Node | string)} children */
export function tag(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

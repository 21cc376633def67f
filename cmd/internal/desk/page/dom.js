// What all modules of the page do with its elements.

/** $ gives the element with an id. */
export const $ = (id) => document.getElementById(id);

/** make makes an element with properties and children. */
export function make(name, properties, ...children) {
  const e = Object.assign(document.createElement(name), properties);
  e.append(...children);
  return e;
}

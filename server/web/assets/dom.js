/**
 * The few ways in which this screen touches the page. Text always goes in as text, never as markup.
 * @module dom
 */

/**
 * Makes an element.
 * @template {keyof HTMLElementTagNameMap} Tag
 * @param {Tag} tag
 * @param {string} [className]
 * @param {string} [text]
 * @param {Record<string, string>} [attributes]
 * @returns {HTMLElementTagNameMap[Tag]}
 */
export function make(tag, className = "", text = "", attributes = {}) {
  const element = document.createElement(tag);
  if (className) element.className = className;
  if (text) element.textContent = text;
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  return element;
}

/**
 * @template {Element} Parent
 * @param {Parent} parent
 * @param {...Element} children
 * @returns {Parent} the parent
 */
export function fill(parent, ...children) {
  parent.append(...children);
  return parent;
}

/**
 * Writes text only when it differs, so that nothing is redrawn for nothing.
 * @param {Element} element
 * @param {string} text
 */
export function setText(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

/**
 * Sets or takes away an attribute, only when it differs.
 * @param {Element} element
 * @param {string} name
 * @param {string|null} value `null` takes it away
 */
export function setAttribute(element, name, value) {
  if (value === null) {
    if (element.hasAttribute(name)) element.removeAttribute(name);
  } else if (element.getAttribute(name) !== value) {
    element.setAttribute(name, value);
  }
}

/**
 * Shows or hides, only when it differs.
 * @param {HTMLElement} element
 * @param {boolean} visible
 */
export function show(element, visible) {
  if (element.hidden === visible) element.hidden = !visible;
}

/**
 * Brings the children of a parent into an order by moving as few as possible.
 * @param {Element} parent
 * @param {Element[]} wanted all children in order
 */
export function arrange(parent, wanted) {
  const keep = new Set(wanted);
  for (const child of [...parent.children]) if (!keep.has(child)) child.remove();
  wanted.forEach((element, index) => {
    if (parent.children[index] !== element) parent.insertBefore(element, parent.children[index] ?? null);
  });
}

/** @param {string} id @returns {HTMLElement} an element of index.html */
export function byId(id) {
  return byIdAs(HTMLElement, id);
}

/**
 * @template {HTMLElement} Kind
 * @param {new () => Kind} kind what it must be, such as `HTMLButtonElement`
 * @param {string} id
 * @returns {Kind} an element of index.html
 */
export function byIdAs(kind, id) {
  const element = document.getElementById(id);
  if (!(element instanceof kind)) throw new Error(`index.html has no ${kind.name} ${id}`);
  return element;
}

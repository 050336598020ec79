/**
 * The keyboard: every key of the screen in one table.
 * @module keys
 */

/**
 * @typedef {object} Actions what the keys do
 * @property {(step: 1|-1) => void} move choose a call
 * @property {(action: "claim"|"release"|"done") => void} press act on the chosen call
 * @property {(index: number) => void} span the n-th length of the axis
 * @property {(step: 1|-1) => void} zoom a longer or shorter axis
 * @property {() => void} sort
 * @property {() => void} theme
 * @property {() => void} sound
 * @property {() => void} help
 */

/**
 * @param {Actions} actions
 * @returns {Record<string, () => void>} by `KeyboardEvent.key`
 */
function table(actions) {
  /** @type {Record<string, () => void>} */
  const keys = {
    ArrowDown: () => actions.move(1),
    ArrowUp: () => actions.move(-1),
    j: () => actions.move(1),
    k: () => actions.move(-1),
    c: () => actions.press("claim"),
    r: () => actions.press("release"),
    d: () => actions.press("done"),
    "+": () => actions.zoom(-1),
    "=": () => actions.zoom(-1),
    "-": () => actions.zoom(1),
    s: actions.sort,
    t: actions.theme,
    m: actions.sound,
    "?": actions.help,
  };
  for (const index of [0, 1, 2, 3]) keys[String(index + 1)] = () => actions.span(index);
  return keys;
}

/**
 * Listens to the whole page, except while somebody types or another window lies above.
 * @param {Actions} actions
 * @param {() => boolean} awake whether the board is in front
 */
export function listenToKeys(actions, awake) {
  const keys = table(actions);
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.repeat && "crd".includes(event.key)) return;
    if (event.target instanceof HTMLInputElement || !awake()) return;
    const name = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    if (!Object.hasOwn(keys, name)) return;
    if (name === "?" || document.querySelector("dialog[open]") === null) {
      event.preventDefault();
      keys[name]();
    }
  });
}

/**
 * The keyboard: every key of the screen in one table.
 * @module keys
 */

/**
 * @typedef {object} Actions what the keys do
 * @property {(step: 1|-1) => void} move choose a call
 * @property {(action: "claim"|"release"|"done") => void} press act on the chosen call
 * @property {() => void} takeBack the last press
 * @property {() => void} openCallUnit the sheet of the chosen call's unit
 * @property {() => void} people who is on, for leads and owners
 * @property {() => void} pool packs and cards
 * @property {() => void} kitSum does the kit last the show
 * @property {(index: number) => void} span the n-th length of the axis
 * @property {(step: 1|-1) => void} zoom a longer or shorter axis
 * @property {() => void} sort
 * @property {() => void} theme
 * @property {() => void} sound mute or not
 * @property {(step: 1|-1) => void} volume louder, or softer
 * @property {() => void} help
 * @property {(step: 1|-1) => void} row choose a unit
 * @property {() => void} openUnit show the chosen unit
 * @property {() => void} filter type what to look for
 * @property {() => void} showAll take every filter away
 * @property {() => void} windows open or close the panel of windows
 * @property {() => void} undo take back the last change of a window, or the last press
 * @property {() => void} escape close what is open, or let go of the chosen unit
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
    z: actions.takeBack,
    o: actions.openCallUnit,
    p: actions.people,
    b: actions.pool,
    l: actions.kitSum,
    "+": () => actions.zoom(-1),
    "=": () => actions.zoom(-1),
    "-": () => actions.zoom(1),
    s: actions.sort,
    t: actions.theme,
    m: actions.sound,
    v: () => actions.volume(1),
    "?": actions.help,
    PageDown: () => actions.row(1),
    PageUp: () => actions.row(-1),
    "]": () => actions.row(1),
    "[": () => actions.row(-1),
    Enter: actions.openUnit,
    "/": actions.filter,
    f: actions.showAll,
    w: actions.windows,
    u: actions.undo,
    Escape: actions.escape,
  };
  for (const index of [0, 1, 2, 3, 4]) keys[String(index + 1)] = () => actions.span(index);
  return keys;
}

/** Whether a key is for what has the focus: fields take all of them, buttons and their like take Enter. @param {KeyboardEvent} event */
function isTaken({ target, key }) {
  if (!(target instanceof Element)) return false;
  return target.matches("input, select, textarea") || (key === "Enter" && target.matches("button, a, summary"));
}

/** A key that somebody holds down together with another one; brackets need one on many keyboards. @param {KeyboardEvent} event */
function isShortcut(event) {
  return (event.ctrlKey || event.metaKey || event.altKey) && !event.getModifierState("AltGraph");
}

/**
 * Listens to the whole page, except while somebody types or chooses from a list.
 * @param {Actions} actions
 * @param {() => boolean} awake whether the board is in front
 */
export function listenToKeys(actions, awake) {
  const keys = table(actions);
  document.addEventListener("keydown", (event) => {
    if (isShortcut(event) || event.repeat && "crduz".includes(event.key)) return;
    if (isTaken(event) || !awake()) return;
    const name = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    if (!Object.hasOwn(keys, name)) return;
    event.preventDefault();
    keys[name]();
  });
}

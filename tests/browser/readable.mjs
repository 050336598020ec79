/**
 * Reads off a page what every word, mark and ring of focus is painted with, and on what: for contrast as it is seen.
 */

import { contrast } from "./contrast.mjs";

/**
 * @typedef {object} Painted
 * @property {string} what the element, in a few letters
 * @property {string[]} colours `#rrggbb`: where there are several, the one that is seen best counts
 * @property {string[]} grounds every colour it lies on, `#rrggbb`: a hatch has several
 */

/**
 * Put into the page once: `window.seen`, which asks the browser what is painted. What it cannot know of is refused, so that
 * nothing counts as read which was not.
 */
function eyes() {
  const numbers = (colour) => colour.match(/[\d.]+/g).map(Number);
  const hex = (colour) => `#${numbers(colour).slice(0, 3).map((part) => Math.round(part).toString(16).padStart(2, "0")).join("")}`;
  const alpha = (colour) => numbers(colour)[3] ?? 1;
  /** Without colour, as `filter: grayscale(1)` paints it (Filter Effects 1). */
  const grey = (colour) => {
    const [red, green, blue] = [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16));
    const level = Math.round(0.2126 * red + 0.7152 * green + 0.0722 * blue).toString(16).padStart(2, "0");
    return `#${level.repeat(3)}`;
  };
  const chain = (element) => (element === null ? [] : [element, ...chain(element.parentElement)]);
  const painted = (element, colour) => (chain(element).some((one) => getComputedStyle(one).filter === "grayscale(1)") ? grey(colour) : colour);

  /** The colours of an element's own ground; `whole` when nothing shows through. A line at the edge is no ground. */
  function groundOf(element) {
    const { backgroundImage: image, backgroundColor: colour, backgroundRepeat: repeat, backgroundSize: size } = getComputedStyle(element);
    if (image.includes("url(")) throw new Error(`a picture lies behind words: ${image}`);
    const isLine = repeat === "no-repeat" && parseFloat(size) < 8;
    const stops = image === "none" || isLine ? [] : (image.match(/rgba?\([^)]*\)/g) ?? []);
    const whole = alpha(colour) === 1;
    const colours = [...stops, ...(whole ? [colour] : [])];
    for (const one of [...stops, colour]) if (alpha(one) > 0 && alpha(one) < 1) throw new Error(`${element.className} is half transparent: ${one}`);
    return { colours: colours.filter((one) => alpha(one) === 1).map((one) => painted(element, hex(one))), whole };
  }

  /** The colours behind a point of an element, from it down to the first that nothing shows through. */
  function behind(stack) {
    const colours = new Set();
    for (const element of stack) {
      const ground = groundOf(element);
      for (const one of ground.colours) colours.add(one);
      if (ground.whole) return [...colours];
    }
    throw new Error("nothing is painted behind this");
  }

  /** A rim of four shadows round every letter is what the letter is seen against. */
  const rimOf = ({ textShadow }) => {
    const colours = textShadow === "none" ? [] : textShadow.match(/rgba?\([^)]*\)/g);
    return colours.length >= 4 && new Set(colours).size === 1 ? hex(colours[0]) : null;
  };

  /** What lies under an element at its middle and near its ends; where something lies over it, or it is out of sight, its parents. */
  function grounds(element) {
    const rim = rimOf(getComputedStyle(element));
    if (rim !== null) return [painted(element, rim)];
    const { left, width, top, height } = element.getBoundingClientRect();
    const found = new Set(behind(chain(element)));
    for (const share of [0.1, 0.5, 0.9]) {
      const at = left + width * share;
      const stack = document.elementsFromPoint(at, top + height / 2);
      // Cut off by what it is scrolled in, its middle may be the very edge, which the neighbour has too.
      const whole = document.elementsFromPoint(at, top + height - 1).includes(element);
      if (whole && stack[0] === element) for (const one of behind(stack)) found.add(one);
    }
    return [...found];
  }

  const isShown = (element) => {
    const { width, height } = element.getBoundingClientRect();
    return width > 1 && height > 1 && element.checkVisibility({ visibilityProperty: true, contentVisibilityAuto: true });
  };
  const name = (element) => `${element.tagName.toLowerCase()}${element.id ? `#${element.id}` : ""}${[...element.classList].map((one) => `.${one}`).join("")} "${element.textContent.trim().slice(0, 24)}"`;
  const hasWords = (element) =>
    [...element.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.data.trim() !== "") || (element.matches("input, select") && (element.value || element.placeholder) !== "");

  window.seen = {
    words: () =>
      [...document.body.querySelectorAll("*")].filter((one) => hasWords(one) && isShown(one) && !one.matches(":disabled, :disabled *, option")).map((one) => {
        const style = getComputedStyle(one, one.placeholder && one.value === "" ? "::placeholder" : null);
        return { what: name(one), colours: [painted(one, hex(one instanceof SVGElement ? style.fill : style.color))], grounds: grounds(one) };
      }),
    marks: (wanted) =>
      wanted.flatMap(([selector, property]) => {
        const [place, part] = selector.split("::");
        const all = [...document.querySelectorAll(place)].filter((one) => one instanceof SVGElement || isShown(one));
        return all.map((one) => {
          const style = getComputedStyle(one, part ? `::${part}` : null);
          const colours = property.split("|").map((name) => style[name]).filter((colour) => alpha(colour) === 1);
          const under = part ? one : one.parentElement;
          return { what: `${selector} ${property}`, colours: colours.map((colour) => painted(one, hex(colour))), grounds: behind(chain(under)) };
        });
      }),
    rings: () =>
      [...document.querySelectorAll("button, a, input, select, summary, [tabindex='0']")].filter((one) => isShown(one) && !one.disabled).flatMap((one) => {
        one.focus({ preventScroll: true });
        if (document.activeElement !== one) return [];
        const { outlineStyle, outlineColor, outlineWidth, outlineOffset } = getComputedStyle(one);
        if (!one.matches(":focus-visible") || outlineStyle === "none" || parseFloat(outlineWidth) < 2) return [{ what: `${name(one)} shows no focus`, colours: ["#000000"], grounds: ["#000000"] }];
        // A ring that lies inside is seen on the element's own ground.
        const on = parseFloat(outlineOffset) < 0 ? one : one.parentElement;
        return [{ what: `focus of ${name(one)}`, colours: [painted(one, hex(outlineColor))], grounds: behind(chain(on)) }];
      }),
  };
}

/**
 * What is seen of a page.
 * @param {import("playwright-core").Page} page
 * @param {"words"|"marks"|"rings"} what
 * @param {[string, string][]} [wanted] places and properties, for marks
 * @returns {Promise<Painted[]>}
 */
export async function seen(page, what, wanted = []) {
  if (!(await page.evaluate(() => "seen" in window))) await page.evaluate(`(${eyes})()`);
  return page.evaluate(([name, places]) => window.seen[name](places), [what, wanted]);
}

/** The ratio of a colour to whichever of the grounds it is hardest to see on. */
const worstOn = (grounds) => (colour) => ({ colour, ratio: Math.min(...grounds.map((ground) => contrast(colour, ground))) });

/**
 * @param {Painted[]} painted
 * @param {(what: string) => number} least the ratio it must have
 * @returns {string[]} what has less
 */
export function tooWeak(painted, least) {
  return painted.flatMap(({ what, colours, grounds }) => {
    const [best] = colours.map(worstOn(grounds)).sort((a, b) => b.ratio - a.ratio);
    if (best === undefined) return [`${what}: nothing is painted`];
    return best.ratio >= least(what) ? [] : [`${what}: ${best.colour} on ${grounds.join(", ")} is ${best.ratio.toFixed(2)}, must be ${least(what)}`];
  });
}

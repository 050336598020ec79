/**
 * Draws the shapes of a picture into the page. Colours and strokes come by class, never from here.
 * @module svg
 */

/** @import { Picture, Shape } from "./sheetpicture.js" */

const SVG = "http://www.w3.org/2000/svg";

/**
 * @param {string} tag
 * @param {Record<string, string|number|boolean|undefined>} attributes
 * @param {string} [text]
 */
function element(tag, attributes, text = "") {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, String(value));
  if (text) made.textContent = text;
  return made;
}

/** @param {Shape} shape */
function drawn({ tag, text, inside: _, ...attributes }) {
  return element(tag, attributes, text);
}

/**
 * @param {Picture} picture
 * @param {string} said what the picture shows, for those who do not see it
 * @returns {Element}
 */
export function drawPicture({ width, height, frame, shapes }, said) {
  const root = element("svg", { class: "picture", viewBox: `0 0 ${width} ${height}`, width, height, role: "img", "aria-label": said });
  // A picture in the picture cuts off at its own edge; its coordinates are those of the whole.
  const [across, up] = [frame.right - frame.left, frame.bottom - frame.top];
  const box = `${frame.left} ${frame.top} ${across} ${up}`;
  const plot = element("svg", { x: frame.left, y: frame.top, width: across, height: up, viewBox: box, preserveAspectRatio: "none" });
  plot.append(...shapes.filter(({ inside }) => inside).map(drawn));
  const under = shapes.filter((shape) => !shape.inside && shape.class === "pic-grid");
  const over = shapes.filter((shape) => !shape.inside && shape.class !== "pic-grid");
  root.append(...under.map(drawn), plot, ...over.map(drawn));
  return root;
}

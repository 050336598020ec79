/**
 * Contrast ratio of two colours, by the definitions of "relative luminance" and "contrast ratio" in WCAG 2.2.
 */

/** Linear light of one 8-bit channel. @param {number} channel 0 to 255 @returns {number} 0 to 1 */
export function linear(channel) {
  const share = channel / 255;
  return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
}

/** Linear light of the three channels of `#rrggbb`. @param {string} hex @returns {[number, number, number]} 0 to 1 each */
export const linearOf = (hex) => [1, 3, 5].map((at) => linear(parseInt(hex.slice(at, at + 2), 16)));

/** Relative luminance of linear light, 0 to 1. @param {number[]} light red, green, blue */
export const luminance = ([red, green, blue]) => 0.2126 * red + 0.7152 * green + 0.0722 * blue;

/** @param {string} a `#rrggbb` @param {string} b `#rrggbb` @returns {number} 1 to 21, in either order; do not round it up */
export function contrast(a, b) {
  const [dark, light] = [a, b].map((hex) => luminance(linearOf(hex))).sort((x, y) => x - y);
  return (light + 0.05) / (dark + 0.05);
}

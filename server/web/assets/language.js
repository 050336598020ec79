/**
 * The button that changes the language of this device.
 * @module language
 */

import { byId, setAttribute, setText } from "./dom.js";
import { keepSettings, readSettings } from "./settings.js";
import { top } from "./words.js";

/** Writes the button. A change loads the page anew: all words were read when it began. */
export function prepareLanguageButton() {
  const { name, code } = top.language;
  const button = byId("language");
  setText(button, name);
  setAttribute(button, "lang", code);
  button.addEventListener("click", () => {
    keepSettings({ ...readSettings(), language: code });
    location.reload();
  });
}

/**
 * Runs before the page's other modules have come: while they are on their way the hub says who is there, and then what
 * there is to show.
 * @module early
 */

import { askAhead } from "./pass.js";
import { openAhead } from "./socket.js";

const asked = askAhead();
if (asked !== null && (await asked.answering).outcome === "ok") openAhead();

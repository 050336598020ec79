/**
 * What is only seen after a press: fetched when the board stands there, so that nobody waits for it who opens the screen.
 * @module late
 */

export { prepareHelp } from "./help.js";
export { KitSum } from "./kitform.js";
export { People } from "./people.js";
export { Pool } from "./pool.js";
export { UnitSheet } from "./sheet.js";
export { WindowPanel } from "./windows.js";

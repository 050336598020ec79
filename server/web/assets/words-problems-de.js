/**
 * What the hub may refuse a press for, in German.
 * @module words-problems-de
 */

/** By the problem's code. @type {Record<string, string>} */
export const PROBLEMS = {
  "call-ended": "dieser Auftrag ist schon beendet.",
  "not-your-claim": "diesen Auftrag hat jemand anderes.",
  "unknown-call": "diesen Auftrag gibt es nicht.",
  "rundown-changed": "andere ändern gerade den Ablaufplan. Noch einmal drücken.",
  forbidden: "das darf dieses Token nicht.",
  "too-many-requests": "zu viele Anfragen auf einmal. Gleich noch einmal versuchen.",
  busy: "der Hub ist beschäftigt. Gleich noch einmal versuchen.",
  "not-ready": "der Hub ist nicht bereit. Gleich noch einmal versuchen.",
  "storage-full": "die Platte des Hubs ist voll. Sag der Leitung Bescheid.",
};

/**
 * What the hub refuses, in German, by its short name of the problem.
 * @module words-problems-de
 */

/**
 * What the hub may refuse a press for, by the problem's code.
 * @type {Record<string, string>}
 */
export const PROBLEMS = {
  "call-ended": "dieser Auftrag ist schon beendet.",
  "not-your-claim": "diesen Auftrag hat jemand anderes.",
  "unknown-call": "diesen Auftrag gibt es nicht.",
  forbidden: "das darf dieses Token nicht.",
  "too-many-requests": "zu viele Anfragen auf einmal. Gleich noch einmal versuchen.",
  busy: "der Hub ist beschäftigt. Gleich noch einmal versuchen.",
  "not-ready": "der Hub ist nicht bereit. Gleich noch einmal versuchen.",
  "storage-full": "die Platte des Hubs ist voll. Sag der Leitung Bescheid.",
};

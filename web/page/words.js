// Words for standings, the same as the command's, and the lines of a decision.

import { capital, el, listed } from "./dom.js";
import { leansOnTape } from "./figures.js";

export const STANDINGS = {
  missing: "to do",
  estimated: "from photos only",
  read: "once so far",
  queried: "in doubt",
  confirmed: "confirmed",
  kept: "kept",
};

/** How far a measurement can be relied on. */
export function standingWords(held) {
  if (!held) return STANDINGS.missing;
  return leansOnTape(held) ? "from photos, using tape readings" : STANDINGS[held.standing];
}

/** What lies outside what the estimates stand for; the reference is in card/of_sitting.py. */
export const outsideWords = (outside) =>
  `Outside what the estimates from photos stand for: ${listed(outside)}. ` +
  "The bounds are wider for it; rely on the tape.";

/** A decision as a list of terms and what is said about them. */
export const stepLines = ({ steps }) =>
  steps.flatMap(({ title, answer, reason }) => [
    el("dt", {}, answer ? `${title}: ` : title, answer ? el("strong", {}, answer) : ""),
    el("dd", {}, capital(reason)),
  ]);

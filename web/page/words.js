// Words for standings, the same as the command's, and the lines of a decision.

import { capital, el, listed } from "./dom.js";
import { beside, figures, leansOnTape, measured } from "./figures.js";
import { gettext } from "./language.js";

export const STANDINGS = {
  missing: gettext("to do"),
  estimated: gettext("from photos only"),
  read: gettext("once so far"),
  queried: gettext("in doubt"),
  confirmed: gettext("confirmed"),
  kept: gettext("kept"),
};

const GARMENTS = {
  blouse: gettext("blouse"),
  camisole: gettext("camisole"),
  "sheer-blouse": gettext("sheer blouse"),
  tunic: gettext("tunic"),
};

/** How far a measurement can be relied on. */
export function standingWords(held) {
  if (!held) return STANDINGS.missing;
  return leansOnTape(held) ? gettext("from photos, using tape readings") : STANDINGS[held.standing];
}

/** What the photos say of a measurement, alone and together with the tape. */
export function estimateWords(code, record) {
  const words = [];
  const estimate = record.findings?.estimates[code];
  if (estimate) {
    const shown = figures(estimate.value_mm, estimate.low_mm, estimate.high_mm);
    words.push(gettext("The photos say {length}.", { length: beside(shown.cm, shown.in) }));
  }
  const held = record.measurements[code];
  if (held && leansOnTape(held)) {
    const shown = measured(held, estimate);
    words.push(gettext("Estimated, using your tape readings: {length}.",
      { length: beside(shown.cm, shown.in) }));
  }
  return words.join(" ");
}

/** What lies outside what the estimates stand for; the reference is in card/of_sitting.py. */
export const outsideWords = (outside) =>
  gettext("Outside what the estimates from photos stand for: {names}. The bounds are wider for it; rely on the tape.",
    { names: listed(outside) });

/** What a garment of a block is called; those of the demo blocks have names in other languages. */
export const garmentWords = (code) => GARMENTS[code] ?? code.replaceAll("-", " ");

/** What stands before a query, or before a remark that holds nothing up. */
export const queryTitle = (blocks) => (blocks ? gettext("Query:") : gettext("Remark:"));

/** That nothing is missing: what is kept against a query is not called confirmed. */
export const settledWords = ({ measurements }) =>
  Object.values(measurements).some(({ standing }) => standing === "kept")
    ? gettext("Everything that you were asked for is confirmed, or kept with your reason.")
    : gettext("Everything that you were asked for is confirmed.");

/** Why a value stays as it is. */
export const keptBecause = ({ reason }) => gettext("Kept because “{reason}”", { reason });

/** A decision as a list of terms and what is said about them. */
export const stepLines = ({ steps }) =>
  steps.flatMap(({ title, answer, reason }) => [
    el("dt", {}, answer ? `${title}: ` : title, answer ? el("strong", {}, answer) : ""),
    el("dd", {}, capital(reason)),
  ]);

// Words for standings and decisions, the same as the command's.

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

// The reference for all below is Decision.reasons in service/ellwand/sizing/decision.py.
const AT = {
  full_bust: "At the full bust",
  waist: "At the waist",
  high_hip: "At the high hip",
  full_hip: "At the full hip",
};
const FITS = {
  good: "fits as drafted",
  tight: "too tight",
  loose: "looser than drafted",
  open: "open until taped",
};
const CHANGES = {
  "full-bust-adjustment": "full bust adjustment",
  "small-bust-adjustment": "small bust adjustment",
  grade: "grade between sizes",
  "draw-out": "draw out beyond the block",
  "let-out": "let out",
  lengthen: "lengthen",
  shorten: "shorten",
};

function choice(title, { name, alternative, reason, decides }) {
  if (alternative === null) return [title, name, reason];
  return [title, `${name}, perhaps ${alternative}`, `${reason} ${decides ?? ""}`.trimEnd()];
}

/** A decision line by line: title, answer, reason. */
export function steps(decision) {
  return [
    choice("Length class", decision.length_class),
    choice("Size", decision.size),
    choice("Cup", decision.cup),
    ...decision.ease.map(({ level, fit, reason }) => [AT[level], FITS[fit], reason]),
    ...decision.changes.map(({ code, reason }) => ["Change", CHANGES[code], reason]),
    ["Sew first", "a trial", decision.trial],
    ...decision.cautions.map((words) => ["Mind", "", words]),
    ...decision.warnings.map((words) => ["Not certain", "", words]),
  ];
}

/** A decision as a list of terms and what is said about them. */
export function stepLines(decision) {
  return steps(decision).flatMap(([title, answer, reason]) => [
    el("dt", {}, answer ? `${title}: ` : title, answer ? el("strong", {}, answer) : ""),
    el("dd", {}, capital(reason)),
  ]);
}

/** Size, cup and length in one line. */
export function headline({ size, cup, length_class: length }) {
  const open = ({ name, alternative }) => (alternative ? `${name} or ${alternative}` : name);
  return `Size ${open(size)}, cup ${open(cup)}, ${open(length)}`;
}

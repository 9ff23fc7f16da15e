// What is said of corrections: what waits to be saved, what stands, what it has changed.

import { capital, listed } from "./dom.js";
import { inBothUnits } from "./figures.js";

// A change below this is not worth a word.
const TOLD_MM = 1;
const NAMED = 2;
const WAYS = { height: ["up", "down"], left: ["out", "in"], right: ["out", "in"] };

/** A move in words: "1.2 cm (1/2 in) up". */
export function moveWords(part, mm) {
  if (!mm) return "where it was";
  return `${inBothUnits(Math.abs(mm))} ${WAYS[part][mm > 0 ? 0 : 1]}`;
}

/** What is moved and not saved; by "level.height" and "view.level.end", in mm. */
export function waitingWords(moved, nameOf) {
  const words = [...moved].map(([key, mm]) => {
    const parts = key.split(".");
    const [code, part] = parts.slice(-2);
    const which = part === "height" ? "" : `, ${part} end in the ${parts[0]} photo`;
    return `${nameOf(code)}${which}: ${moveWords(part, mm)}`;
  });
  return words.length ? `Not saved yet: ${words.join("; ")}.` : "Nothing is moved.";
}

/** What of each level is put right by hand, by the moves that stand. */
export function standingWords(moves, nameOf) {
  const kinds = new Map();
  for (const { level, part } of moves) {
    const words = part === "height" ? "level" : "outline";
    kinds.set(level, new Set([...(kinds.get(level) ?? []), words]));
  }
  const told = [...kinds].map(([code, words]) => `${nameOf(code)} (${listed([...words].sort())})`);
  return told.length ? `Corrected by hand: ${listed(told)}.` : "";
}

/** What has become of the estimates: those that changed most, and how many others did. */
export function changedWords(before, after, kinds) {
  const by = ({ code }) => Math.abs((after[code]?.value_mm ?? 0) - (before[code]?.value_mm ?? 0));
  const changed = kinds.filter((kind) => by(kind) >= TOLD_MM).sort((a, b) => by(b) - by(a));
  if (!changed.length) return "No number changes by 1 mm or more.";
  const named = changed.slice(0, NAMED).map(({ code, name }) => {
    // The change alone: the estimate itself may wait for the first reading.
    const more = after[code].value_mm - before[code].value_mm;
    return `${name} ${inBothUnits(Math.abs(more))} ${more > 0 ? "more" : "less"}`;
  });
  const others = changed.length - named.length;
  return `${capital(named.join("; "))}${others ? `; ${others} others change by less` : ""}.`;
}

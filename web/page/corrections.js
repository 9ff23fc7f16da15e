// What is said of corrections: what waits to be saved, what stands, what it has changed.

import { capital, listed } from "./dom.js";
import { inBothUnits } from "./figures.js";
import { gettext, ngettext } from "./language.js";

// A change below this is not worth a word.
const TOLD_MM = 1;
const NAMED = 2;
const upOrDown = [
  (length) => gettext("{length} up", { length }),
  (length) => gettext("{length} down", { length }),
];
const outOrIn = [
  (length) => gettext("{length} out", { length }),
  (length) => gettext("{length} in", { length }),
];
const lineIn = {
  front: {
    left: (values) => gettext("{name}, left end in the front photo: {move}", values),
    right: (values) => gettext("{name}, right end in the front photo: {move}", values),
  },
  side: {
    left: (values) => gettext("{name}, left end in the side photo: {move}", values),
    right: (values) => gettext("{name}, right end in the side photo: {move}", values),
  },
};

/** What is wrong with a photo that is chosen to lie under the lines. */
export const OTHER_PHOTO = {
  front: gettext("This is not the front photo that was measured. Choose that one, or none."),
  side: gettext("This is not the side photo that was measured. Choose that one, or none."),
};
export const STILL_MOVED = gettext("What you moved is not saved yet; it waits here.");
/** What the handle at an end of a line is called, by view and end. */
export const endName = {
  front: {
    left: (name) => gettext("Left end of the {name} in the front photo", { name }),
    right: (name) => gettext("Right end of the {name} in the front photo", { name }),
  },
  side: {
    left: (name) => gettext("Left end of the {name} in the side photo", { name }),
    right: (name) => gettext("Right end of the {name} in the side photo", { name }),
  },
};

/** A move in words: "1.2 cm (1/2 in) up". */
export function moveWords(part, mm) {
  if (!mm) return gettext("where it was");
  const ways = part === "height" ? upOrDown : outOrIn;
  return ways[mm > 0 ? 0 : 1](inBothUnits(Math.abs(mm)));
}

/** What is moved and not saved; by "level.height" and "view.level.end", in mm. */
export function waitingWords(moved, nameOf) {
  const words = [...moved].map(([key, mm]) => {
    const parts = key.split(".");
    const [code, part] = parts.slice(-2);
    const values = { name: nameOf(code), move: moveWords(part, mm) };
    return part === "height" ? `${values.name}: ${values.move}` : lineIn[parts[0]][part](values);
  });
  return words.length
    ? gettext("Not saved yet: {moves}.", { moves: words.join("; ") })
    : gettext("Nothing is moved.");
}

/** What of each level is put right by hand, by the moves that stand. */
export function standingWords(moves, nameOf) {
  const kinds = new Map();
  for (const { level, part } of moves) {
    const words = part === "height" ? gettext("level") : gettext("outline");
    kinds.set(level, new Set([...(kinds.get(level) ?? []), words]));
  }
  const told = [...kinds].map(([code, words]) => `${nameOf(code)} (${listed([...words].sort())})`);
  return told.length ? gettext("Corrected by hand: {lines}.", { lines: listed(told) }) : "";
}

/** What has become of the estimates: those that changed most, and how many others did. */
export function changedWords(before, after, kinds) {
  const by = ({ code }) => Math.abs((after[code]?.value_mm ?? 0) - (before[code]?.value_mm ?? 0));
  const changed = kinds.filter((kind) => by(kind) >= TOLD_MM).sort((a, b) => by(b) - by(a));
  if (!changed.length) return gettext("No number changes by 1 mm or more.");
  const named = changed.slice(0, NAMED).map(({ code, name }) => {
    // The change alone: the estimate itself may wait for the first reading.
    const more = after[code].value_mm - before[code].value_mm;
    const values = { name, length: inBothUnits(Math.abs(more)) };
    return more > 0 ? gettext("{name} {length} more", values) : gettext("{name} {length} less", values);
  });
  const others = changed.length - named.length;
  if (others) {
    named.push(ngettext("{number} other changes by less", "{number} others change by less", others));
  }
  const told = `${capital(named.join("; "))}.`;
  return changed.length > 1
    ? `${told} ${gettext("All are worked out together, so one line moves several numbers.")}`
    : told;
}

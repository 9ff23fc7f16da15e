// What she meant, where the likeliest slip of a query is one of typing: to be read in with one tap.

import { inUnit, onMark, signOf } from "./figures.js";
import { decimal, gettext } from "./language.js";

// The reference is service/ellwand/quantity.py.
const MM_PER = { mm: 1, cm: 10, in: 25.4 };
// A height may be meant in metres, too; read in, it is in centimetres.
const MEANT = { ...MM_PER, m: 1000 };
// Readings of one girth, typed with the same slip, lie at most this part apart (judged).
const ALIKE = 0.15;
const SAME = 0.002;
// What follows the number in an entry that names its unit.
const UNIT_TYPED = /[^\d/\u00bc-\u00be\u2150-\u215e]+$/;
const POINT = /[.,]/;
// A comma before three digits may part thousands, and is refused.
const THOUSANDS = /\.\d{3}$/;
// Feet and inches of a height, typed as one number; which of them may be is the service's to say.
const RUN_TOGETHER = /^([4-6])\D?(1[01]|\d)$/;

/**
 * The readings as they were meant; null where the slip is none of typing.
 *
 * A query names its slip and what one of the readings would be without it; others with the same
 * slip are put right with it.
 */
export function meantBy({ slip, corrected_mm: mm }, readings) {
  const ways = { "wrong unit": inAnotherUnit, "decimal point lost": withItsPoint };
  const put = ways[slip]?.(readings, mm);
  return put?.some((one, at) => one !== readings[at].raw) ? put : null;
}

function inAnotherUnit(readings, mm) {
  const number = ({ mm: typed, unit }) => typed / MM_PER[unit];
  const unit = Object.keys(MEANT).find((one) =>
    readings.some((reading) =>
      reading.unit !== one && near(number(reading) * MEANT[one], mm, SAME)));
  if (!unit) return inFeet(readings, mm);
  return readings.map((reading) =>
    near(number(reading) * MEANT[unit], mm, ALIKE)
      ? `${reading.raw.trim().replace(UNIT_TYPED, "")} ${signOf(unit)}`
      : reading.raw);
}

function inFeet(readings, mm) {
  return readings.map(({ raw }) => {
    const [, feet, inches] = RUN_TOGETHER.exec(raw.trim().replace(UNIT_TYPED, "")) ?? [];
    return feet && near((12 * feet + Number(inches)) * MM_PER.in, mm, ALIKE)
      // To be read in, and typed with plain spaces.
      ? gettext("{feet} ft {inches} in", { feet, inches }).replaceAll("\u00a0", " ") : raw;
  });
}

function withItsPoint(readings, mm) {
  const places = [-2, -1, 1, 2].find((power) =>
    readings.some((reading) =>
      near(reading.mm * 10 ** power, mm, SAME)
      // A number without a point that is too small lacks a digit that nobody knows.
      && (power < 0 || POINT.test(reading.raw))));
  if (!places) return null;
  return readings.map(({ raw, mm: typed, unit }) =>
    near(typed * 10 ** places, mm, ALIKE) ? pointed(typed * 10 ** places, unit) : raw);
}

/** As the query says it, where that is the very length. */
const pointed = (mm, unit) => (unit === "in" && onMark(mm)
  ? inUnit(mm, unit)
  : `${asTyped(Number((mm / MM_PER[unit]).toFixed(3)))} ${signOf(unit)}`);

/**
 * The other measurement, where both queries say that their readings changed places.
 *
 * Only then do both name the same slip and each other. Its readings belong to this one and the other
 * way round: both are put right at once.
 */
export const exchangedWith = ({ slip, corrected_mm: there, against }, code, measurements) =>
  slip && there && measurements[against]?.queries.some((query) =>
    query.slip === slip && query.corrected_mm && query.against === code)
    ? against
    : null;

/** A number as she types it in her language. */
function asTyped(number) {
  const text = String(number);
  return THOUSANDS.test(text) ? text : decimal(text);
}

const near = (one, other, part) => Math.abs(one - other) <= part * other;

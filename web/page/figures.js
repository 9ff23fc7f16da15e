// Lengths as they are shown. The reference is Python's: service/ellwand/card/figures.py for values
// with bounds, service/ellwand/shown.py for lengths in sentences.

import { decimal, inchSign } from "./language.js";

// Shown steps in millimetres as fractions: 1 mm on a metric tape, an eighth on an inch tape.
const STEP = { cm: [1n, 1n], in: [127n, 40n] };
// Ends of intervals count in millionths of a millimetre, which is how the reference reads them.
const PARTS = 1e6;
const STEP_PARTS = { cm: 1_000_000, in: 3_175_000 };
// A length as a whole number of these is exact, so that halves fall as they do in the reference.
const FINE = 2 ** 60;
const MM_PER_INCH = 25.4;

// Her unit: what is shown in centimetres and in inches is shown in this one first.
let first = "cm";

/** Show her unit first from now on. */
export const showFirst = (unit) => {
  first = unit;
};

/** What is in centimetres and what is in inches, that of her unit first. */
export const inOrder = (cm, inches) => (first === "in" ? [inches, cm] : [cm, inches]);

/** What is written behind a number of this unit. */
export const signOf = (unit) => (unit === "in" ? inchSign : unit);

// A ruler's marks in an inch, as parts: a length that lies on one is not rounded.
const MARKS = [8, 16, 32];
const ON_MARK_MM = 1e-4;

/** Number of steps, a half rounded away from nothing. */
function nearest(mm, [above, below]) {
  const step = above * BigInt(FINE);
  const size = BigInt(Math.round(Math.abs(mm) * FINE));
  return Math.sign(mm) * Number((2n * size * below + step) / (2n * step));
}

/** Number of steps from the shown value to the farther end, rounded up. */
function outward(shown, lowMm, highMm, step) {
  const [low, high] = [lowMm, highMm].map((mm) => Math.round(mm * PARTS));
  return Math.ceil(Math.max(high - shown, shown - low, 0) / step);
}

/** A way to write a number of steps, for one that may be below nothing. */
const signed = (write) => (steps, of) => (steps < 0 ? `-${write(-steps, of)}` : write(steps, of));

const inCm = signed((tenths) => decimal(`${Math.floor(tenths / 10)}.${tenths % 10}`));

const inInches = signed((parts, of = 8) => {
  const whole = Math.floor(parts / of);
  let [above, below] = [parts % of, of];
  if (!above) return String(whole);
  while (above % 2 === 0) [above, below] = [above / 2, below / 2];
  return whole ? `${whole} ${above}/${below}` : `${above}/${below}`;
});

/** A value to the nearest step of each unit, with a bound that reaches at least as far out. */
export function figures(valueMm, lowMm, highMm) {
  const made = {};
  for (const [unit, write] of [["cm", inCm], ["in", inInches]]) {
    const steps = nearest(valueMm, STEP[unit]);
    const size = STEP_PARTS[unit];
    const bound = outward(steps * size, lowMm, highMm, size);
    made[unit] = `${write(steps)} ± ${write(bound)} ${signOf(unit)}`;
  }
  return made;
}

// Half-width of the 95 % interval of a normal distribution over its standard uncertainty.
const COVERAGE_FACTOR_95 = 1.96;

/** Whether a measurement of a sitting is an estimate that leans on the tape, too. */
export const leansOnTape = ({ tightened_by: by }) => Boolean(by?.length);

/** A measurement of a sitting: an estimate with its own interval, all else by its doubt. */
export function measured(held, estimate) {
  const { value_mm: mm, u_mm: u, standing } = held;
  if (standing === "estimated" && estimate && !leansOnTape(held)) {
    return figures(mm, estimate.low_mm, estimate.high_mm);
  }
  return figures(mm, mm - COVERAGE_FACTOR_95 * u, mm + COVERAGE_FACTOR_95 * u);
}

/** In how many parts of an inch a length is whole, if a ruler has them. */
export const onMark = (mm) => MARKS.find((of) => {
  const parts = (mm / MM_PER_INCH) * of;
  return (Math.abs(parts - Math.round(parts)) / of) * MM_PER_INCH <= ON_MARK_MM;
});

/** A length in one unit: "92.5 cm", "36 3/8 in", or "10 7/16 in" where it is just that. */
export function inUnit(mm, unit) {
  const of = unit === "in" && onMark(mm);
  if (of) return `${inInches(Math.round((mm / MM_PER_INCH) * of), of)} ${signOf(unit)}`;
  const steps = nearest(Math.abs(mm), STEP[unit]);
  const write = unit === "cm" ? inCm : inInches;
  return `${mm < 0 && steps ? "-" : ""}${write(steps)} ${signOf(unit)}`;
}

/** A length as it was understood, no coarser than it was typed. */
export function understood(mm, unit) {
  const [cm, inches] = ["cm", "in"].map((one) => inUnit(mm, one));
  if (unit === "in") return beside(cm, onMark(mm) ? inches : inDecimals(mm / MM_PER_INCH, unit));
  // Hundredths of a centimetre, which no tape has, are not lost.
  return beside(Number.isInteger(mm) ? cm : inDecimals(mm / 10, "cm"), inches);
}

const inDecimals = (number, unit) =>
  `${decimal(String(Number(number.toFixed(2))))} ${signOf(unit)}`;

// Fixed lengths stand in texts in both units: "9 cm (3 1/2 in)", "2.2 to 3.2 m (7 to 10 1/2 ft)",
// "168 cm or 5 ft 6 in".
const NUMBER = "\\d[\\d.,/]*(?:\\s\\d[\\d/]*)?";
const [METRIC, INCHES] = ["[cm]?m", `(?:ft\\s\\d\\s)?(?:${inchSign}|ft)`].map(
  (unit) => `(${NUMBER}(?:\\sto\\s${NUMBER})?\\s${unit})`);
const BETWEEN = "( \\(| or | oder )";
const FIXED = new RegExp(`${METRIC}${BETWEEN}${INCHES}|${INCHES}${BETWEEN}${METRIC}`, "g");

/** A text with fixed lengths, those of her unit first, whatever stood first in it. */
export const inHerOrder = (text) =>
  text.replace(FIXED, (_, cm, between, inches, inchesFirst, betweenThem, cmLast) =>
    inOrder(cm ?? cmLast, inches ?? inchesFirst).join(between ?? betweenThem));

/** A length in both units: "92.5 cm (36 3/8 in)", her unit first. */
export const inBothUnits = (mm) => beside(inUnit(mm, "cm"), inUnit(mm, "in"));

/** The same of two texts. */
export const beside = (cm, inches) => {
  const [one, other] = inOrder(cm, inches);
  return `${one} (${other})`;
};

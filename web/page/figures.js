// Lengths as they are shown. The reference is Python's: service/ellwand/card/figures.py for values
// with bounds, in_both_units in service/ellwand/quantity.py for lengths in sentences.

// Counted in millionths of a millimetre, so that halves and ends of intervals come out exactly.
const PARTS = 1e6;
const STEP = { cm: 1e6, in: 3_175_000 };

const parts = (mm) => Math.round(mm * PARTS);
const nearest = (value, step) => Math.floor((2 * value + step) / (2 * step));

function outward(shown, low, high, step) {
  return Math.ceil(Math.max(high - shown, shown - low, 0) / step);
}

const inCm = (tenths) => `${Math.floor(tenths / 10)}.${tenths % 10}`;

function inInches(eighths) {
  const whole = Math.floor(eighths / 8);
  let [above, below] = [eighths % 8, 8];
  if (!above) return String(whole);
  while (above % 2 === 0) [above, below] = [above / 2, below / 2];
  return whole ? `${whole} ${above}/${below}` : `${above}/${below}`;
}

/** A value to the nearest step of each unit, with a bound that reaches at least as far out. */
export function figures(valueMm, lowMm, highMm) {
  const made = {};
  for (const [unit, write] of [["cm", inCm], ["in", inInches]]) {
    const step = STEP[unit];
    const steps = nearest(parts(valueMm), step);
    const bound = outward(steps * step, parts(lowMm), parts(highMm), step);
    made[unit] = `${write(steps)} ± ${write(bound)} ${unit}`;
  }
  return made;
}

/** A length in both units: "92.5 cm (36 3/8 in)". */
export function inBothUnits(mm) {
  const size = Math.abs(parts(mm));
  const tenths = nearest(size, STEP.cm);
  const eighths = nearest(size, STEP.in);
  const sign = (steps) => (mm < 0 && steps ? "-" : "");
  return `${sign(tenths)}${inCm(tenths)} cm (${sign(eighths)}${inInches(eighths)} in)`;
}

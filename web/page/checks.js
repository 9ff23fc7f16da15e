// Asking the service whether one photo can be used, before the other one is taken.

import { ended, newKey, pause, Refusal } from "./api.js";
import { capital } from "./dom.js";
import { gettext } from "./language.js";
import { uploaded } from "./upload.js";

// Another one of hers may still be checked, from a window that she has left (judged).
const MOST_TRIES = 5;
export const UNKNOWN = gettext("It could not be checked now. You can use it all the same: both photos are checked again when you send them.");

let before = Promise.resolve();

/**
 * Check a photo; one is checked after the other.
 *
 * make gives the form, wanted tells whether the answer still matters. Gives what speaks against the
 * photo; null when nobody wants to know.
 */
export function checked(make, wanted) {
  const mine = before.then(() => (wanted() ? asked(make(), wanted) : null));
  before = mine.catch(() => {});
  return mine;
}

async function asked(data, wanted) {
  try {
    const job = await sent(data);
    const done = await ended(job.id, () => {}, wanted);
    if (!done) return null;
    return done.advice ? known(done.advice) : unknown();
  } catch (refusal) {
    if (!(refusal instanceof Refusal)) throw refusal;
    // A file that is no photo is turned away at the door.
    if (refusal.problems) return known(Object.values(refusal.problems).flat());
    return { ...unknown(), refusal };
  }
}

const known = (advice) => ({
  known: true,
  refused: advice.some(({ severity }) => severity === "refused"),
  advice: advice.map((one) => ({ ...one, cue: one.cue ?? capital(one.advice) })),
});

const unknown = () => ({ known: false, refused: false, advice: [] });

async function sent(data) {
  const key = newKey();
  for (let tries = 1; ; tries += 1) {
    try {
      return await uploaded("/sitting/photo-checks", data, key);
    } catch (refusal) {
      if (refusal.code !== "under-way" || tries === MOST_TRIES) throw refusal;
      await pause(refusal.retryAfterS || 1);
    }
  }
}

// Asking the service whether one photo can be used, before the other one is taken.

import { ended, newKey, pause, Refusal } from "./api.js";
import { uploaded } from "./upload.js";

// Another one of hers may still be checked, from a window that she has left (judged).
const MOST_TRIES = 5;
const CLOSED = ["no-sitting-open", "no-such-sitting"];
export const UNKNOWN = "It could not be checked now. You can use it all the same: both photos are checked again when you send them.";

let before = Promise.resolve();

/**
 * Check a photo; one is checked after the other.
 *
 * make gives the form, wanted tells whether the answer still matters. Gives what speaks against the
 * photo, null when nobody wants to know; open is false when the sitting has been closed.
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
    if (!done.advice) return unknown(true);
    const refused = done.advice.some(({ severity }) => severity === "refused");
    return { known: true, open: true, refused, advice: done.advice };
  } catch (refusal) {
    if (!(refusal instanceof Refusal)) throw refusal;
    return { ...unknown(!CLOSED.includes(refusal.code)), refusal };
  }
}

const unknown = (open) => ({ known: false, open, refused: false, advice: [] });

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

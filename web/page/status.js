// The one line that says what is going on, for eyes and for screen readers.

import { byId } from "./dom.js";
import { glued } from "./language.js";

// Long enough to be read twice (judged); what went wrong stays until something else happens.
const LEAST_MS = 6000;
const LETTER_MS = 130;
let leaving = 0;

/** Say how it goes on; unseen is for what stands elsewhere on the page, and is only read out. */
export function say(words, { stays = false, wrong = false, unseen = false } = {}) {
  const line = byId("status");
  const text = glued(words);
  clearTimeout(leaving);
  // The same once more would be read out once more.
  if (line.textContent !== text) line.textContent = text;
  line.classList.toggle("wrong", wrong);
  line.classList.toggle("unseen", unseen);
  if (!text || stays || (wrong && !unseen)) return;
  leaving = setTimeout(() => say(""), Math.max(LEAST_MS, text.length * LETTER_MS));
}

/** Say what went wrong. */
export const warn = (text) => say(text, { wrong: true });

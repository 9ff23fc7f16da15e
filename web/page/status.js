// The one line that says what is going on, for eyes and for screen readers.

import { byId } from "./dom.js";

// Long enough to be read twice (judged); what went wrong stays until something else happens.
const SHOWN_MS = 12_000;
let leaving = 0;

/** Say how it goes on. */
export function say(text, { stays = false, wrong = false } = {}) {
  const line = byId("status");
  clearTimeout(leaving);
  line.textContent = text;
  line.classList.toggle("wrong", wrong);
  if (text && !stays && !wrong) leaving = setTimeout(() => say(""), SHOWN_MS);
}

/** Say what went wrong. */
export const warn = (text) => say(text, { wrong: true });

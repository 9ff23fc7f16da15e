// Whether a photo that cannot be used is taken again by itself.

import { gettext } from "./language.js";

// Photos in a row that the page takes by itself (judged).
const MOST_IN_A_ROW = 4;
// What she cannot put right from the place where she stands: phone, light and sheets need her hands.
const NEEDS_HANDS = [
  "body-cropped", "dark", "reference-missing", "reference-partly-hidden", "several-people", "too-oblique",
  "too-small", "upside-down",
];

// Of what is chosen in the form: another photo would be refused for it all the same.
const OF_CHOICE = /^(paper-is|sheets-are)-/;

/** Whether the photo is right, and only the sheets that are chosen in the form are not. */
export const isOfChoice = ({ refused, advice }) => refused
  && advice.every(({ code, severity }) => severity !== "refused" || OF_CHOICE.test(code));

/** Why the page waits for her instead, after so many in a row; nothing where it does not. */
export function whyItWaits(result, row) {
  const { refused, advice } = result;
  if (isOfChoice(result)) return gettext("Use it, and change what is chosen beside it.");
  const hands = advice.some(({ code, severity }) => severity === "refused" && NEEDS_HANDS.includes(code));
  return refused && (hands || row >= MOST_IN_A_ROW)
    ? gettext("It is not taken again by itself: put right what stands here, then take it again.")
    : "";
}

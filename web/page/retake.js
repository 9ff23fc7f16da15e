// Whether a photo that cannot be used is taken again by itself.

import { gettext } from "./language.js";

// Photos in a row that the page takes by itself (judged).
const MOST_IN_A_ROW = 4;
// What she cannot put right from the place where she stands: phone, light and sheets need her hands.
const NEEDS_HANDS = [
  "body-cropped", "dark", "reference-missing", "reference-partly-hidden", "several-people", "too-oblique",
  "too-small", "upside-down",
];

/** Why the page waits for her instead, after so many in a row; nothing where it does not. */
export function whyItWaits({ refused, advice }, row) {
  const hands = advice.some(({ code, severity }) => severity === "refused" && NEEDS_HANDS.includes(code));
  return refused && (hands || row >= MOST_IN_A_ROW)
    ? gettext("It is not taken again by itself: put right what stands here, then take it again.")
    : "";
}

// What is said of each of the two photos: whole sentences, because each language builds its own.

import { gettext } from "./language.js";

export const TITLES = { front: gettext("Front photo"), side: gettext("Side photo") };
/** How she stands for it. */
export const STANCE = {
  front: gettext("Back to the wall, arms straight and a little more than half way up to your shoulders."),
  side: gettext("A quarter turn, arms hanging down, hands inside the outline of your body."),
};
export const MISSING = {
  front: gettext("Take or choose the front photo."),
  side: gettext("Take or choose the side photo."),
};
export const TAKEN = {
  front: gettext("The front photo is taken."),
  side: gettext("The side photo is taken."),
};
export const USABLE = {
  front: gettext("The front photo can be used."),
  side: gettext("The side photo can be used."),
};
export const REFUSED = {
  front: gettext("The front photo can't be used yet."),
  side: gettext("The side photo can't be used yet."),
};
export const SEE_BESIDE = {
  front: gettext("The front photo can't be used; what to do stands below it."),
  side: gettext("The side photo can't be used; what to do stands below it."),
  both: gettext("The front and the side photo can't be used; what to do stands below it."),
};
/** What stands before the reason. */
export const LEADS = {
  front: gettext("The front photo can't be used:"),
  side: gettext("The side photo can't be used:"),
};

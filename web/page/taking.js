// Who holds the tape and what is worn under it: told before the fields, kept with each reading.

import { fetched } from "./api.js";
import { byId, turns } from "./dom.js";
import { clearMarks, complain } from "./forms.js";
import { gettext } from "./language.js";
import { say } from "./status.js";
import { typedIsSent } from "./unsent.js";

// The reference for these words is taken_words in service/ellwand/tape/taking.py.
const BY = {
  you: { herself: gettext("by yourself"), somebody: gettext("by somebody with you") },
  her: { herself: gettext("by herself"), somebody: gettext("by somebody with her") },
};
const WORN = {
  nothing: gettext("on bare skin"),
  bra: gettext("in an unpadded bra"),
  "close-top": gettext("in a close top"),
  "padded-bra": gettext("in a padded bra"),
  thick: gettext("in a blouse or thicker"),
};
const BRAS = ["bra", "padded-bra"];

/** How something was taken, in few words, told to you or of her; none where nothing was told. */
export const takenWords = ({ measured_by: by, worn }, whom = "you") =>
  [BY[whom][by], WORN[worn]].filter(Boolean).join(", ");

/** The same for one measurement, without what does not lie under the tape there. */
export function takenAt({ clothed, over_bra: overBra }, taking, whom) {
  const under = BRAS.includes(taking.worn) ? overBra : clothed;
  return takenWords(under ? taking : { ...taking, worn: "untold" }, whom);
}

/** What the fields say now; it goes along with readings, so that neither can overtake the other. */
export const chosenTaking = () => ({
  measured_by: byId("measured-by").value,
  worn: byId("worn").value,
});

/** How several readings were taken, as far as it was the same for all of them. */
export function sharedTaking(readings) {
  const shared = (key) => {
    const told = new Set(readings.map(({ taking }) => taking[key]));
    return told.size === 1 ? [...told][0] : "untold";
  };
  return { measured_by: shared("measured_by"), worn: shared("worn") };
}

/** Say what holds from now on, and of readings, if there are any, that it does not change them. */
export function sayFromNowOn(words, { readings }) {
  const kept = gettext("What was saved before stays as it is.");
  say(Object.keys(readings).length ? `${words} ${kept}` : words);
}

/** Save each choice at once; where two follow fast, the last one is saved last. */
export function startTaking(page) {
  const form = byId("taking");
  const choosing = turns();
  let saved = Promise.resolve();
  let unsaved = false;
  const save = async (current) => {
    // One that is overtaken is left out: the next one says all of it.
    if (!current()) return;
    clearMarks(form);
    try {
      const overview = await fetched("PUT", "/sitting/taking", { json: chosenTaking() });
      if (!current()) return;
      unsaved = false;
      page.update(overview);
      const taken = takenWords(overview.record.taking);
      sayFromNowOn(taken
        ? gettext("From now on you measure {taken}.", { taken })
        : gettext("From now on nothing is noted of how you measure."), overview.record);
    } catch (problem) {
      complain(form, problem);
    }
  };
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("change", () => {
    // It is on its way, and needs no keeping in the browser.
    typedIsSent(form);
    unsaved = true;
    const current = choosing.begin();
    saved = saved.then(() => save(current));
  });
  return ({ taking }) => {
    // What she has chosen is not put back before it is saved.
    if (unsaved) return;
    byId("measured-by").value = taking.measured_by;
    byId("worn").value = taking.worn;
  };
}

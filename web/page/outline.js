// Her outline on the card: off until she wants it, and taken off again as easily.

import { fetched } from "./api.js";
import { byId } from "./dom.js";
import { clearMarks, complain } from "./forms.js";
import { gettext } from "./language.js";
import { say } from "./status.js";

/** Start this part of the page. */
export function startOutline({ update }) {
  const form = byId("outline");
  const tick = byId("outline-on-card");
  tick.addEventListener("change", async () => {
    clearMarks(form);
    const wanted = tick.checked;
    try {
      update(await fetched("PUT", "/sitting/card/outline", { json: { on_card: wanted } }));
      say(wanted
        ? gettext("Your outline is on the card from now on. You can take it off again.")
        : gettext("Your outline is off the card. Cards that were downloaded or sent before still have it."));
    } catch (problem) {
      tick.checked = !wanted;
      complain(form, problem, tick);
    }
  });
  return { show, forget() {} };
}

function show({ record, outline_on_card: on }) {
  byId("outline").hidden = !record.findings;
  byId("outline-on-card").checked = on;
}

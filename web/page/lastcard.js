// Her card of last time beside this sitting: the file is read in memory, and kept nowhere.

import { fetched } from "./api.js";
import { comparisonParts } from "./comparison.js";
import { byId, turns } from "./dom.js";
import { FieldProblem, onSubmit } from "./forms.js";
import { gettext } from "./language.js";
import { say } from "./status.js";

// Far more than the longest card, and less than what the service takes in.
const LARGEST_BYTES = 250_000;
const asking = turns();
let kinds = [];
// What was compared: a later change of the sitting makes it old.
let basis = "";
let present = "";

/** Start this part of the page. */
export function startLastCard() {
  onSubmit(byId("compare"), compare);
  return { show, forget: clear };
}

function show({ record, unit }, all) {
  kinds = all;
  present = JSON.stringify([record.measurements, record.decision, unit]);
  if (basis && basis !== present) clear();
}

function clear() {
  asking.begin();
  basis = "";
  byId("compared").hidden = true;
  byId("compared-parts").replaceChildren();
}

async function compare() {
  clear();
  const current = asking.begin();
  const card = await read(byId("earlier-card"));
  const figures = byId("earlier-figures").value.trim() || null;
  say(gettext("The two are being compared."), { stays: true });
  const found = await fetched("POST", "/sitting/comparison", { json: { card, figures } });
  if (!current()) return;
  basis = present;
  byId("compared-figures").textContent = figures
    ? gettext("The file says what the printed card says.")
    : gettext("The file has the figures {figures}. If the paper card has others, the file was changed.",
      { figures: found.figures });
  byId("compared-parts").replaceChildren(...comparisonParts(found, kinds));
  byId("compared").hidden = false;
  // Read out on arrival, and what follows is in sight: no message may lie over it.
  say("");
  byId("compared").scrollIntoView();
  byId("compared-title").focus({ preventScroll: true });
}

async function read(field) {
  const [file] = field.files;
  if (!file) {
    throw new FieldProblem(field,
      gettext("Choose the file of your last card first; its name ends in .json."));
  }
  let card = null;
  try {
    if (file.size <= LARGEST_BYTES) card = JSON.parse(await file.text());
  } catch {
    // Told below, as for any file that is no card.
  }
  if (card === null || typeof card !== "object" || Array.isArray(card)) {
    throw new FieldProblem(field,
      gettext("This file is no saved measurement card. Give the one that you saved for next time; its name ends in .json."));
  }
  return card;
}

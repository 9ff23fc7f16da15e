// Sharing the card through the phone's own menu; where a browser cannot do that, nothing is shown.

import { ask } from "./api.js";
import { byId } from "./dom.js";
import { onPress } from "./forms.js";
import { gettext } from "./language.js";
import { say } from "./status.js";

// Neither a name nor a measurement: these words may stand on another person's locked screen.
const TITLE = gettext("Measurement card");
const NAME = gettext("measurement-card");
const PDF = { name: `${NAME}.pdf`, type: "application/pdf", path: "/sitting/card.pdf" };
const JSON_FILE = { name: `${NAME}.json`, type: "application/json", path: "/sitting/card.json" };
// Some browsers share no JSON under its own name, but any text.
const AS_TEXT = { ...JSON_FILE, name: `${NAME}.json.txt`, type: "text/plain" };
const CHOICES = [[PDF, JSON_FILE], [PDF, AS_TEXT], [PDF]];

let choices = [];
// Fetched for a press that came to nothing; gone as soon as the sitting is another one.
let ready = null;

/** Start this part of the page. */
export function startShare() {
  choices = CHOICES.filter((files) => can(files.map((file) => made(file, "x"))));
  byId("share").hidden = !choices.length;
  onPress(byId("share"), share);
  return { show: drop, forget: drop };
}

function drop() {
  ready = null;
}

const made = ({ name, type }, content) => new File([content], name, { type });

function can(files) {
  try {
    return Boolean(navigator.share && navigator.canShare?.({ files }));
  } catch {
    return false;
  }
}

async function share() {
  ready ??= await fetchedFiles();
  // A browser forgets after a few seconds that she pressed.
  const inTime = navigator.userActivation?.isActive ?? true;
  try {
    await navigator.share({ title: TITLE, files: ready });
    ready = null;
    say(gettext("The card is handed on."));
  } catch (problem) {
    notShared(problem, inTime);
  }
}

async function fetchedFiles() {
  say(gettext("The card is being made ready."), { stays: true });
  return Promise.all(choices[0].map(async (file) =>
    made(file, await (await ask("GET", file.path)).blob())));
}

function notShared({ name }, inTime) {
  if (name === "AbortError") {
    say(gettext("Nothing was shared."));
    return;
  }
  if (name !== "NotAllowedError" || inTime) {
    choices.shift();
    ready = null;
  }
  byId("share").hidden = !choices.length;
  if (choices.length) say(gettext("The card is ready now. Press “Share the card” once more."));
  else say(gettext("This browser does not share files. Download the card, and hand it on from there."));
}

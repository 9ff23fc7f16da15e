// The two photos that are to be sent: chosen or taken, made smaller, and each checked on its own.

import { checked, UNKNOWN } from "./checks.js";
import { prepared } from "./darkroom.js";
import { byId, el, turns } from "./dom.js";
import { knownWrong, problemsOf } from "./entries.js";
import { clearMarks, FieldProblem } from "./forms.js";
import { gettext } from "./language.js";
import { LEADS, MISSING, SEE_BESIDE, USABLE } from "./photowords.js";
import { formData, typedIn } from "./setup.js";
import { say, warn } from "./status.js";

export const VIEWS = ["front", "side"];
// The ways of choosing a file: one that there is, and the phone's own camera app.
const WAYS = (view) => [view, `${view}-app`];
const LATER = gettext("It is checked when you send both photos.");
// What is noted in this browser of a photo that is here: that there was one, and nothing of it.
const READY = "ready";
const THEN = gettext("It is checked once that is put right.");
const GONE = gettext("Photos are not kept when the page is loaded anew: choose or take this one again.");

const choosing = Object.fromEntries(VIEWS.map((view) => [view, turns()]));
const checking = new Set();
let shots = {};
let making = {};
// With which choice of sheets each was found to be usable.
let usable = {};
let form = null;
let changed = () => {};

/** Start this part of the page; told hears that another photo is to be sent. */
export function startShots(ofForm, told) {
  [form, changed] = [ofForm, told];
  for (const view of VIEWS) {
    for (const way of WAYS(view)) {
      byId(way).addEventListener("change", () => chosen(view, byId(way)));
    }
    form.append(el("input", { type: "hidden", id: noteOf(view) }));
  }
}

const noteOf = (view) => `${view}-${READY}`;

/** Note, like all that is typed and not sent, which photos are here. */
export function noteShots(views = VIEWS.filter((view) => hasShot(view))) {
  for (const view of VIEWS) {
    const note = byId(noteOf(view));
    note.value = views.includes(view) ? READY : "";
    note.dispatchEvent(new Event("input", { bubbles: true }));
  }
}

/** Say, once, of photos that were here before the page was closed that they are gone; in words, or nothing. */
export function lostShots() {
  const lost = VIEWS.filter((view) => byId(noteOf(view)).value && !hasShot(view));
  if (!lost.length) return "";
  for (const view of lost) tell(view, GONE);
  noteShots();
  return gettext("Your photos were not sent yet, and are no longer here: photos are not kept.");
}

/** What was said, and what is left to do once both photos are here. */
export const withNext = (told) => (VIEWS.every((view) => hasShot(view))
  ? `${told} ${gettext("Now press “Send both photos”.")}` : told);

/** Go to the button that is pressed once both are here. */
export function leadToSending() {
  if (VIEWS.every((view) => hasShot(view))) byId("send-photos").focus();
}

/** Which photos are missing, once those that are chosen have been made smaller. */
export async function missingShots() {
  await Promise.all(Object.values(making));
  return VIEWS.filter((view) => !shots[view]).map(
    (view) => new FieldProblem(byId(view), MISSING[view]),
  );
}

/** Both photos as they are sent. */
export const bothShots = () => ({ ...shots });

/** Whether there is a photo of a view, or this very one. */
export const hasShot = (view, photo = shots[view]) => Boolean(photo) && shots[view] === photo;

/** Whether there is anything here that would be lost with the page. */
export const hasShots = () => VIEWS.some((view) => hasShot(view));

/** Whether there is one that is not among these. */
export const hasOtherShots = (those) =>
  VIEWS.some((view) => hasShot(view) && shots[view] !== those[view]);

/** Let go of both. */
export function forgetShots() {
  for (const view of VIEWS) choosing[view].begin();
  [shots, making, usable] = [{}, {}, {}];
}

/** Ask whether a photo can be used, as long as wanted says so. */
export function checkShot(view, photo, wanted) {
  return checked(() => {
    const data = formData(form, { [view]: photo });
    // It says nothing about a photo.
    data.delete("weight");
    return data;
  }, wanted);
}

const choice = () => {
  const { reference, paper } = typedIn(form);
  return `${reference} ${paper}`;
};

/** Check again what could not be used, or not with the sheets that are chosen now. */
export function checkAgain() {
  for (const view of VIEWS) {
    if (hasShot(view) && usable[view] !== choice()) ask(view, shots[view], fresh(view));
  }
}

function chosen(view, input) {
  const [file] = input.files;
  if (!file) {
    if (!WAYS(view).some((way) => byId(way).files.length)) drop(view);
    return;
  }
  clearMarks(byId(view).closest("fieldset"));
  for (const way of WAYS(view)) if (byId(way) !== input) byId(way).value = "";
  const current = fresh(view);
  // The one before is not checked again while this is made ready.
  delete shots[view];
  tell(view, gettext("The photo is being made ready."));
  making[view] = prepared(file).then((photo) => {
    if (!current()) return;
    keep(view, photo);
    ask(view, photo, current);
  });
}

function drop(view) {
  fresh(view);
  delete shots[view];
  noteShots();
  changed();
  tell(view, "");
}

function ask(view, photo, current) {
  const wrong = knownWrong(form);
  if (wrong.length) {
    tell(view, notChecked(wrong));
    return;
  }
  tell(view, gettext("Chosen. It is being checked."));
  showWhenKnown(view, checkShot(view, photo, current), current);
}

function showWhenKnown(view, result, current) {
  checking.add(view);
  const chosenThen = choice();
  result.then((found) => {
    if (!current()) return;
    checking.delete(view);
    if (found?.known && !found.refused) usable[view] = chosenThen;
    showResult(view, found);
  });
}

/** Take a photo over from the camera; result is what its check will say. */
export function useShot(view, photo, result) {
  for (const way of WAYS(view)) byId(way).value = "";
  const current = fresh(view);
  delete making[view];
  keep(view, photo);
  tell(view, gettext("Taken here. It is being checked."));
  showWhenKnown(view, result, current);
}

function fresh(view) {
  checking.delete(view);
  delete usable[view];
  byId(`${view}-advice`).replaceChildren();
  return choosing[view].begin();
}

function keep(view, photo) {
  shots[view] = photo;
  noteShots();
  clearMarks(byId(view).closest("fieldset"));
  changed();
}

function tell(view, text) {
  byId(`${view}-state`).textContent = text;
}

function showResult(view, result) {
  if (!result) return;
  advise(view, result.advice);
  if (!result.known) tell(view, result.refusal ? notSaid(result.refusal) : UNKNOWN);
  else if (result.refused) warn(SEE_BESIDE[view]);
  else {
    tell(view, `✓ ${USABLE[view]}`);
    say(withNext(USABLE[view]));
  }
}

const notSaid = ({ entries, message }) =>
  (entries ? notChecked(problemsOf(entries)) : `${message} ${LATER}`);

/** Why a photo was not checked: the names of fields above tell what each sentence is about. */
function notChecked(wrong) {
  const told = wrong.map(({ input, message }) => `${input.labels[0].textContent}: ${message}`);
  return [...told, THEN].join(" ");
}

/** Put what speaks against a photo beside it. */
export function advise(view, problems) {
  if (problems.some(({ severity }) => severity === "refused")) tell(view, "");
  byId(`${view}-advice`).replaceChildren(
    ...problems.map(({ severity, advice }) => {
      const lead = severity === "refused" ? LEADS[view] : gettext("Trust it less:");
      return el("li", { class: severity }, `${lead} ${advice}`);
    }),
  );
}

/** Take away what each photo was said to wait for: both are measured. */
export function clearStates() {
  for (const view of VIEWS) {
    tell(view, "");
    usable[view] = choice();
  }
}

/** Take all advice away, and what is still to come: both photos are looked at anew. */
export function clearAdvice() {
  for (const view of VIEWS) {
    if (checking.has(view)) tell(view, LATER);
    fresh(view);
  }
}

/** Say of photos that were sent before the page was loaded, and are not measured, that they are gone. */
export function sayGone() {
  for (const view of VIEWS) {
    if (!hasShot(view) && !byId(`${view}-state`).textContent) tell(view, GONE);
  }
}

// The customer's page: opens the link, shows the sitting, and hands it to each part of the page.

import { fetched, Refusal, whenClosed } from "./api.js";
import { startCard } from "./card.js";
import { agreed, byId, day, turns } from "./dom.js";
import { inHerOrder, showFirst } from "./figures.js";
import { onPress } from "./forms.js";
import { gettext, glued } from "./language.js";
import { startLastCard } from "./lastcard.js";
import { shownLater } from "./later.js";
import { startOutline } from "./outline.js";
import { startPhotos } from "./photos.js";
import { startShare } from "./share.js";
import { startSize } from "./size.js";
import { say, warn } from "./status.js";
import { goTo, startSteps } from "./steps.js";
import { leadsTo, startLanguages } from "./switch.js";
import { startTape } from "./tape.js";
import { forgetTyped, keepTyped } from "./unsent.js";
import { garmentWords } from "./words.js";

const SCREENS = ["closed", "erased", "open"];
const [asking, showing] = [turns(), turns()];
let kinds = [];
let parts = [];
// The link's secret: in memory only, and only until it has been spent.
let token = "";
let shown = false;
// Until the link is spent, or was not: nobody leaves the page between.
let opening = Promise.resolve();

/** Show one of the page's screens. */
function screen(name) {
  for (const one of SCREENS) byId(one).hidden = one !== name;
}

function showClosed(refusal, again = false) {
  asking.begin();
  showing.begin();
  if (refusal) {
    if (refusal.code === "link-spent") byId("closed-title").textContent = gettext("Go on where you began");
    byId("closed-why").textContent = glued(refusal.title);
    byId("closed-advice").textContent = glued(refusal.detail);
  }
  byId("closed-again").hidden = !again;
  screen("closed");
  byId("closed-title").focus();
}

/** Show a sitting; where it is made for the first time, part by part, so that no tap waits for all. */
async function show(overview) {
  const current = showing.begin();
  showFirst(overview.unit);
  byId("trial").hidden = !overview.trial;
  const { workroom, garment } = overview;
  byId("start-title").textContent = gettext("Measuring for {workroom}", { workroom });
  const what = [gettext("{workroom} asks for your measurements.", { workroom })];
  if (garment) what.push(gettext("They are needed for: {garment}.", { garment: garmentWords(garment) }));
  byId("who").textContent = what.join(" ");
  byId("until").textContent = gettext("What you enter is kept until {day}, then erased by itself. Every change moves that day on, and you can erase it yourself at any time.",
    { day: day(overview.erase_at) });
  screen("open");
  for (const one of document.querySelectorAll(".opened")) one.hidden = false;
  for (const part of parts) {
    if (!shown) await breath();
    if (!current()) return;
    part.show(overview, kinds);
  }
  for (const one of document.querySelectorAll(".lengths")) {
    const text = inHerOrder(one.textContent);
    // What stays is not touched: she may be reading it.
    if (one.textContent !== text) one.textContent = text;
  }
  keepTyped(byId("open"), overview.id);
  shown = true;
}

const breath = () => new Promise((resolve) => {
  setTimeout(resolve);
});

/** Show a sitting that is opened here, or go to the page in its language; whether it is shown. */
async function first(overview) {
  if (!shown && leadsTo(overview.language)) return false;
  await show(overview);
  return true;
}

/** Fetch the sitting anew; an answer that another one has overtaken is dropped. */
async function refresh() {
  const current = asking.begin();
  const overview = await fetched("GET", "/sitting");
  if (current()) await first(overview);
}

/** Look what has happened while the phone was locked or offline. */
async function lookAgain() {
  if (byId("open").hidden) return;
  try {
    await refresh();
  } catch (refusal) {
    // Still offline: what she does next says so.
    if (refusal.status !== 0) throw refusal;
  }
}

/** Show a sitting that a request has answered with. */
function update(overview) {
  asking.begin();
  show(overview);
}

/** Correcting lines, which nobody does before there are any. */
function correctingLater() {
  const correcting = shownLater(() => import("./correcting.js"),
    ({ startCorrecting }) => startCorrecting({ refresh }));
  const typed = () => correcting.part()?.typed() ?? false;
  return {
    show(...seen) {
      correcting.show(...seen);
      const [{ record }] = seen;
      if (record.findings) correcting.fetch();
    },
    typed,
    unsent: () => typed() && gettext("The line that you moved is not saved yet, and would be put back."),
    forget: () => correcting.part()?.forget(),
  };
}

/** Spend the link; where that was done before, this browser may still be in. */
async function enter() {
  const current = asking.begin();
  say(gettext("Opening your link …"), { stays: true });
  try {
    const overview = await fetched("POST", "/entrance", { json: { token } });
    token = "";
    if (current() && !(await first(overview))) return;
    say(gettext("Your link is open. You can come back to this page in this browser."));
  } catch (refusal) {
    if (!(refusal instanceof Refusal)) throw refusal;
    await stillIn(refusal);
  }
}

async function stillIn(refusal) {
  say("");
  if (refusal.code !== "link-spent") {
    showClosed(refusal, [0, 429, 500, 503].includes(refusal.status));
    return;
  }
  token = "";
  try {
    await refresh();
    say(gettext("The link was opened before, in this browser; it goes on here."));
  } catch {
    showClosed(refusal);
  }
}

async function open() {
  if (token) await enter();
  else await refresh();
}

async function begin() {
  const fragment = window.location.hash.slice(1);
  if (fragment.length >= 20) {
    token = fragment;
    // At once, so that it is in no history, no screenshot and no bookmark.
    window.history.replaceState(null, "", window.location.pathname);
  }
  try {
    kinds = await fetched("GET", "/measurements");
    await open();
    const lost = parts.map((part) => part.lost?.()).filter(Boolean);
    if (lost.length) warn(lost.join(" "));
  } catch (refusal) {
    if (!(refusal instanceof Refusal)) throw refusal;
    if (byId("closed").hidden) showClosed(refusal, true);
  }
}

/** Before the page in another language: the sitting is told, or the link that is not spent goes along. */
async function leave(wanted) {
  await opening;
  const lost = parts.map((part) => part.unsent?.()).filter(Boolean);
  byId("language-ask-words").textContent = lost.join(" ");
  if (lost.length && !(await agreed(byId("language-ask")))) return null;
  if (byId("open").hidden) return token || window.location.hash.slice(1);
  await fetched("PUT", "/sitting/language", { json: { language: wanted } });
  return window.location.hash.slice(1);
}

function erased() {
  asking.begin();
  showing.begin();
  forgetTyped();
  for (const part of parts) part.forget();
  byId("open").replaceChildren();
  // In another language the page would no longer say that all is erased.
  document.querySelector(".top .languages").hidden = true;
  window.history.replaceState(null, "", window.location.pathname);
  byId("trial").hidden = true;
  screen("erased");
  say("");
  byId("erased-title").focus();
}

whenClosed((refusal) => {
  if (!byId("erased").hidden) return;
  forgetTyped();
  for (const part of parts) part.closed?.();
  showClosed(refusal);
  if (parts.some((part) => part.typed?.())) warn(gettext("What you typed is still on this page."));
});
parts = [startPhotos({ refresh, update }), correctingLater()];
const tape = startTape({ refresh, update, goTo });
parts.push(tape, startSize({ refresh, measure: tape.measure }));
parts.push(startCard({ erased, refresh }), startOutline({ update }), startShare(), startLastCard());
parts.push(startSteps({ tape: tape.comeBack }));
onPress(byId("closed-again"), () => (opening = begin()));
startLanguages(leave);
window.addEventListener("online", lookAgain);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") lookAgain();
});
window.addEventListener("hashchange", () => {
  // Another link in the same tab: nothing of the sitting before may stay on the page.
  if (window.location.hash.length > 20) window.location.reload();
});
opening = begin();

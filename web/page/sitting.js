// The customer's page: opens the link, shows the sitting, and hands it to each part of the page.

import { fetched, Refusal, whenClosed } from "./api.js";
import { startCard } from "./card.js";
import { byId, day, turns } from "./dom.js";
import { onPress } from "./forms.js";
import { startLastCard } from "./lastcard.js";
import { later } from "./later.js";
import { startOutline } from "./outline.js";
import { startPhotos } from "./photos.js";
import { startShare } from "./share.js";
import { startSize } from "./size.js";
import { say, warn } from "./status.js";
import { goTo, startSteps } from "./steps.js";
import { startTape } from "./tape.js";
import { forgetTyped, keepTyped } from "./unsent.js";

const SCREENS = ["closed", "erased", "open"];
const asking = turns();
let kinds = [];
let parts = [];
// The link's secret: in memory only, and only until it has been spent.
let token = "";

/** Show one of the page's screens. */
function screen(name) {
  for (const one of SCREENS) byId(one).hidden = one !== name;
}

function showClosed(refusal, again = false) {
  asking.begin();
  if (refusal) {
    byId("closed-why").textContent = refusal.title;
    byId("closed-advice").textContent = refusal.detail;
  }
  byId("closed-again").hidden = !again;
  screen("closed");
  byId("closed-title").focus();
}

function show(overview) {
  document.documentElement.lang = overview.language;
  byId("trial").hidden = !overview.trial;
  byId("start-title").textContent = `Measuring for ${overview.workroom}`;
  const garment = overview.garment?.replaceAll("-", " ");
  const what = garment ? ` They are for: ${garment}.` : "";
  byId("who").textContent = `${overview.workroom} asks for your measurements.${what}`;
  byId("until").textContent =
    `What you enter is kept until ${day(overview.erase_at)}, then erased by itself. ` +
    "Every change moves that day on, and you can erase it yourself at any time.";
  screen("open");
  for (const one of document.querySelectorAll(".opened")) one.hidden = false;
  for (const part of parts) part.show(overview, kinds);
  keepTyped(byId("open"), overview.id);
}

/** Fetch the sitting anew; an answer that another one has overtaken is dropped. */
async function refresh() {
  const current = asking.begin();
  const overview = await fetched("GET", "/sitting");
  if (current()) show(overview);
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
  let latest = [];
  const correcting = later(() => import("./correcting.js"), ({ startCorrecting }) => {
    const part = startCorrecting({ refresh });
    part.show(...latest);
    return part;
  });
  return {
    show(...seen) {
      latest = seen;
      const [{ record }] = seen;
      if (correcting.part()) correcting.part().show(...latest);
      else if (record.findings) correcting.fetch();
    },
    typed: () => correcting.part()?.typed() ?? false,
    forget: () => correcting.part()?.forget(),
  };
}

/** Spend the link; where that was done before, this browser may still be in. */
async function enter() {
  const current = asking.begin();
  say("Opening your link …", { stays: true });
  try {
    const overview = await fetched("POST", "/entrance", { json: { token } });
    token = "";
    if (current()) show(overview);
    say("Your link is open. You can come back to this page in this browser.");
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
    say("The link was opened before, in this browser; it goes on here.");
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
  } catch (refusal) {
    if (!(refusal instanceof Refusal)) throw refusal;
    if (byId("closed").hidden) showClosed(refusal, true);
  }
}

function erased() {
  asking.begin();
  forgetTyped();
  for (const part of parts) part.forget();
  byId("open").replaceChildren();
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
  if (parts.some((part) => part.typed?.())) warn("What you typed is still on this page.");
});
parts = [startPhotos({ refresh, update }), correctingLater()];
parts.push(startTape({ refresh, update, goTo }), startSize({ refresh }));
parts.push(startCard({ erased, refresh }), startOutline({ update }), startShare(), startLastCard());
parts.push(startSteps());
onPress(byId("closed-again"), begin);
window.addEventListener("online", lookAgain);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") lookAgain();
});
window.addEventListener("hashchange", () => {
  // Another link in the same tab: nothing of the sitting before may stay on the page.
  if (window.location.hash.length > 20) window.location.reload();
});
begin();

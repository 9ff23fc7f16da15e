// One step of the page at a time: the address says which, so that going back works as everywhere.

import { byId } from "./dom.js";
import { gettext } from "./language.js";
import { say } from "./status.js";
import { unsentReading } from "./unsent.js";

const STEPS = ["start", "photos", "tape", "size", "card", "erase"];
let current = "";
let comeBack = {};

/** Start showing steps; show() says how far each is, and where she left off: within a step, back leads there. */
export function startSteps(back) {
  comeBack = back;
  window.addEventListener("hashchange", follow);
  // Once everything is erased there is no step to go back to.
  return { show, goTo, forget: () => window.removeEventListener("hashchange", follow) };
}

function follow() {
  const named = asked();
  if (!named) return;
  say("");
  step(named);
}

/** Lead to a step. */
export function goTo(name) {
  if (asked() === name) step(name);
  else window.location.hash = name;
}

const asked = () => STEPS.find((name) => `#${name}` === window.location.hash);

function show(overview) {
  label(overview);
  if (current) return;
  const name = asked() ?? leftOff(overview);
  window.history.replaceState(window.history.state, "", `#${name}`);
  step(name);
  comeBack[name]?.();
}

function step(name) {
  current = name;
  for (const one of STEPS) byId(one).hidden = one !== name;
  for (const link of byId("steps").querySelectorAll("a")) {
    if (link.hash === `#${name}`) link.setAttribute("aria-current", "step");
    else link.removeAttribute("aria-current");
  }
  // It leads to where she is already.
  document.querySelector(".foot").classList.toggle("here", name === "erase");
  window.scrollTo({ top: 0, behavior: "instant" });
  byId(`${name}-title`).focus({ preventScroll: true });
}

/** Where a number waits to be saved, else the first step that is not done yet, once she has begun. */
function leftOff({ id, record, needed, photos, consent, block_changed: other }) {
  if (unsentReading(id)) return "tape";
  const begun = consent || record.findings || Object.keys(record.readings).length;
  if (!begun) return "start";
  if (photos || (!record.findings && !Object.keys(record.readings).length)) return "photos";
  if (needed.length) return "tape";
  return decided(record, other) ? "card" : "size";
}

/** Whether the size is decided, and on the block as it is. */
const decided = ({ decision }, other) => Boolean(decision) && !other;

function label({ record, needed, block_changed: other }) {
  const sized = decided(record, other);
  const states = [
    ["", false],
    [record.findings ? gettext("done") : gettext("optional"), Boolean(record.findings)],
    [needed.length ? gettext("{count} to do", { count: needed.length }) : gettext("done"), !needed.length],
    [sized ? gettext("decided") : gettext("open"), sized],
    [needed.length ? gettext("can wait") : gettext("ready"), false],
  ];
  for (const [index, one] of [...byId("steps").children].entries()) {
    const [words, done] = states[index];
    one.classList.toggle("done", done);
    one.querySelector(".how").textContent = words;
  }
}

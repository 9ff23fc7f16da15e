// What cannot be used of what is typed beside photos: told at a field when she leaves it, and of all
// fields at once before a photo is sent. The service says what it is; so one grammar holds for all.

import { fetched, Refusal } from "./api.js";
import { byId, el, turns } from "./dom.js";
import { inBothUnits, inHerOrder } from "./figures.js";
import { clearMarks, FieldProblem, mark, refuse } from "./forms.js";
import { gettext } from "./language.js";
import { fieldsAt, isOfOtherBar, typedIn } from "./setup.js";
import { say } from "./status.js";

const HEIGHT = "stature";
const TEXTS = "input[type=text]";
// The service refuses what is shorter by far, and says so.
const LONGEST = 200;

const asking = turns();
const left = new Set();
// What the service said last, and of which texts in which unit.
let known = { of: "", refused: [] };
let pressed = false;

/** Start telling of a field when it is left; then hears that what was changed is known. */
export function startEntries(form, then) {
  form.addEventListener("change", ({ target }) => {
    if (!target.matches(`${TEXTS}, select, [name=reference]`)) return;
    if (target.matches(TEXTS)) left.add(target);
    look(form, target, then);
  });
  for (const [name, down] of [["pointerdown", true], ["pointerup", false], ["pointercancel", false]]) {
    document.addEventListener(name, () => (pressed = down), true);
  }
}

/** Refuse all that cannot be used, and what else is wrong with the form, at once. */
export async function refuseWrong(form, others = []) {
  // What was asked about a single field is told with all of them.
  asking.begin();
  for (const input of form.querySelectorAll(TEXTS)) left.add(input);
  refuse([...(await asked(form)), ...others]);
}

/** What is known to be wrong without asking: what the service has said of these very texts. */
export function knownWrong(form) {
  if (known.of === textsOf(form)) return problemsOf(known.refused);
  return byId(HEIGHT).value.trim() ? [] : problemsOf([{ where: [HEIGHT], code: "entry-empty" }]);
}

/** Entries that the service has refused, each at its field. */
export const problemsOf = (refused) =>
  refused.flatMap((one) =>
    fieldsAt(one.where).map((input) => (isOfOtherBar(input, one)
      ? new FieldProblem(input, gettext("This is the length of the other check bar. Type it there, with its unit."))
      : problemAt(input, one))));

/** What the service says of an entry, at its field, with what may be meant to be taken with one tap. */
export const problemAt = (input, one) => new FieldProblem(input, words(one), offer(input, one));

async function look(form, target, then) {
  const current = asking.begin();
  // Where the service is not reached nothing is told: sending says so.
  const wrong = await asked(form).catch((refusal) => {
    if (!(refusal instanceof Refusal)) throw refusal;
    return [];
  });
  await released();
  if (!current()) return;
  const before = target.hasAttribute("aria-invalid");
  for (const input of left) clearMarks(input.closest(".field"));
  const told = wrong.filter(({ input }) => left.has(input));
  for (const one of told) mark(one.input, one.message, one.offer);
  const here = told.find(({ input }) => input === target);
  // It stands at the field that she has just left: only to be heard.
  if (here) say(here.message, { wrong: true, unseen: true });
  else if (before) say("");
  then();
}

async function asked(form) {
  const of = textsOf(form);
  const typed = Object.entries(typedIn(form)).map(([name, text]) => [name, shortened(text)]);
  const { refused } = await fetched("POST", "/sitting/setup-checks", { json: Object.fromEntries(typed) });
  known = { of, refused };
  return problemsOf(refused);
}

const shortened = (text) => (Array.isArray(text) ? text.map(shortened) : text.slice(0, LONGEST));

const textsOf = (form) => JSON.stringify([typedIn(form), byId("unit-in").checked]);

/** Until no pointer is down: a message that comes between would move the button from under it. */
const released = () =>
  pressed && new Promise((resolve) => {
    const end = () => setTimeout(resolve);
    document.addEventListener("pointerup", end, { once: true });
    document.addEventListener("pointercancel", end, { once: true });
  });

function words({ where: [name], code, title, detail, meant }) {
  if (name === HEIGHT && code === "entry-empty") {
    return inHerOrder(gettext("Type your height, with its unit, like 168 cm or 5 ft 6 in."));
  }
  if (!meant) return `${title} ${detail}`;
  const asks = name === HEIGHT
    ? gettext("Did you mean {meant}? That is {length}.", { meant: meant.text, length: inBothUnits(meant.mm) })
    : gettext("Did you mean {meant}?", { meant: meant.text });
  // What she meant is likelier than that she is as tall as that.
  return code === "stature-implausible" ? asks : `${title} ${asks}`;
}

/** To take what was meant with one tap. */
function offer(input, { meant }) {
  if (!meant) return null;
  const take = () => {
    input.value = meant.text;
    for (const name of ["input", "change"]) input.dispatchEvent(new Event(name, { bubbles: true }));
    input.focus();
  };
  return el("button", { type: "button", class: "plain small", onclick: take },
    gettext("Yes, I meant {meant}", { meant: meant.text }));
}

// Forms: one submit at a time, errors named at their field, nothing typed is ever taken away.

import { Refusal } from "./api.js";
import { el } from "./dom.js";
import { gettext } from "./language.js";
import { say, warn } from "./status.js";

let numbered = 0;

/** Something that is wrong with one field; offer is a button that puts it right. */
export class FieldProblem extends Error {
  constructor(input, text, offer = null) {
    super(text);
    this.input = input;
    this.offer = offer;
    // What is said of it; that of several would be too much.
    this.said = text;
  }
}

/** Refuse all that is wrong with a form at once; the first of it on the page gets the focus. */
export function refuse(problems) {
  if (!problems.length) return;
  const follows = (one, other) =>
    one.compareDocumentPosition(other) & Node.DOCUMENT_POSITION_FOLLOWING;
  const [first, ...others] = [...problems].sort((one, other) =>
    one.input === other.input ? 0 : follows(one.input, other.input) ? -1 : 1);
  for (const { input, message, offer } of others) mark(input, message, offer);
  if (others.length) first.said = gettext("Several entries cannot be used; what to do stands beside each.");
  throw first;
}

/** Say at a field what is wrong with it; the element that says so. */
export function mark(input, text, offer = null) {
  const near = input.closest(".field, fieldset") ?? input;
  const error = el("p", { class: "error", id: `error-${(numbered += 1)}` }, text, offer && " ", offer);
  const folded = input.closest("details:not([open])");
  if (folded) folded.open = true;
  if (near === input) input.after(error);
  else near.append(error);
  input.setAttribute("aria-invalid", "true");
  const described = input.getAttribute("aria-describedby") ?? "";
  input.setAttribute("aria-describedby", `${described} ${error.id}`.trim());
  return error;
}

/** Take all marks of a form away. */
export function clearMarks(form) {
  for (const error of form.querySelectorAll(".error")) {
    for (const input of form.querySelectorAll(`[aria-describedby~="${error.id}"]`)) {
      const ids = input.getAttribute("aria-describedby").split(" ");
      const others = ids.filter((id) => id !== error.id);
      if (others.length) input.setAttribute("aria-describedby", others.join(" "));
      else input.removeAttribute("aria-describedby");
      input.removeAttribute("aria-invalid");
    }
    error.remove();
  }
}

/** Have read out what stands at a place of the page; the status line shows it only if that is hidden. */
export function readOut(error) {
  // Without the button that may stand behind it.
  say(error.firstChild.textContent, { wrong: true, unseen: error.checkVisibility() });
  error.scrollIntoView({ block: "nearest" });
}

/** Go to a field with a mark, which is read out on arrival; who is there already has to hear it. */
export function leadTo(input, error) {
  const arrives = document.activeElement !== input;
  input.focus();
  if (arrives && document.activeElement === input) say("");
  else readOut(error);
}

/** Say what went wrong, once: at the field where it is known, else below the form. */
export function complain(form, problem, input = problem.input ?? null) {
  if (!(problem instanceof FieldProblem || problem instanceof Refusal)) throw problem;
  if (input) {
    const error = mark(input, problem.message, problem.offer);
    leadTo(input, error);
    // That there are others stands nowhere else.
    if (problem.said && problem.said !== problem.message) warn(problem.said);
    return;
  }
  const error = el("p", { class: "error" }, problem.message);
  form.append(error);
  readOut(error);
}

// Wider than what the service reads: this only points, it refuses nothing.
const LENGTH = /^(?:[\d\s.,/\u00b1+\u00bc-\u00be\u2010-\u2013\u2044\u2150-\u215f"'\u2018-\u201f\u2032\u2033-]|mm|cm|m|in|inch|inches|ft|foot|feet|fu(?:ß|ss)|zoll|(?:milli|[cz]enti)?met(?:er[ns]?|res?))+$/i;

/** The field that looks least like a length, because the service does not say which one it meant. */
export const suspect = (inputs) => inputs.find(({ value }) => !LENGTH.test(value.trim()));

/** An entry with its unit, because that of bare numbers may have changed since it was typed. */
export const withUnit = ({ raw, unit }) => (/^[\d\s.,/]+$/.test(raw) ? `${raw} ${unit}` : raw);

/** Do something on submit, and not a second time before it has ended. */
export function onSubmit(form, act) {
  let busy = false;
  form.noValidate = true;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (busy) return;
    busy = true;
    await doing(event.submitter, form, () => act(event.submitter));
    busy = false;
  });
}

/** Do something for a button outside of a form. */
export function onPress(button, act) {
  button.addEventListener("click", async () => {
    if (button.getAttribute("aria-disabled") === "true") return;
    await doing(button, button.parentElement, act);
  });
}

async function doing(button, place, act) {
  clearMarks(place);
  say("");
  // A button that is disabled for real would drop the keyboard's place.
  button?.setAttribute("aria-disabled", "true");
  try {
    await act();
  } catch (problem) {
    complain(place, problem);
  } finally {
    button?.removeAttribute("aria-disabled");
  }
}

/** Offer a text to be copied; where the browser has no clipboard for us, it is selected. */
export async function copied(input) {
  input.select();
  try {
    await navigator.clipboard.writeText(input.value);
    say(gettext("Copied."));
  } catch {
    say(gettext("It is selected: copy it from there."));
  }
}

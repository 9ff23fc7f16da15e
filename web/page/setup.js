// How the photos are taken, as it is typed: filled in, looked at, and put into the form that is sent.

import { byId } from "./dom.js";
import { FieldProblem, mark, suspect, withUnit } from "./forms.js";
import { decimal, gettext } from "./language.js";

const LENGTHS = {
  stature: "stature",
  standoff_front: "standoff-front",
  standoff_side: "standoff-side",
};
const BARS = ["bar-across", "bar-up"];
// Which field a problem is about, where its code tells.
const FIELDS = {
  "stature-implausible": ["stature"],
  "check-bar-off": BARS,
  "check-bar-twice": BARS,
  "standoff-implausible": ["standoff-front", "standoff-side"],
  "standoff-bound-unreadable": ["standoff-front", "standoff-side"],
  "focal-implausible": ["focal"],
  "weight-implausible": ["weight"],
  "weight-without-unit": ["weight"],
};
const UNREADABLE = {
  length: gettext("This cannot be read as a length. Type it with its unit, like 30 cm."),
  weight: gettext("This cannot be read as a weight. Type it with its unit, like 70 kg, or leave it empty."),
};
// What the reader of entries takes at most; a bound may stand beside a standoff.
const LONGEST = 45;

const reference = (form) => form.querySelector("[name=reference]:checked").value;

/** Hide what does not go with the reference object. */
export function showOnlyWhatApplies(form) {
  for (const part of form.querySelectorAll("[data-for]")) {
    part.hidden = !part.dataset.for.split(" ").includes(reference(form));
  }
}

/** Fill in what was sent before. */
export function fillIn(form, setup) {
  if (setup) {
    form.querySelector(`[value=${setup.reference}]`).checked = true;
    if (setup.paper) byId("paper").value = setup.paper;
    fill("stature", setup.stature);
    fill("bar-across", setup.check_bar_across);
    fill("bar-up", setup.check_bar_up);
    fill("standoff-front", setup.standoff_front, setup.standoff_front_bound);
    fill("standoff-side", setup.standoff_side, setup.standoff_side_bound);
    if (setup.focal_35mm) byId("focal").value = decimal(String(setup.focal_35mm));
    if (setup.weight && !byId("weight").value) byId("weight").value = setup.weight.raw;
  }
  showOnlyWhatApplies(form);
}

function fill(id, typed, bound = null) {
  if (!typed || byId(id).value) return;
  byId(id).value = withUnit(typed) + (bound ? ` ± ${withUnit(bound)}` : "");
}

/** Look at what would be refused for sure before megabytes are sent. */
export function check(form) {
  const height = byId("stature");
  if (!height.value.trim()) {
    throw new FieldProblem(height, gettext("Type your height, with its unit, like 168 cm or 5 ft 6 in."));
  }
  for (const input of form.querySelectorAll("input[type=text]")) {
    const text = input.value.trim();
    if (input.closest("[hidden]") || !text) continue;
    if (!/\d/.test(text.normalize("NFKC")) || text.length > LONGEST) {
      throw new FieldProblem(input, UNREADABLE[input.id] ?? UNREADABLE.length);
    }
  }
}

/** The form as it is sent, with photos by view; what is hidden does not apply. */
export function formData(form, photos) {
  const data = new FormData();
  const add = (name, id) => {
    const text = byId(id).value.trim();
    if (text && !byId(id).closest("[hidden]")) data.append(name, text);
  };
  data.append("reference", reference(form));
  add("paper", "paper");
  for (const [name, id] of Object.entries(LENGTHS)) add(name, id);
  for (const id of BARS) add("check_bars", id);
  add("focal_35mm", "focal");
  add("weight", "weight");
  // A plain name: what the file is called on her phone is nobody's business.
  for (const [view, photo] of Object.entries(photos)) data.append(view, photo, view);
  return data;
}

/** Mark the fields that a problem is about, and go there; false when none is known to be. */
export function markFields(form, problem) {
  const filled = fieldsOf(form, problem);
  for (const input of filled) mark(input, `${problem.title} ${problem.detail}`);
  filled[0]?.focus();
  return filled.length > 0;
}

/** The fields that a problem is about; none where that is not known. */
export function fieldsOf(form, { code }) {
  const typed = [...form.querySelectorAll("input[type=text]")].filter(
    (input) => input.value.trim() && !input.closest("[hidden]"),
  );
  if (FIELDS[code]) return typed.filter(({ id }) => FIELDS[code].includes(id));
  const odd = code?.startsWith("entry-") ? suspect(typed) : undefined;
  return odd ? [odd] : [];
}

// How the photos are taken, as it is typed: filled in, and put into what is sent.

import { byId } from "./dom.js";
import { withUnit } from "./forms.js";
import { decimal } from "./language.js";

// The names of the service, and the fields.
const FIELDS = {
  paper: "paper",
  stature: "stature",
  standoff_front: "standoff-front",
  standoff_side: "standoff-side",
  focal_35mm: "focal",
  weight: "weight",
};
// The reference is service/ellwand/photo/sheets.py.
const BARS_MM = { "bar-across": 150, "bar-up": 240 };
const BARS = Object.keys(BARS_MM);
// What stands before the bound of a standoff.
const BOUND = /\u00b1|\+\s*\/?\s*-/;
const LENGTHS = ["stature", "standoff-front", "standoff-side"];

let paperIsHers = false;

const reference = (form) => form.querySelector("[name=reference]:checked").value;

/** Hide what does not go with the reference object. */
export function showOnlyWhatApplies(form) {
  for (const part of form.querySelectorAll("[data-for]")) {
    part.hidden = !part.dataset.for.split(" ").includes(reference(form));
  }
}

/** Fill in what was sent before. */
export function fillIn(form, setup) {
  byId("paper").addEventListener("input", () => (paperIsHers = true));
  paperIsHers = Boolean(setup?.paper);
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

/** Choose the paper that goes with her unit, until she has chosen one; true where it is another. */
export function presetPaper(unit) {
  const paper = byId("paper");
  const before = paper.value;
  if (!paperIsHers) paper.value = unit === "in" ? "letter" : "a4";
  return paper.value !== before;
}

/** Write the unit behind bare lengths, because they were typed before another one was chosen. */
export function writeUnit(unit) {
  for (const input of [...LENGTHS, ...BARS].map(byId)) {
    if (!input.value.trim()) continue;
    input.value = input.value.split(BOUND).map((part) => withUnit({ raw: part.trim(), unit })).join(" ± ");
    input.dispatchEvent(new Event("input", { bubbles: true }));
  }
}

/** What stands in a field; nothing where it does not apply. */
const filled = (id) => (byId(id).closest("[data-for][hidden]") ? "" : byId(id).value.trim());

const filledBars = () => BARS.filter(filled);

/** What is typed, by the names of the service; what is empty is left out. */
export function typedIn(form) {
  const texts = Object.entries(FIELDS).map(([name, id]) => [name, filled(id)]);
  return {
    reference: reference(form),
    ...Object.fromEntries(texts.filter(([, text]) => text)),
    check_bars: filledBars().map(filled),
  };
}

/** The fields that something is about; where names one, and of several check bars which. */
export function fieldsAt([name, number]) {
  if (name !== "check_bars") return [byId(FIELDS[name])];
  const bars = filledBars().map(byId);
  return number === undefined ? bars : bars.slice(number, number + 1);
}

/** Whether what was meant is no length of the check bar whose field it stands in. */
export const isOfOtherBar = ({ id }, { meant }) =>
  Boolean(meant && BARS_MM[id]) && BARS.some((bar) => near(bar, meant) < near(id, meant));

const near = (id, { mm }) => Math.abs(mm - BARS_MM[id]);

/** The form as it is sent, with photos by view. */
export function formData(form, photos) {
  const data = new FormData();
  for (const [name, typed] of Object.entries(typedIn(form))) {
    for (const text of [typed].flat()) data.append(name, text);
  }
  // A plain name: what the file is called on her phone is nobody's business.
  for (const [view, photo] of Object.entries(photos)) data.append(view, photo, view);
  return data;
}

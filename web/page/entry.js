// One tape entry: a number in her unit, for inches with a fraction to choose, and the other unit.

import { el } from "./dom.js";
import { signOf } from "./figures.js";
import { FieldProblem } from "./forms.js";
import { gettext } from "./language.js";

const TURNS = { cm: gettext("This one in inches"), in: gettext("This one in centimetres") };
const OTHER = { cm: "in", in: "cm" };
const HINTS = {
  cm: {
    length: gettext("Like 92.5. A number alone is in centimetres."),
    height: gettext("Like 168, or 1.68 m. A number alone is in centimetres."),
  },
  in: {
    length: gettext("The whole inches, then the part of an inch. A number alone is in inches."),
    height: gettext("Like 5 ft 6 1/2 in. A number alone is in inches."),
  },
};
const FINEST = 16;
const HEIGHT = "stature";

/** A field for what the tape shows; show() fits it to a unit, text() is what is read in. */
export function entryField(id, code) {
  const height = code === HEIGHT;
  const input = el("input", { type: "text", id, autocomplete: "off", spellcheck: "false",
    enterkeyhint: "done", "aria-describedby": `${id}-hint`, oninput: () => use(used()) });
  const part = el("select", { id: `${id}-part`, "aria-label": gettext("Part of an inch") },
    el("option", { value: "" }, "0"), fractions().map((one) => el("option", { value: one }, one)));
  const label = el("label", { for: id });
  const hint = el("p", { class: "hint", id: `${id}-hint` });
  // The unit of what is typed here, where it is not the sitting's: kept with what is typed.
  const own = el("input", { type: "hidden", id: `${id}-unit`, oninput: fit });
  const turn = el("button", { type: "button", class: "plain small", onclick: () => {
    use(OTHER[used()]);
    turned = true;
    input.focus();
  } });
  let [sittings, turned] = ["cm", false];

  const used = () => own.value || sittings;

  function use(unit) {
    own.value = unit === sittings ? "" : unit;
    own.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function fit() {
    const unit = used();
    part.hidden = height || unit !== "in";
    // The number pad of a phone has no letters, which feet and inches need.
    input.setAttribute("inputmode", height && unit === "in" ? "text" : "decimal");
    hint.textContent = HINTS[unit][height ? "height" : "length"];
    turn.textContent = TURNS[unit];
  }

  return {
    input,
    element: el("div", { class: "field" }, label, el("div", { class: "entry" }, input, part, own, turn), hint),
    show(words, unit) {
      label.textContent = words;
      if (unit === sittings && hint.textContent) return;
      // What stands there was typed in the unit that the field had.
      const wanted = input.value ? used() : unit;
      sittings = unit;
      use(wanted);
    },
    /** Refuse two parts of an inch, or a part alone: neither can be what a tape shows. */
    check() {
      if (part.hidden || !part.value) return;
      if (!input.value.trim()) throw new FieldProblem(input, gettext("Type the whole inches, too."));
      if (/^\d+$/.test(input.value.trim())) return;
      throw new FieldProblem(input,
        gettext("Whole inches go here, and the part of an inch beside it. Leave one of the two parts out."));
    },
    text() {
      const fraction = part.hidden ? "" : part.value;
      const typed = [input.value.trim(), fraction].filter(Boolean).join(" ");
      // Her own unit goes without saying; the other one, and letters of hers, do not.
      return typed && own.value && !/[a-z"'′″’”]/i.test(typed) ? `${typed} ${signOf(own.value)}` : typed;
    },
    write(text) {
      input.value = text;
      part.value = "";
    },
    /** Make room for the next one, which is taken off the same edge of the tape. */
    clear() {
      this.write("");
      if (!turned) use(sittings);
    },
  };
}

/** The parts of an inch that a tape shows, in lowest terms. */
function fractions() {
  return Array.from({ length: FINEST - 1 }, (_, index) => {
    let [above, below] = [index + 1, FINEST];
    while (above % 2 === 0) [above, below] = [above / 2, below / 2];
    return `${above}/${below}`;
  });
}

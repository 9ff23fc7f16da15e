// What can be done about readings: measure again or anew, correct what was typed, keep the value.

import { fetched } from "./api.js";
import { capital, el } from "./dom.js";
import { problemAt } from "./entries.js";
import { complain, FieldProblem, onSubmit, refuse, withUnit } from "./forms.js";
import { gettext } from "./language.js";
import { say } from "./status.js";

/** What to do with a field that is empty. */
export const typeIt = (name) => gettext("Type what the tape shows: {name}.", { name });

/**
 * The ways on, of which one is open at a time.
 *
 * read sends entries that take the place of all earlier ones; again leads to the field for one
 * more reading, anew for one that takes the place of those before, rest away from it; kept hears that
 * a value was kept.
 */
export function waysOn({ code, name }, { read, again, anew, rest, kept }) {
  const correct = correctForm(code, name, read);
  const keep = keepForm(code, name, kept);
  const forms = [correct.element, keep.element];
  const only = (open) => {
    for (const form of forms) form.hidden = form !== open;
    if (open) rest();
    open?.querySelector("input")?.focus();
  };
  const way = (words, act) => el("button", { type: "button", class: "plain", onclick: act }, words);
  const keepWay = way(gettext("Keep it as it is"), () => only(keep.element));
  const anewWay = way(gettext("Measure anew, without those before"), () => {
    only(null);
    anew();
  });
  const element = el("div", { class: "ways" },
    el("p", { class: "buttons" },
      anewWay,
      way(gettext("Measure once more"), () => {
        only(null);
        again();
      }),
      way(gettext("Correct what I typed"), () => only(correct.element)),
      keepWay,
    ),
    forms,
  );
  only(null);
  return {
    element,
    /**
     * Show what can be done now; readings are those that count, doubted whether they can be kept,
     * fresh whether one that takes their place is offered first.
     */
    show(readings, doubted, fresh) {
      anewWay.hidden = !fresh;
      element.hidden = !readings.length;
      keepWay.hidden = !doubted;
      if (!doubted) keep.element.hidden = true;
      correct.fill(readings);
    },
    close: () => only(null),
  };
}

/** The readings that count, each in a field of its own, to be changed or emptied. */
function correctForm(code, name, read) {
  const fields = el("div", { class: "row narrow" });
  const element = el("form", { "aria-label": gettext("Correct {name}", { name }) }, fields,
    el("p", {}, el("button", { type: "submit" }, gettext("Save as corrected"))));
  let before = "";
  onSubmit(element, async () => {
    const filled = [...fields.querySelectorAll("input")].filter(({ value }) => value.trim());
    if (!filled.length) {
      throw new FieldProblem(fields.querySelector("input"), typeIt(name));
    }
    try {
      await read(filled.map(({ value }) => value.trim()));
    } catch (problem) {
      if (problem.status !== 422) throw problem;
      refuse((problem.entries ?? []).map((one) => problemAt(filled[one.where[1]], one)));
      complain(element, problem, filled[0]);
    }
  });
  return {
    element,
    fill(readings) {
      const now = JSON.stringify(readings);
      // What she is typing stays while the readings are the same.
      if (now === before) return;
      before = now;
      fields.replaceChildren(...readings.map((one, index) => corrected(code, one, index + 1)));
    },
  };
}

function corrected(code, reading, number) {
  const id = `${code}-correct-${number}`;
  return el("div", { class: "field" },
    el("label", { for: id }, gettext("Reading {number}", { number })),
    el("input", { type: "text", id, autocomplete: "off", spellcheck: "false", value: withUnit(reading) }),
  );
}

function keepForm(code, name, kept) {
  const id = `${code}-reason`;
  const reason = el("input", { type: "text", id, maxlength: "200", autocomplete: "off",
    "aria-describedby": `${id}-hint` });
  const element = el("form", { "aria-label": gettext("Keep {name}", { name }) },
    el("div", { class: "field" },
      el("label", { for: id }, gettext("It is right, because …")), reason,
      el("p", { class: "hint", id: `${id}-hint` },
        gettext("Like: measured by a friend, three times. It goes on the card.")),
    ),
    el("p", {}, el("button", { type: "submit" }, gettext("Keep {name}", { name }))),
  );
  onSubmit(element, async () => {
    if (!reason.value.trim()) throw new FieldProblem(reason, gettext("Say in a few words why it is right."));
    try {
      await fetched("POST", "/sitting/keeps", { json: { code, reason: reason.value } });
    } catch (problem) {
      if (problem.status !== 422) throw problem;
      complain(element, problem, reason);
      return;
    }
    reason.value = "";
    await kept();
    say(gettext("{name} is kept as it is; your reason goes on the card.", { name: capital(name) }));
  });
  return { element };
}

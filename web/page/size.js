// The size: what is still needed for it, the button that decides it, and each step with its reason;
// what matters to her stands first, what her seamstress works with is folded away.

import { fetched } from "./api.js";
import { byId, el, listed } from "./dom.js";
import { onPress, onSubmit } from "./forms.js";
import { gettext, glued } from "./language.js";
import { say } from "./status.js";
import { settledWords, stepLines } from "./words.js";

// Length class, size and cup; behind them how it sits, and last, once more, what is not certain.
const HERS = 3;
const BLOCK_CHANGED = gettext("Your seamstress has changed her block since the size was decided: decide it again.");
const CHANGED = gettext("Your numbers have changed since the size was decided: decide it again.");

/** Start this part of the page; measure opens a measurement on the step of the tape. */
export function startSize({ refresh, measure }) {
  onSubmit(byId("decide"), async () => {
    await fetched("POST", "/sitting/decision", { json: { garment: null } });
    await refresh();
    say(gettext("The size is decided; each step stands with its reason."));
    byId("decision-title").focus();
  });
  return { show: (overview, kinds) => show(overview, kinds, measure), forget() {} };
}

let before = null;

function show({ needed, record, size, block_changed: other }, kinds, measure) {
  const names = kinds.filter(({ code }) => needed.includes(code)).map(({ name }) => name);
  byId("size-needs").textContent = names.length
    ? gettext("Still to be confirmed with the tape: {names}.", { names: listed(names) })
    : [settledWords(record), other && BLOCK_CHANGED, before && !size && CHANGED].filter(Boolean).join(" ");
  before = size ?? before;
  byId("decide").hidden = names.length > 0 || Boolean(size && !other);
  byId("decision").hidden = !size;
  // The main way on, once nothing is to be decided here.
  byId("size-onward").classList.toggle("plain", !size || other);
  if (!size) return;
  byId("decision-title").textContent = glued(size.headline);
  byId("decision-note").textContent = glued(size.made_for);
  const { ease, warnings } = record.decision;
  const told = size.steps.slice(0, size.steps.length - warnings.length);
  byId("decision-steps").replaceChildren(...stepLines({ steps: told.slice(0, HERS) }));
  byId("decision-more").replaceChildren(...stepLines({ steps: told.slice(HERS) }));
  byId("decision-doubts").hidden = !warnings.length;
  byId("decision-doubts").replaceChildren(...warnings.map((words) => el("li", {}, words)));
  const estimated = ease.filter(({ basis }) => basis === "estimated");
  byId("size-surer").hidden = !estimated.length;
  byId("size-surer-ways").replaceChildren(...estimated.map(({ level }) => {
    const { name } = kinds.find(({ code }) => code === level);
    const button = el("button", { type: "button", class: "plain" }, gettext("Measure: {name}", { name }));
    onPress(button, () => measure(level));
    return button;
  }));
}

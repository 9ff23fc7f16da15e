// The tape: the unit, and the measurements, of which one is open at a time.

import { fetched } from "./api.js";
import { byId, capital, el } from "./dom.js";
import { clearMarks, complain } from "./forms.js";
import { startBeforehand } from "./howto.js";
import { gettext } from "./language.js";
import { measurement } from "./measuring.js";
import { sayFromNowOn, startTaking } from "./taking.js";
import { unsentFields, unsentReading } from "./unsent.js";

const IN_UNIT = {
  cm: gettext("From now on a number without a unit is in centimetres."),
  in: gettext("From now on a number without a unit is in inches."),
};
const rows = new Map();
const chosen = new Set();
let page = {};
let latest = [];
let showTaking = () => {};

/** Start this part of the page; page.goTo leads to another one. */
export function startTape(given) {
  page = given;
  showTaking = startTaking(page);
  startBeforehand(byId("beforehand"), byId("crooked-drawing"));
  const unit = byId("unit");
  unit.addEventListener("change", async () => {
    clearMarks(unit);
    const chosen = unit.querySelector(":checked").value;
    try {
      const overview = await fetched("PUT", "/sitting/unit", { json: { unit: chosen } });
      page.update(overview);
      sayFromNowOn(IN_UNIT[chosen], overview.record);
    } catch (problem) {
      complain(unit, problem);
    }
  });
  byId("more").addEventListener("change", () => {
    const code = byId("more").value;
    if (code) open(code);
  });
  for (const name of ["focusin", "click"]) byId("measurements").addEventListener(name, remember);
  return { show, typed, measure, comeBack, forget: () => rows.clear() };
}

/** Note where she is in this tab's history alone, so that loading the page anew leads back there. */
function remember({ target }) {
  const at = [...rows.values()].find(({ element }) => element.contains(target));
  if (at && window.history.state?.measurement !== at.code) {
    window.history.replaceState({ measurement: at.code }, "");
  }
}

/** Lead to the measurement that she was at before the page was loaded anew, or has not saved. */
function comeBack() {
  const code = window.history.state?.measurement ?? unsentReading(latest[0].id);
  if (latest[1].some((kind) => kind.code === code)) open(code);
}

function open(code) {
  chosen.add(code);
  show(...latest);
  rows.get(code).open();
}

/** Lead from another step to a measurement, asked for or not. */
function measure(code) {
  // After the step itself is shown, which takes the focus to its heading.
  window.addEventListener("hashchange", () => open(code), { once: true });
  page.goTo("tape");
}

const typed = () => [...rows.values()].some(({ field }) => field.text());

function show(overview, kinds) {
  const { record, asked, needed, unit } = overview;
  byId(`unit-${unit}`).checked = true;
  showTaking(record);
  // Who has begun has read them; they stay at hand.
  if (Object.keys(record.readings).length) byId("beforehand").firstElementChild.after(byId("tape-cautions"));
  const unsent = unsentFields(overview.id);
  for (const { code } of kinds) if (unsent.includes(`${code}-entry`)) chosen.add(code);
  const wanted = new Set([...asked, ...needed, ...Object.keys(record.readings), ...chosen]);
  latest = [overview, kinds];
  for (const kind of kinds.filter(({ code }) => wanted.has(code))) {
    // Made once and then only filled: what she is typing must not be lost.
    if (!rows.has(kind.code)) {
      rows.set(kind.code, measurement(kind, { refresh: page.refresh, goOn }));
      byId("measurements").append(rows.get(kind.code).element);
    }
    rows.get(kind.code).show(overview);
  }
  for (const row of rows.values()) row.lead(nextTo(row.code)?.name);
  const others = kinds.filter(({ code }) => !wanted.has(code));
  byId("more").closest(".field").hidden = !others.length;
  byId("more").replaceChildren(
    el("option", { value: "" }, gettext("Choose …")),
    ...others.map(({ code, name }) => el("option", { value: code }, capital(name))),
  );
  const first = [...rows.values()].find(({ settled }) => !settled);
  if (first && !byId("measurements").querySelector(".measurement[open]")) first.element.open = true;
}

/** What is to be done next: after this one, else from the beginning. */
function nextTo(code) {
  const order = [...rows.values()];
  const at = order.findIndex((row) => row.code === code);
  return [...order.slice(at + 1), ...order.slice(0, at)].find(({ settled }) => !settled);
}

function goOn(code) {
  const next = nextTo(code);
  if (next) next.open();
  else page.goTo("size");
}

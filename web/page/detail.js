// What a sitting holds, for the workroom: values, readings as they were typed, the size and its reasons.

import { capital, day, el, listed } from "./dom.js";
import { inOrder, measured, showFirst, understood } from "./figures.js";
import { gettext } from "./language.js";
import { takenAt } from "./taking.js";
import { keptBecause, outsideWords, standingWords, stepLines } from "./words.js";

// What no size is decided without; the reference is REQUIRED in service/ellwand/sizing/choose.py.
const REQUIRED = ["stature", "high_bust", "full_bust"];
const VALUES = [gettext("Measurement"), gettext("Value ± bound"), gettext("Standing")];
const READINGS = [gettext("Measurement"), gettext("Typed"), gettext("How it was taken")];

/** The details of a sitting as elements; beside is the comparison with an earlier one. */
export function detailParts({ record, size, terms }, kinds, beside) {
  const name = (code) => kinds.find((kind) => kind.code === code)?.name ?? code;
  const held = kinds.filter(({ code }) => record.measurements[code]);
  // Her unit first, here as in the words that are kept with her numbers.
  showFirst(record.unit);
  const names = (codes) => ({ names: listed(codes.map(name)) });
  const besides = terms.asked.filter((code) => !REQUIRED.includes(code));
  const asked = [gettext("Needed for the size: {names}.", names(REQUIRED))];
  if (besides.length) asked.push(gettext("Asked for besides: {names}.", names(besides)));
  const parts = [el("p", {}, asked.join(" "))];
  if (!held.length) return [...parts, el("p", {}, gettext("Nothing is measured yet."))];
  if (size) parts.push(el("h4", {}, size.headline), el("dl", { class: "lines" }, stepLines(size)));
  parts.push(el("h4", {}, gettext("Her measurements")), table(VALUES, held.map((kind) => value(kind, record))));
  const outside = record.findings?.outside;
  if (outside?.length) parts.push(el("p", { class: "note" }, outsideWords(outside)));
  const typed = kinds.filter(({ code }) => record.readings[code]?.length);
  if (typed.length) {
    parts.push(el("h4", {}, gettext("What she typed")),
      table(READINGS, typed.flatMap((kind) => readings(kind, record.readings[kind.code]))));
  }
  return [...parts, beside];
}

const table = (columns, rows) =>
  el("table", { class: "held" },
    el("thead", {}, el("tr", {}, columns.map((text) => el("th", { scope: "col" }, text)))),
    el("tbody", {}, rows));

function value({ code, name }, { measurements, findings }) {
  const { standing, reason, queries } = measurements[code];
  const shown = measured(measurements[code], findings?.estimates[code]);
  const [one, other] = inOrder(shown.cm, shown.in);
  const said = queries.map(({ sentence, advice, blocks }) =>
    el("p", {}, el("strong", {}, askedWords(blocks), " "), `${sentence} ${advice}`));
  if (reason) said.push(el("p", {}, keptBecause({ reason })));
  return el("tr", {},
    el("th", { scope: "row" }, capital(name)),
    el("td", {}, one, el("br"), other),
    el("td", {}, el("span", { class: `standing ${standing}` }, standingWords(measurements[code])), said),
  );
}

/** It speaks to her: "You entered ...". */
const askedWords = (blocks) =>
  blocks ? gettext("Query to the customer:") : gettext("Remark to the customer:");

/** What was typed, a row for all that was taken in the same way. */
function readings(kind, typed) {
  const rows = new Map();
  for (const entry of typed) {
    const taken = how(kind, entry);
    rows.set(taken, [...(rows.get(taken) ?? []), entry]);
  }
  return [...rows].map(([taken, entries]) => el("tr", {},
    el("th", { scope: "row" }, capital(kind.name)),
    el("td", {}, entries.map((entry) => el("div", {}, readWords(entry)))),
    el("td", {}, taken || gettext("not told"))));
}

/** By whom, over what and on which day; what lay under the tape matters for some measurements only. */
function how(kind, { taking, on }) {
  const taken = takenAt(kind, taking, "her");
  return [taken, on && day(Date.parse(`${on}T12:00`) / 1000)].filter(Boolean).join(", ");
}

function readWords({ raw, mm, unit, superseded }) {
  const reading = gettext("“{raw}”, read as {length}", { raw, length: understood(mm, unit) });
  return superseded ? gettext("{reading}; no longer counts", { reading }) : reading;
}

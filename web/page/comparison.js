// Two occasions beside each other: what has changed, and how surely. The words come from the service.

import { capital, el, listed } from "./dom.js";
import { inUnit } from "./figures.js";
import { gettext } from "./language.js";

/** A comparison as elements. */
export function comparisonParts(found, unit, kinds, heading = "h3") {
  const name = (code) => kinds.find((kind) => kind.code === code)?.name ?? code;
  const groups = new Map();
  for (const row of [...found.measurements].sort(bySureness)) {
    groups.set(row.heading, [...(groups.get(row.heading) ?? []), row]);
  }
  const parts = found.cautions.map((words) => el("p", { class: "note" }, words));
  for (const [told, rows] of groups) parts.push(table(told, rows, unit, name));
  if (!groups.size) parts.push(el("p", {}, gettext("The two have no measurement in common.")));
  const names = (codes) => ({ names: listed(codes.map(name)) });
  if (found.old_only.length) {
    parts.push(el("p", {}, gettext("Only in the earlier sitting: {names}.", names(found.old_only))));
  }
  if (found.new_only.length) {
    parts.push(el("p", {}, gettext("Only in the later sitting: {names}.", names(found.new_only))));
  }
  parts.push(el(heading, {}, gettext("The size")));
  parts.push(el("ul", { class: "lines" }, found.decision.map((words) => el("li", {}, capital(words)))));
  if (groups.size) parts.push(el("p", { class: "soft" }, found.note));
  return parts;
}

const COLUMNS = [
  gettext("Measurement"), gettext("Before"), gettext("Now"), gettext("What lies between"),
];
const ORDER = ["changed", "perhaps", "within doubt", "not settled"];

/** What changed for sure stands first; all else as it came. */
function bySureness(one, other) {
  return ORDER.indexOf(one.verdict) - ORDER.indexOf(other.verdict);
}

function table(heading, rows, unit, name) {
  return el("table", { class: "compared" },
    el("caption", {}, heading.replace(/:$/, "")),
    el("thead", {}, el("tr", {}, COLUMNS.map((text) => el("th", { scope: "col" }, text)))),
    el("tbody", {}, rows.map(({ code, old, new: now, words }) => el("tr", {},
      el("th", { scope: "row" }, capital(name(code))),
      el("td", { "data-column": gettext("before") }, inUnit(old.value_mm, unit)),
      el("td", { "data-column": gettext("now") }, inUnit(now.value_mm, unit)),
      el("td", {}, capital(words))))));
}

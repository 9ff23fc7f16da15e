// Two occasions beside each other: what has changed, and how surely. The words come from the service.

import { capital, el, listed } from "./dom.js";
import { inUnit } from "./figures.js";

/** A comparison as elements. */
export function comparisonParts(found, unit, kinds, heading = "h3") {
  const name = (code) => kinds.find((kind) => kind.code === code)?.name ?? code;
  const groups = new Map();
  for (const row of [...found.measurements].sort(bySureness)) {
    groups.set(row.heading, [...(groups.get(row.heading) ?? []), row]);
  }
  const parts = found.cautions.map((words) => el("p", { class: "note" }, words));
  for (const [told, rows] of groups) parts.push(table(told, rows, unit, name));
  if (!groups.size) parts.push(el("p", {}, "The two have no measurement in common."));
  for (const [where, codes] of [["earlier", found.old_only], ["later", found.new_only]]) {
    if (codes.length) {
      parts.push(el("p", {}, `Only in the ${where} sitting: ${listed(codes.map(name))}.`));
    }
  }
  parts.push(el(heading, {}, "The size"));
  parts.push(el("ul", { class: "lines" }, found.decision.map((words) => el("li", {}, capital(words)))));
  if (groups.size) parts.push(el("p", { class: "soft" }, found.note));
  return parts;
}

const ORDER = ["changed", "perhaps", "within doubt", "not settled"];

/** What changed for sure stands first; all else as it came. */
function bySureness(one, other) {
  return ORDER.indexOf(one.verdict) - ORDER.indexOf(other.verdict);
}

function table(heading, rows, unit, name) {
  return el("table", { class: "compared" },
    el("caption", {}, heading.replace(/:$/, "")),
    el("thead", {}, el("tr", {}, ["Measurement", "Before", "Now", "What lies between"].map((text) =>
      el("th", { scope: "col" }, text)))),
    el("tbody", {}, rows.map(({ code, old, new: now, words }) => el("tr", {},
      el("th", { scope: "row" }, capital(name(code))),
      el("td", {}, inUnit(old.value_mm, unit)),
      el("td", {}, inUnit(now.value_mm, unit)),
      el("td", {}, capital(words))))));
}

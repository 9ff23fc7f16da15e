// Two occasions beside each other: what has changed, and how surely. The words come from the service.

import { el, listed } from "./dom.js";
import { gettext } from "./language.js";

// What has clearly changed stands first; what shows no difference is told last, and together.
const ORDER = ["changed", "perhaps", "not settled"];

/** A comparison as elements, what matters first. */
export function comparisonParts(found, kinds, heading = "h3") {
  const names = (codes) => ({
    names: listed(codes.map((code) => kinds.find((kind) => kind.code === code)?.name ?? code)),
  });
  const rows = found.measurements
    .filter(({ verdict }) => ORDER.includes(verdict))
    .sort((one, other) => ORDER.indexOf(one.verdict) - ORDER.indexOf(other.verdict));
  const parts = found.cautions.map((words) => el("p", { class: "note" }, words));
  parts.push(el("p", {}, el("strong", {}, found.summary)));
  if (rows.length) {
    parts.push(el("dl", { class: "lines compared" }, rows.flatMap(({ words, numbers }) =>
      [el("dt", {}, words), el("dd", {}, numbers)])));
  }
  parts.push(...found.unchanged.map((words) => el("p", {}, words)));
  if (found.old_only.length) {
    parts.push(el("p", {}, gettext("Only in the earlier sitting: {names}.", names(found.old_only))));
  }
  if (found.new_only.length) {
    parts.push(el("p", {}, gettext("Only in the later sitting: {names}.", names(found.new_only))));
  }
  parts.push(el(heading, {}, gettext("The size")));
  parts.push(el("ul", { class: "lines" }, found.decision.map((words) => el("li", {}, words))));
  if (found.note) {
    parts.push(el("details", {},
      el("summary", {}, gettext("How sure a change is")), el("p", { class: "soft" }, found.note)));
  }
  return parts;
}

// The workroom's two sittings of one customer beside each other.

import { fetched } from "./api.js";
import { comparisonParts } from "./comparison.js";
import { el, moment, turns } from "./dom.js";
import { onSubmit } from "./forms.js";
import { gettext } from "./language.js";
import { say } from "./status.js";

/** A choice of earlier sittings for one, and what has changed since; or why there is none. */
export function besideForm({ id, created_at: created }, sittings, kinds) {
  const earlier = sittings.filter((one) =>
    one.id !== id && one.created_at <= created && one.confirmed.length);
  if (!earlier.length) {
    return el("p", { class: "soft" },
      gettext("There is no earlier sitting with something confirmed to set beside this one."));
  }
  const asking = turns();
  const field = el("select", { id: `earlier-${id}` }, earlier.map((one) =>
    el("option", { value: one.id }, gettext("{name}, invited {day}", {
      name: one.terms.label || gettext("a customer without a name"), day: moment(one.created_at),
    }))));
  const found = el("div", { tabindex: "-1" });
  const form = el("form", {},
    el("div", { class: "field" }, el("label", { for: field.id },
      gettext("An earlier sitting of the same customer")), field),
    el("p", {}, el("button", { type: "submit", class: "plain" },
      gettext("What has changed since then"))), found);
  onSubmit(form, async () => {
    const current = asking.begin();
    const path = `/workroom/sittings/${encodeURIComponent(id)}/comparison/${encodeURIComponent(field.value)}`;
    const compared = await fetched("GET", path);
    if (!current()) return;
    found.replaceChildren(...comparisonParts(compared, kinds, "h4"));
    found.focus();
    say(gettext("The two sittings stand beside each other."));
  });
  return form;
}

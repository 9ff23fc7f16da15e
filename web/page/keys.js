// Keys for the workroom's programs: made, shown once, ended.

import { fetched } from "./api.js";
import { byId, day, el } from "./dom.js";
import { copied, FieldProblem, onPress, onSubmit } from "./forms.js";
import { sure } from "./invitation.js";
import { gettext } from "./language.js";
import { say } from "./status.js";

let refresh = async () => {};

/** Start this part of the page. */
export function startKeys(page) {
  refresh = page.refresh;
  onSubmit(byId("new-key"), make);
  onPress(byId("copy-key"), () => copied(byId("key")));
  byId("key-made").addEventListener("close", () => {
    byId("key").value = "";
  });
  return { show, forget: () => byId("key-list").replaceChildren() };
}

function show({ workroom }) {
  byId("key-list").replaceChildren(...(workroom.keys.length ? workroom.keys.map(line)
    : [el("li", {}, gettext("None."))]));
}

function line({ id, label, created_at: made }) {
  const button = el("button", { type: "button", class: "stern", "aria-label": gettext("End the key: {label}", { label }) },
    gettext("End it …"));
  onPress(button, () => end(id, label));
  return el("li", { class: "sitting-line" }, el("h3", {}, label),
    el("p", {}, gettext("Made {day}.", { day: day(made) })), button);
}

async function make() {
  const label = byId("key-label").value.trim();
  if (!label) throw new FieldProblem(byId("key-label"), gettext("Say what the key is for."));
  const made = await fetched("POST", "/workroom/keys", { json: { label } });
  byId("key-label").value = "";
  await refresh();
  byId("key").value = made.key;
  byId("key-made").showModal();
}

async function end(id, label) {
  const agreed = await sure(gettext("End the key for {label}?", { label }),
    gettext("The program that has it is let in no more, at once."), gettext("End it"));
  if (!agreed) return;
  await fetched("DELETE", `/workroom/keys/${encodeURIComponent(id)}`);
  await refresh();
  say(gettext("The key has ended."));
  byId("keys-title").focus();
}

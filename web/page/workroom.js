// The workroom's page: login, and handing the workroom to each part of the page.

import { fetched, Refusal, whenClosed } from "./api.js";
import { mayLose, startBlocks } from "./blocks.js";
import { byId, turns } from "./dom.js";
import { FieldProblem, onPress, onSubmit } from "./forms.js";
import { startInvitation } from "./invitation.js";
import { startKeys } from "./keys.js";
import { gettext } from "./language.js";
import { startSittings } from "./sittings.js";
import { say, warn } from "./status.js";
import { startLanguages } from "./switch.js";

const asking = turns();
let parts = [];

function showEntry(words) {
  asking.begin();
  byId("entry-words").textContent = words ?? gettext("Log in to invite customers and to see their sittings.");
  byId("entry").hidden = false;
  byId("room").hidden = true;
  for (const dialog of document.querySelectorAll("dialog[open]")) dialog.close("no");
}

async function refresh() {
  const current = asking.begin();
  const [workroom, blocks, sittings, kinds] = await Promise.all([
    fetched("GET", "/workroom"),
    fetched("GET", "/workroom/blocks"),
    fetched("GET", "/workroom/sittings"),
    fetched("GET", "/measurements"),
  ]);
  if (!current()) return;
  byId("title").textContent = workroom.name;
  for (const part of parts) part.show({ workroom, blocks, sittings, kinds });
  byId("entry").hidden = true;
  byId("room").hidden = false;
}

async function logIn() {
  const needed = { name: gettext("Type your login."), password: gettext("Type your password.") };
  for (const [id, words] of Object.entries(needed)) {
    if (!byId(id).value) throw new FieldProblem(byId(id), words);
  }
  await fetched("POST", "/workroom/login", {
    json: { login: byId("name").value, password: byId("password").value },
  });
  byId("password").value = "";
  await refresh();
  say(gettext("You are logged in."));
  byId("title").focus();
}

async function logOut() {
  if (!(await mayLose(gettext("Log out?"), gettext("Log out")))) return;
  await fetched("POST", "/workroom/logout");
  for (const form of document.forms) form.reset();
  for (const part of parts) part.forget();
  showEntry(gettext("You are logged out."));
  byId("entry-title").focus();
}

/** Before the page in another language: what was typed of a block and not kept would be lost. */
async function leave() {
  const goes = await mayLose(gettext("Change the language?"), gettext("Change it"));
  return goes ? window.location.hash.slice(1) : null;
}

async function begin() {
  try {
    await refresh();
  } catch (refusal) {
    if (!(refusal instanceof Refusal)) throw refusal;
    if (refusal.code === "not-logged-in") return;
    showEntry();
    warn(refusal.message);
  }
}

whenClosed(() => {
  // Several requests may find out at once; the first one says it.
  if (!byId("entry").hidden) return;
  const was = !byId("room").hidden;
  showEntry(was ? gettext("Your login has ended. Log in again; what you typed is still there.") : null);
  if (was) byId("entry-title").focus();
});
parts = [startSittings, startInvitation, startBlocks, startKeys].map((start) => start({ refresh }));
startLanguages(leave);
onSubmit(byId("login"), logIn);
onPress(byId("logout"), logOut);
begin();

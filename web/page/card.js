// The card: downloads, the mail to the workroom, and erasing everything.

import { ask, ended, fetched } from "./api.js";
import { agreed, byId, day, el, turns } from "./dom.js";
import { onPress, onSubmit } from "./forms.js";
import { gettext, ngettext } from "./language.js";
import { say, warn } from "./status.js";
import { settledWords } from "./words.js";

const TOLD = {
  queued: gettext("The card waits to be sent."),
  running: gettext("The card is being sent."),
  lost: gettext("The service is not reached at the moment; this page keeps asking."),
};

const mails = turns();
let workroom = "";
let address = "";

/** Start this part of the page. */
export function startCard({ erased, refresh }) {
  onSubmit(byId("mail"), () => send(refresh));
  onPress(byId("draft"), draft);
  onPress(byId("erase-all"), async () => {
    if (!(await agreed(byId("erase-ask")))) return;
    say(gettext("Everything is being erased."), { stays: true });
    await fetched("DELETE", "/sitting");
    erased();
  });
  return { show, forget: () => mails.begin() };
}

function show(overview) {
  workroom = overview.workroom;
  const held = Object.values(overview.record.measurements);
  const doubts = overview.queries.length;
  const state = [];
  if (!held.length) state.push(gettext("There is nothing to put on a card yet."));
  else if (overview.needed.length) state.push(gettext("Not everything is confirmed; the card says so."));
  else state.push(settledWords(overview.record));
  if (doubts) {
    state.push(ngettext("One query is open and stands on it.",
      "{number} queries are open and stand on it.", doubts));
  }
  if (held.length) {
    state.push(gettext("{workroom} can see your measurements here already; the card is for paper and mail.",
      { workroom }));
  }
  const { card_sent: sent } = overview;
  if (sent) {
    state.push(gettext("You sent it on {day} to {address}.",
      { day: day(sent.at), address: sent.address || workroom }));
    const again = byId("mail").querySelector("button");
    again.classList.add("plain");
    again.textContent = gettext("Send it again");
  }
  byId("card-state").textContent = state.join(" ");
  byId("card-size").hidden = Boolean(overview.size || overview.needed.length);
  byId("card-ways").hidden = !held.length;
  address = overview.address;
  byId("mail").hidden = !overview.mails;
  byId("draft-way").hidden = !address;
}

async function send(refresh) {
  const shown = address;
  byId("mail-ask-words").textContent =
    gettext("The card with your measurements goes by e-mail to {address}, the address of {workroom}.",
      { address: shown, workroom });
  if (!(await agreed(byId("mail-ask")))) return;
  const current = mails.begin();
  const begun = await posted(shown, refresh);
  const job = await ended(begun.id, (status) => say(TOLD[status], { stays: true }), current);
  if (!job) return;
  if (job.status === "done") {
    await refresh();
    say(gettext("The card is on its way to {workroom}.", { workroom }));
  } else warn(`${job.problem.title} ${job.problem.detail}`);
}

/** Ask for it to be sent; where the address is another one by now, the page shows that one. */
async function posted(shown, refresh) {
  try {
    return await fetched("POST", "/sitting/card/mail", { json: { address: shown } });
  } catch (refusal) {
    if (refusal.code === "address-changed") await refresh();
    throw refusal;
  }
}

/** Fetched here and not linked, because a workroom may have given no address for it. */
async function draft() {
  const response = await ask("GET", "/sitting/card.eml");
  const url = URL.createObjectURL(await response.blob());
  const link = el("a", { href: url, download: `${gettext("measurement-card")}.eml` });
  link.click();
  // The browser takes it up a moment later.
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
  say(gettext("Open the draft in your mail program; the card is attached, and the address is filled in."));
}

// The list of sittings: state in words, details, cards, links, erasing.

import { fetched } from "./api.js";
import { besideForm } from "./beside.js";
import { detailParts } from "./detail.js";
import { byId, capital, day, el, moment, turns } from "./dom.js";
import { onPress } from "./forms.js";
import { showLink, sure } from "./invitation.js";
import { gettext, ngettext } from "./language.js";
import { say } from "./status.js";

const lines = new Map();
let refresh = async () => {};
let kinds = [];
let all = [];

/** Start this part of the page. */
export function startSittings(page) {
  refresh = page.refresh;
  onPress(byId("look-again"), async () => {
    await refresh();
    say(gettext("This is how it stands now."));
  });
  return { show, forget };
}

function forget() {
  lines.clear();
  all = [];
  byId("sitting-list").replaceChildren();
}

function show({ sittings, kinds: known }) {
  kinds = known;
  all = sittings;
  byId("no-sittings").hidden = sittings.length > 0;
  const ids = new Set(sittings.map(({ id }) => id));
  for (const id of lines.keys()) if (!ids.has(id)) lines.delete(id);
  for (const one of sittings) {
    // Kept while they are there, so that open details and the keyboard's place stay.
    if (!lines.has(one.id)) lines.set(one.id, made(one));
    fill(lines.get(one.id), one);
  }
  const wanted = sittings.map(({ id }) => lines.get(id).element);
  const list = byId("sitting-list");
  if (wanted.some((element, index) => list.children[index] !== element)
    || list.children.length !== wanted.length) list.replaceChildren(...wanted);
}

/** What tells a sitting from all others: where its label does not, when it was made does. */
function called({ id, terms, created_at: created }) {
  const name = terms.label || gettext("a customer without a name");
  const alike = all.filter((one) => one.id !== id && one.terms.label === terms.label);
  if (terms.label && !alike.length) return name;
  const within = alike.some((one) => moment(one.created_at) === moment(created));
  return gettext("{name}, invited {day}", { name, day: moment(created, within ? "medium" : "short") });
}

function made(sitting) {
  const path = `/api/v1/workroom/sittings/${encodeURIComponent(sitting.id)}`;
  const line = { state: el("p"), days: el("p", { class: "soft" }), body: el("div"), turn: turns() };
  const name = called(sitting);
  const button = (text, act, style = "plain") => {
    const one = el("button", { type: "button", class: style, "aria-label": `${text}: ${name}` }, text);
    onPress(one, act);
    return one;
  };
  const file = (kind, text) =>
    el("a", { class: "button plain", href: `${path}/card.${kind}`, download: true,
      "aria-label": `${text}: ${name}` }, text);
  line.details = el("details", { ontoggle: () => line.details.open && detail(line, sitting) },
    el("summary", {}, gettext("Details")), line.body);
  line.before = el("p", { class: "note" },
    gettext("The block has been changed since the size was decided."));
  line.decide = button(gettext("Decide the size"), () => decide(sitting));
  line.again = button(gettext("Decide the size again"), () => decide(sitting));
  line.endLink = button(gettext("End the link"), () => endLink(sitting));
  const seen = el("a", { class: "button plain", href: `${path}/card.html`, target: "_blank",
    rel: "noopener", "aria-label": `${gettext("See the card")}: ${name}` }, gettext("See the card"));
  line.cards = el("p", { class: "buttons" }, seen,
    file("pdf", gettext("Card as PDF")), file("json", gettext("Card as JSON")));
  if (sitting.terms.address) line.cards.append(file("eml", gettext("Mail draft")));
  line.element = el("article", { class: "sitting-line" },
    el("h3", {}, sitting.terms.label || capital(name)),
    line.state, line.before, line.days, line.details, line.cards,
    el("div", { class: "buttons" }, line.decide, line.again,
      button(gettext("New link"), () => newLink(sitting)), line.endLink,
      button(gettext("Erase …"), () => erase(sitting), "stern"),
    ),
  );
  return line;
}

function fill(line, sitting) {
  line.state.textContent = stateWords(sitting);
  line.days.textContent = gettext("Invited {invited}; erased by itself {erased} if nothing changes.",
    { invited: moment(sitting.created_at), erased: day(sitting.erase_at) });
  line.before.hidden = line.again.hidden = !sitting.block_changed;
  line.decide.hidden = sitting.decided || !sitting.measured || sitting.needed.length > 0;
  line.cards.hidden = !sitting.measured;
  line.endLink.hidden = !sitting.opened && !sitting.link_open;
  if (line.details.open) detail(line, sitting);
}

function stateWords({ opened, link_open: open, confirmed, kept, needed, queries, chosen }) {
  if (!opened) return open ? gettext("Not opened yet.") : gettext("Not opened; the link has ended.");
  const total = new Set([...confirmed, ...needed]).size;
  const words = [gettext("Opened; {confirmed} of {total} confirmed",
    { confirmed: confirmed.length - kept.length, total })];
  if (kept.length) {
    words.push(ngettext("{number} kept with her reason", "{number} kept with her reason",
      kept.length));
  }
  if (queries) words.push(ngettext("{number} query", "{number} queries", queries));
  words.push(chosen ?? gettext("size not decided"));
  return `${words.join("; ")}.`;
}

async function detail(line, sitting) {
  const current = line.turn.begin();
  let found;
  try {
    found = await fetched("GET", `/workroom/sittings/${encodeURIComponent(sitting.id)}`);
  } catch (problem) {
    if (current()) line.body.replaceChildren(el("p", { class: "error" }, problem.message));
    return;
  }
  if (!current()) return;
  line.body.replaceChildren(...detailParts(found, kinds, besideForm(sitting, all, kinds)));
}

async function decide({ id }) {
  await fetched("POST", `/workroom/sittings/${encodeURIComponent(id)}/decision`);
  await refresh();
  say(gettext("The size is decided; each step stands with its reason."));
}

async function newLink(sitting) {
  const agreed = await sure(gettext("A new link for {customer}?", { customer: called(sitting) }),
    gettext("A link that was not opened ends. When the new one is opened, it goes on in that browser, and a browser that was in before is out."),
    gettext("Make a new link"));
  if (!agreed) return;
  const made = await fetched("POST", `/workroom/invitations/${encodeURIComponent(sitting.id)}/link`);
  await refresh();
  await showLink(made, sitting.terms.language);
}

async function endLink(sitting) {
  const agreed = await sure(gettext("End the link of {customer}?", { customer: called(sitting) }),
    gettext("The link opens nothing any more, and her browser is let in no more. What she entered stays here until it is erased."),
    gettext("End it"));
  if (!agreed) return;
  await fetched("DELETE", `/workroom/invitations/${encodeURIComponent(sitting.id)}/link`);
  await refresh();
  say(gettext("The link has ended."));
}

async function erase(sitting) {
  const agreed = await sure(gettext("Erase the sitting of {customer}?", { customer: called(sitting) }),
    gettext("Everything in it is erased for good, for you and for her. It cannot be undone. Cards that were downloaded or sent stay where they are."),
    gettext("Erase it"));
  if (!agreed) return;
  await fetched("DELETE", `/workroom/sittings/${encodeURIComponent(sitting.id)}`);
  await refresh();
  say(gettext("The sitting is erased."));
  byId("sittings-title").focus();
}

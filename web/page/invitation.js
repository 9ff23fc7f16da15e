// Inviting a customer: what is asked of her, and the link, shown once.

import { fetched } from "./api.js";
import { agreed, byId, capital, day, el } from "./dom.js";
import { complain, copied, FieldProblem, onPress, onSubmit } from "./forms.js";
import { gettext, language, speaking } from "./language.js";
import { garmentWords } from "./words.js";

// What a blouse is sized by.
const USUAL = ["stature", "high_bust", "full_bust", "waist", "full_hip"];
const FIELDS = { "garment-not-in-block": "garment", "no-such-block": "block" };

let blocks = [];
let demo = null;
let labels = [];

/** Start this part of the page. */
export function startInvitation({ refresh }) {
  const form = byId("invitation");
  onSubmit(form, () => invite(form, refresh));
  byId("block").addEventListener("change", fillGarments);
  byId("label").addEventListener("input", sayWhetherUsed);
  onPress(byId("copy-link"), () => copied(byId("link")));
  byId("link-made").addEventListener("close", () => {
    byId("link").value = "";
    byId("write-mail").setAttribute("href", "mailto:");
  });
  // Her customers mostly speak as she does.
  byId("language").value = language;
  return { show, forget: () => byId("asked-list").replaceChildren() };
}

/** Say that there is a sitting of this name: it may be hers, or another one's. */
function sayWhetherUsed() {
  byId("label-used").textContent = labels.includes(byId("label").value.trim())
    ? gettext("There is a sitting of this name already. If it is not hers, choose another one.") : "";
}

function show({ blocks: all, workroom, kinds, sittings }) {
  labels = sittings.map(({ terms }) => terms.label).filter(Boolean);
  blocks = all.filter(({ problem }) => !problem);
  demo = workroom.demo;
  const chosen = byId("block").value;
  byId("block").replaceChildren(
    ...blocks.map(({ name }) => el("option", { value: name }, name)),
    el("option", { value: "" }, gettext("Demo block, to try with")),
  );
  if (blocks.some(({ name }) => name === chosen)) byId("block").value = chosen;
  fillGarments();
  if (byId("asked-list").children.length) return;
  byId("asked-list").append(...kinds.map(({ code, name }) =>
    el("div", { class: "tick" },
      el("input", { type: "checkbox", id: `ask-${code}`, value: code, checked: USUAL.includes(code) }),
      el("label", { for: `ask-${code}` }, capital(name)),
    )));
}

function fillGarments() {
  const own = blocks.find(({ name }) => name === byId("block").value);
  const block = own ?? demo;
  const kept = byId("garment").value;
  byId("block-hint").textContent = own
    ? gettext("Sizes {sizes}.", { sizes: block.sizes.join(", ") })
    : gettext("Its numbers are invented: sew nothing from it.");
  byId("garment").replaceChildren(...block.garments.map((name) =>
    el("option", { value: name }, garmentWords(name))));
  if (block.garments.includes(kept)) byId("garment").value = kept;
}

async function invite(form, refresh) {
  const label = byId("label").value.trim();
  if (!label) {
    throw new FieldProblem(byId("label"),
      gettext("Type a number, an initial or a name: it tells her sitting from others."));
  }
  const ticked = [...byId("asked-list").querySelectorAll(":checked")];
  const asked = ticked.map(({ value }) => value);
  if (!asked.length) {
    throw new FieldProblem(byId(`ask-${USUAL[0]}`), gettext("Tick at least one measurement."));
  }
  const json = {
    label,
    block: byId("block").value || null,
    garment: byId("garment").value || null,
    asked,
    address: byId("address").value.trim(),
    language: byId("language").value,
    unit: byId("bare").value,
  };
  if (!(await complete(json.address))) {
    throw new FieldProblem(byId("address"), gettext("Complete the address, or leave the field empty."));
  }
  let made;
  try {
    made = await fetched("POST", "/workroom/invitations", { json });
  } catch (problem) {
    const field = problem.code?.includes("address") ? "address" : FIELDS[problem.code];
    if (!field) throw problem;
    complain(form, problem, byId(field));
    return;
  }
  byId("label").value = "";
  sayWhetherUsed();
  await refresh();
  await showLink(made, json.language);
}

/** Ask about a domain without a dot, which only mail of one's own network has. */
const complete = async (address) => !/@[^.\]]+$/.test(address) ||
  sure(gettext("Is the address complete?"),
    gettext("No dot follows the @ of {address}. Only mail within your own network has such addresses.", { address }),
    gettext("Use it as it is"), gettext("Change it"));

/** Show a link, this once; the mail with it is in the customer's language. */
export async function showLink({ link, link_ends_at: ends }, hers) {
  byId("link").value = link;
  byId("link-ends").textContent = gettext("If it is not opened, it ends on {day}.", { day: day(ends) });
  const said = await speaking(hers);
  const subject = said.gettext("Your measurements");
  const body = [
    said.gettext("Hello,"),
    said.gettext("please open this link on your phone. The page tells you how to measure, step by step."),
    link,
    said.gettext("It opens once, and goes on only in the browser that opened it: take the one that you always use. It ends on {day}. Please do not pass it on.", { day: day(ends, hers) }),
  ].join("\r\n\r\n").concat("\r\n");
  const mail = `mailto:?subject=${encodeURIComponent(subject)}&body=${encodeURIComponent(body)}`;
  byId("write-mail").setAttribute("href", mail);
  byId("link-made").showModal();
}

/** Ask before something that cannot be undone. */
export function sure(title, words, yes, no = gettext("Leave it")) {
  byId("sure-title").textContent = title;
  byId("sure-words").textContent = words;
  byId("sure-yes").textContent = yes;
  byId("sure-no").textContent = no;
  return agreed(byId("sure"));
}

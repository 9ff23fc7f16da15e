// The workroom's blocks: write, check, keep, delete; a line that cannot be right is named.

import { ask, fetched } from "./api.js";
import { byId, el } from "./dom.js";
import { clearMarks, complain, FieldProblem, onPress, onSubmit } from "./forms.js";
import { sure } from "./invitation.js";
import { gettext, ngettext } from "./language.js";
import { say } from "./status.js";
import { garmentWords } from "./words.js";

let refresh = async () => {};

/** Start this part of the page. */
export function startBlocks(page) {
  refresh = page.refresh;
  const form = byId("upload");
  onSubmit(form, (button) => (button?.value === "check" ? check(form) : keep(form)));
  byId("block-file").addEventListener("change", async () => {
    const [file] = byId("block-file").files;
    if (file) write(byId("block-name").value || file.name.replace(/\.toml$/i, ""), await file.text());
  });
  onPress(byId("block-demo"), async () => {
    const written = byId("block-text").value.trim();
    const goOn = !written ||
      (await sure(gettext("Replace the text?"), gettext("What stands in the field is lost."),
        gettext("Replace it")));
    if (!goOn) return;
    clearMarks(form);
    write(byId("block-name").value, await textOf("/demo-block.toml"));
    say(gettext("The demo block is in the field. Its numbers are invented: put your own in."));
  });
  return { show, forget: () => byId("block-list").replaceChildren() };
}

const textOf = async (path) => (await ask("GET", path)).text();

/** Put a text into the field. */
function write(name, text) {
  byId("block-name").value = name;
  byId("block-text").value = text;
  byId("block-understood").hidden = true;
}

const pathOf = (name) => `/workroom/blocks/${encodeURIComponent(name)}`;

function show({ blocks }) {
  byId("block-list").replaceChildren(...(blocks.length ? blocks.map(line)
    : [el("li", {},
      gettext("None yet: invitations use the demo block, whose numbers are invented."))]));
}

function line({ name, sizes, garments, problem }) {
  const button = (text, act, style = "plain") => {
    const one = el("button", { type: "button", class: style, "aria-label": `${text}: ${name}` }, text);
    onPress(one, act);
    return one;
  };
  const what = problem ?? ngettext("{number} size, {first} to {last}; {garments}.",
    "{number} sizes, {first} to {last}; {garments}.", sizes.length,
    { first: sizes[0], last: sizes[sizes.length - 1], garments: garments.map(garmentWords).join(", ") });
  return el("li", { class: "sitting-line" },
    el("h3", {}, name), el("p", {}, what),
    el("div", { class: "buttons" },
      el("a", { class: "button plain", href: `/api/v1${pathOf(name)}`, download: `${name}.toml`,
        "aria-label": `${gettext("Download")}: ${name}` }, gettext("Download")),
      button(gettext("Change …"), async () => {
        write(name, await textOf(pathOf(name)));
        byId("block-text").focus();
        say(gettext("{name} is in the field below. It stays as it is until you keep what you change.",
          { name }));
      }),
      button(gettext("Delete …"), () => remove(name), "stern"),
    ),
  );
}

/** Say what is understood; a line that cannot be right is named at the field. */
async function check(form) {
  // What was understood of another text says nothing of this one.
  byId("block-understood").hidden = true;
  const { understood } = await accepted(form, "POST", "/workroom/block-checks");
  if (!understood) return;
  byId("block-understood").replaceChildren(...understood.map((words) => el("li", {}, words)));
  byId("block-understood").hidden = false;
  say(gettext("The text can be used as a block. Nothing is kept yet."));
}

async function keep(form) {
  const name = byId("block-name").value.trim();
  if (!name) throw new FieldProblem(byId("block-name"), gettext("Give the block a name."));
  if (/[/\\]/.test(name)) {
    throw new FieldProblem(byId("block-name"), gettext("Leave slashes out of the name."));
  }
  const block = await accepted(form, "PUT", pathOf(name));
  if (!block.sizes) return;
  form.reset();
  byId("block-understood").hidden = true;
  await refresh();
  say(ngettext("{name} is checked and kept: {number} size.",
    "{name} is checked and kept: {number} sizes.", block.sizes.length, { name: block.name }));
}

async function accepted(form, method, path) {
  const text = byId("block-text");
  if (!text.value.trim()) throw new FieldProblem(text, gettext("Write the block, or choose its file."));
  try {
    return await fetched(method, path, { body: text.value, type: "application/toml" });
  } catch (problem) {
    if (problem.status !== 422) throw problem;
    complain(form, problem, problem.code === "block-name" ? byId("block-name") : text);
    return {};
  }
}

async function remove(name) {
  const agreed = await sure(gettext("Delete {name}?", { name }),
    gettext("Its file is deleted here. Sizes that were decided stay; open sittings that use it can decide no size any more."),
    gettext("Delete it"));
  if (!agreed) return;
  await fetched("DELETE", pathOf(name));
  await refresh();
  say(gettext("{name} is deleted.", { name }));
  byId("blocks-title").focus();
}

// The workroom's blocks: write, check, keep, delete; a line that cannot be right is named.

import { ask, fetched } from "./api.js";
import { byId, el } from "./dom.js";
import { clearMarks, complain, FieldProblem, onPress, onSubmit } from "./forms.js";
import { sure } from "./invitation.js";
import { gettext, ngettext } from "./language.js";
import { say } from "./status.js";
import { garmentWords } from "./words.js";

let refresh = async () => {};
// What was put into the field and not typed: it can be put there again.
let put = "";
// How many sizes were decided on each block as it was before.
let before = new Map();

/** Start this part of the page. */
export function startBlocks(page) {
  refresh = page.refresh;
  const form = byId("upload");
  onSubmit(form, (button) => (button?.value === "check" ? check(form) : keep(form)));
  byId("block-file").addEventListener("change", async () => {
    const [file] = byId("block-file").files;
    if (!file) return;
    if (await mayReplace()) {
      clearMarks(form);
      write(byId("block-name").value || file.name.replace(/\.toml$/i, ""), await file.text());
    } else byId("block-file").value = "";
  });
  window.addEventListener("beforeunload", (event) => {
    if (unkept()) event.preventDefault();
  });
  for (const [id, path] of [["block-demo", "/demo-block.toml"],
    ["block-demo-fuller", "/demo-block-fuller.toml"]]) {
    onPress(byId(id), async () => {
      if (!(await mayReplace())) return;
      clearMarks(form);
      write(byId("block-name").value, await textOf(path));
      say(gettext("The demo block is in the field. Its numbers are invented: put your own in."));
    });
  }
  return { show, forget: () => byId("block-list").replaceChildren() };
}

const textOf = async (path) => (await ask("GET", path)).text();

/** Whether something stands in the field that was typed and not kept. */
function unkept() {
  const { value } = byId("block-text");
  return value !== put && value.trim() !== "";
}

/** Ask before the page or the login is left; true where nothing is lost, or that was agreed to. */
export async function mayLose(title, yes) {
  const agreed = !unkept() || (await sure(title,
    gettext("What you typed here and did not keep is lost."), yes));
  // Agreed to here, it is not asked for again by the browser.
  if (agreed) put = byId("block-text").value;
  return agreed;
}

const mayReplace = async () => !unkept() || sure(gettext("Replace the text?"),
  gettext("What stands in the field is lost."), gettext("Replace it"));

/** Put a text into the field. */
function write(name, text) {
  byId("block-name").value = name;
  byId("block-text").value = text;
  put = byId("block-text").value;
  byId("block-understood").hidden = true;
}

const pathOf = (name) => `/workroom/blocks/${encodeURIComponent(name)}`;

function show({ blocks, sittings }) {
  before = new Map(blocks.map(({ name }) => [name,
    sittings.filter((one) => one.block_changed && one.terms.block === name).length]));
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
    el("h3", {}, name), el("p", {}, [what, beforeWords(name)].filter(Boolean).join(" ")),
    el("div", { class: "buttons" },
      el("a", { class: "button plain", href: `/api/v1${pathOf(name)}`, download: `${name}.toml`,
        "aria-label": `${gettext("Download")}: ${name}` }, gettext("Download")),
      button(gettext("Change …"), async () => {
        if (!(await mayReplace())) return;
        const text = await textOf(pathOf(name));
        clearMarks(byId("upload"));
        write(name, text);
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
  const kept = ngettext("{name} is checked and kept: {number} size.",
    "{name} is checked and kept: {number} sizes.", block.sizes.length, { name: block.name });
  say([kept, beforeWords(name)].filter(Boolean).join(" "));
}

/** That sizes were decided on a block as it was before; nothing where there are none. */
function beforeWords(name) {
  const number = before.get(name);
  return number ? ngettext(
    "{number} sitting was decided with the text before.",
    "{number} sittings were decided with the text before.", number) : "";
}

async function accepted(form, method, path) {
  const text = byId("block-text");
  if (!text.value.trim()) throw new FieldProblem(text, gettext("Write the block, or choose its file."));
  try {
    return await fetched(method, path, { body: text.value, type: "application/toml" });
  } catch (problem) {
    if (problem.status !== 422) throw problem;
    const input = problem.code === "block-name" ? byId("block-name") : text;
    complain(form, new FieldProblem(input, messageOf(problem, text)));
    return {};
  }
}

/** What is wrong, with the line that it is about, which is marked in the field. */
function messageOf({ message, line }, text) {
  if (!line) return message;
  const all = text.value.split("\n");
  const words = all[line - 1] ?? "";
  const start = all.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
  text.setSelectionRange(start, start + words.length);
  // No line is broken, so that each is as high as the others.
  text.scrollTop = (text.scrollHeight * (line - 0.5)) / all.length - text.clientHeight / 2;
  text.scrollLeft = 0;
  const shown = words.trim();
  return shown ? `${message} ${gettext("Line {line} is: {words}", { line, words: shown })}` : message;
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

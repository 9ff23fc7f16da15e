// The workroom's blocks: upload, replace, delete; a line that cannot be right is named.

import { fetched } from "./api.js";
import { byId, el } from "./dom.js";
import { complain, FieldProblem, onPress, onSubmit } from "./forms.js";
import { sure } from "./invitation.js";
import { say } from "./status.js";

let refresh = async () => {};

/** Start this part of the page. */
export function startBlocks(page) {
  refresh = page.refresh;
  const form = byId("upload");
  onSubmit(form, () => upload(form));
  byId("block-file").addEventListener("change", () => {
    const [file] = byId("block-file").files;
    if (file && !byId("block-name").value) byId("block-name").value = file.name.replace(/\.toml$/i, "");
  });
  return { show, forget: () => byId("block-list").replaceChildren() };
}

const pathOf = (name) => `/workroom/blocks/${encodeURIComponent(name)}`;

function show({ blocks }) {
  byId("block-list").replaceChildren(...(blocks.length ? blocks.map(line)
    : [el("li", {}, "None yet: invitations use the demo block, whose numbers are invented.")]));
}

function line({ name, sizes, garments, problem }) {
  const button = (text, act, style = "plain") => {
    const one = el("button", { type: "button", class: style, "aria-label": `${text}: ${name}` }, text);
    onPress(one, act);
    return one;
  };
  const what = problem ?? `${sizes.length} sizes, ${sizes[0]} to ${sizes[sizes.length - 1]}; ${
    garments.map((garment) => garment.replaceAll("-", " ")).join(", ")}.`;
  return el("li", { class: "sitting-line" },
    el("h3", {}, name), el("p", {}, what),
    el("div", { class: "buttons" },
      el("a", { class: "button plain", href: `/api/v1${pathOf(name)}`, download: `${name}.toml`,
        "aria-label": `Download: ${name}` }, "Download"),
      button("Replace …", () => {
        byId("block-name").value = name;
        byId("block-file").focus();
        say(`Choose the file that is to take the place of ${name}.`);
      }),
      button("Delete …", () => remove(name), "stern"),
    ),
  );
}

async function upload(form) {
  const [file] = byId("block-file").files;
  const name = byId("block-name").value.trim();
  if (!name) throw new FieldProblem(byId("block-name"), "Give the block a name.");
  if (/[/\\]/.test(name)) throw new FieldProblem(byId("block-name"), "Leave slashes out of the name.");
  if (!file) throw new FieldProblem(byId("block-file"), "Choose the block's file.");
  try {
    const body = await file.text();
    const block = await fetched("PUT", pathOf(name), { body, type: "application/toml" });
    form.reset();
    await refresh();
    say(`${block.name} is checked and kept: ${block.sizes.length} sizes.`);
  } catch (problem) {
    if (problem.status !== 422) throw problem;
    complain(form, problem, byId(problem.code === "block-name" ? "block-name" : "block-file"));
    // Chosen anew after it was corrected: browsers refuse a file that has changed since.
    if (problem.code !== "block-name") byId("block-file").value = "";
  }
}

async function remove(name) {
  const agreed = await sure(`Delete ${name}?`,
    "Its file is deleted here. Sizes that were decided stay; open sittings that use it can decide no size any more.",
    "Delete it");
  if (!agreed) return;
  await fetched("DELETE", pathOf(name));
  await refresh();
  say(`${name} is deleted.`);
  byId("blocks-title").focus();
}

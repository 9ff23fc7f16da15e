// Sending two photos and following their job. The photos stay in this page, for the drawing.

import { BASE, ended, fetched, lost, newKey, refusalOf, waited } from "./api.js";
import { byId, el, turns } from "./dom.js";
import { clearMarks, complain, FieldProblem, mark, onSubmit, suspect } from "./forms.js";
import { showFindings } from "./findings.js";
import { say, warn } from "./status.js";
import { typedIsSent } from "./unsent.js";

const VIEWS = ["front", "side"];
const LENGTHS = {
  stature: "stature",
  standoff_front: "standoff-front",
  standoff_side: "standoff-side",
};
const BARS = ["bar-across", "bar-up"];
// Which field a problem is about, where its code tells.
const FIELDS = {
  "stature-implausible": ["stature"],
  "check-bar-off": BARS,
  "check-bar-twice": BARS,
  "standoff-implausible": ["standoff-front", "standoff-side"],
  "standoff-bound-unreadable": ["standoff-front", "standoff-side"],
  "focal-implausible": ["focal"],
  "weight-implausible": ["weight"],
  "weight-without-unit": ["weight"],
};
const UNREADABLE = {
  length: "This cannot be read as a length. Type it with its unit, like 30 cm.",
  weight: "This cannot be read as a weight. Type it with its unit, like 70 kg, or leave it empty.",
};
const TOLD = {
  queued: "Your photos have arrived and wait for their turn.",
  running: "Your photos are being measured.",
  lost: "The service is not reached at the moment; this page keeps asking.",
};
// What the reader of entries takes at most; a bound may stand beside a standoff.
const LONGEST = 45;

const jobs = turns();
let sent = {};
let shown = false;
let key = "";

/** Start this part of the page. */
export function startPhotos({ refresh, update }) {
  const form = byId("photo-form");
  onSubmit(byId("consent"), () => consent(update));
  onSubmit(form, () => send(form, refresh));
  // Other photos or words are another request.
  form.addEventListener("input", () => {
    key = "";
    showOnlyWhatApplies(form);
  });
  for (const view of VIEWS) {
    byId(view).addEventListener("change", () => byId(`${view}-advice`).replaceChildren());
  }
  return {
    show(overview, kinds) {
      byId("consent").hidden = overview.consent;
      form.hidden = !overview.consent;
      if (!shown) fillIn(form, overview.record.setup);
      showFindings(overview.record, sent, kinds);
      // Sent before the page was loaded, perhaps from another window.
      if (!shown && overview.photos) {
        follow(form, overview.photos.id, refresh).catch((problem) => complain(form, problem));
      }
      shown = true;
    },
    typed: () => VIEWS.some((view) => byId(view).files.length > 0),
    forget() {
      jobs.begin();
      sent = {};
    },
  };
}

async function consent(update) {
  for (const id of ["adult", "agree"]) {
    if (!byId(id).checked) {
      throw new FieldProblem(byId(id), "Without this tick no photo is taken in.");
    }
  }
  update(await fetched("POST", "/sitting/consent", { json: { adult: true, photos: true } }));
  say("Noted. You can choose your photos now.");
  byId("ref-marker").focus();
}

const reference = (form) => form.querySelector("[name=reference]:checked").value;

function showOnlyWhatApplies(form) {
  for (const part of form.querySelectorAll("[data-for]")) {
    part.hidden = !part.dataset.for.split(" ").includes(reference(form));
  }
}

function fillIn(form, setup) {
  if (setup) {
    form.querySelector(`[value=${setup.reference}]`).checked = true;
    if (setup.paper) byId("paper").value = setup.paper;
    fill("stature", setup.stature);
    fill("bar-across", setup.check_bar_across);
    fill("bar-up", setup.check_bar_up);
    fill("standoff-front", setup.standoff_front, setup.standoff_front_bound);
    fill("standoff-side", setup.standoff_side, setup.standoff_side_bound);
    if (setup.focal_35mm) byId("focal").value = setup.focal_35mm;
    if (setup.weight && !byId("weight").value) byId("weight").value = setup.weight.raw;
  }
  showOnlyWhatApplies(form);
}

// With its unit, because that of bare numbers may have changed since.
const withUnit = ({ raw, unit }) => (/^[\d\s.,/]+$/.test(raw) ? `${raw} ${unit}` : raw);

function fill(id, typed, bound = null) {
  if (!typed || byId(id).value) return;
  byId(id).value = withUnit(typed) + (bound ? ` ± ${withUnit(bound)}` : "");
}

/** Look at what would be refused for sure before megabytes are sent. */
function check(form) {
  const height = byId("stature");
  if (!height.value.trim()) {
    throw new FieldProblem(height, "Type your height, with its unit, like 168 cm or 5 ft 6 in.");
  }
  for (const input of form.querySelectorAll("input[type=text]")) {
    const text = input.value.trim();
    if (input.closest("[hidden]") || !text) continue;
    if (!/\d/.test(text.normalize("NFKC")) || text.length > LONGEST) {
      throw new FieldProblem(input, UNREADABLE[input.id] ?? UNREADABLE.length);
    }
  }
  for (const view of VIEWS) {
    if (!byId(view).files.length) throw new FieldProblem(byId(view), `Choose the ${view} photo.`);
  }
}

/** The form as it is sent; what is hidden does not apply. */
function formData(form) {
  const data = new FormData();
  const add = (name, id) => {
    const text = byId(id).value.trim();
    if (text && !byId(id).closest("[hidden]")) data.append(name, text);
  };
  data.append("reference", reference(form));
  add("paper", "paper");
  for (const [name, id] of Object.entries(LENGTHS)) add(name, id);
  for (const id of BARS) add("check_bars", id);
  add("focal_35mm", "focal");
  add("weight", "weight");
  // A plain name: what the file is called on her phone is nobody's business.
  for (const view of VIEWS) data.append(view, byId(view).files[0], view);
  return data;
}

async function send(form, refresh) {
  check(form);
  for (const view of VIEWS) byId(`${view}-advice`).replaceChildren();
  const data = formData(form);
  const files = Object.fromEntries(VIEWS.map((view) => [view, byId(view).files[0]]));
  const current = jobs.begin();
  key ||= newKey();
  say("Your photos are being sent.", { stays: true });
  try {
    const job = await uploaded(data);
    if (!current()) return;
    key = "";
    await follow(form, job.id, refresh, files, current);
  } catch (refusal) {
    // Everything was erased meanwhile: nothing is left to be said.
    if (current() && !refused(form, refusal)) throw refusal;
  } finally {
    form.querySelector("#sending").hidden = true;
  }
}

async function uploaded(data) {
  for (let tries = 0; ; tries += 1) {
    try {
      return await upload(data);
    } catch (refusal) {
      if (!(await waited(refusal, tries))) throw refusal;
    }
  }
}

/** One try to send; fetch cannot tell how much has gone out. */
function upload(data) {
  const request = new XMLHttpRequest();
  const bar = byId("sent");
  bar.value = 0;
  byId("sending").hidden = false;
  return new Promise((resolve, reject) => {
    request.upload.addEventListener("progress", ({ loaded, total }) => {
      if (total) bar.value = Math.round((loaded / total) * 100);
    });
    request.addEventListener("error", () => reject(lost()));
    request.addEventListener("abort", () => reject(lost()));
    request.addEventListener("load", () => {
      if (request.status === 202) resolve(JSON.parse(request.responseText));
      else {
        const wait = request.getResponseHeader("Retry-After");
        reject(refusalOf(request.status, request.responseText, wait));
      }
    });
    request.open("POST", `${BASE}/sitting/photos`);
    request.setRequestHeader("Idempotency-Key", key);
    request.send(data);
  });
}

async function follow(form, id, refresh, files = {}, current = jobs.begin()) {
  byId("sending").hidden = true;
  const job = await ended(id, (status) => say(TOLD[status], { stays: true }), current).catch(
    (problem) => {
      if (problem.status !== 404) throw problem;
      return null;
    },
  );
  if (!current() || !job) return;
  if (job.status === "done") sent = files;
  await refresh();
  if (job.status === "done") {
    clearMarks(form);
    typedIsSent(form);
    say("Your photos are measured, and deleted. The estimates are below.");
    byId("findings-title").focus();
  } else if (!refused(form, job.problem)) {
    mark(byId("send-photos"), `${job.problem.title} ${job.problem.detail}`);
    warn(job.problem.title);
  }
}

/** Put what speaks against photos or words beside the field that it is about. */
function refused(form, problem) {
  if (problem.problems) {
    for (const view of VIEWS) advise(view, problem.problems[view] ?? []);
    const which = VIEWS.filter((view) =>
      problem.problems[view]?.some((one) => one.severity === "refused"),
    );
    if (!which.length) return false;
    warn(`The ${which.join(" and the ")} photo can't be used; what to do stands beside it.`);
    byId(which[0]).focus();
    return true;
  }
  const filled = aboutFields(form, problem.code);
  if (!filled.length) return false;
  for (const input of filled) mark(input, `${problem.title} ${problem.detail}`);
  filled[0].focus();
  warn(`${problem.title} ${problem.detail}`);
  return true;
}

function aboutFields(form, code) {
  const typed = [...form.querySelectorAll("input[type=text]")].filter(
    (input) => input.value.trim() && !input.closest("[hidden]"),
  );
  if (FIELDS[code]) return typed.filter(({ id }) => FIELDS[code].includes(id));
  const odd = code?.startsWith("entry-") ? suspect(typed) : undefined;
  return odd ? [odd] : [];
}

function advise(view, problems) {
  byId(`${view}-advice`).replaceChildren(
    ...problems.map(({ severity, advice }) => {
      const lead = severity === "refused" ? `The ${view} photo can't be used: ` : "Trust it less: ";
      return el("li", { class: severity }, lead + advice);
    }),
  );
}

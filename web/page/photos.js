// Sending two photos and following their job. The photos stay in this page, for the drawing.

import { ended, fetched, newKey } from "./api.js";
import { byId, turns } from "./dom.js";
import { problemsOf, refuseWrong, startEntries } from "./entries.js";
import { clearMarks, complain, FieldProblem, mark, onSubmit, readOut, refuse } from "./forms.js";
import { gettext, language } from "./language.js";
import { later, shownLater } from "./later.js";
import { SEE_BESIDE } from "./photowords.js";
import { fillIn, formData, presetPaper, showOnlyWhatApplies, writeUnit } from "./setup.js";
import {
  advise, bothShots, checkAgain, clearAdvice, clearStates, forgetShots, hasOtherShots, hasShots, lostShots,
  missingShots, noteShots, sayGone, startShots, VIEWS,
} from "./shots.js";
import { say, warn } from "./status.js";
import { typedIsSent } from "./unsent.js";
import { uploaded } from "./upload.js";

const TOLD = {
  queued: gettext("Your photos have arrived and wait for their turn."),
  running: gettext("Your photos are being measured."),
  lost: gettext("The service is not reached at the moment; this page keeps asking."),
};
const jobs = turns();
let sent = {};
// Photos that the service has taken in, as long as it has not refused them.
let arrived = {};
let shown = false;
let unit = "";
let key = "";
let folded = false;

/** Start this part of the page. */
export function startPhotos({ refresh, update }) {
  const form = byId("photo-form");
  onSubmit(byId("consent"), () => consent(update));
  onSubmit(form, () => send(form, refresh));
  // Other photos or words are another request.
  const another = () => {
    key = "";
  };
  form.addEventListener("input", () => {
    another();
    showOnlyWhatApplies(form);
  });
  startShots(form, another);
  startEntries(form, checkAgain);
  // A phone in one language may show a page in another.
  for (const sheets of document.querySelectorAll("#photos a[href$='.pdf']")) {
    sheets.pathname = sheets.pathname.replace("/reference-sheets/", `/reference-sheets/${language}/`);
  }
  // Not needed before she has agreed to photos; without a camera there are the other ways.
  const camera = later(() => import("./camera.js"), ({ startCamera }) => startCamera(form));
  const findings = shownLater(() => import("./findings.js"), ({ showFindings }) => ({ show: showFindings }));
  const closeCamera = () => camera.part()?.close();
  return {
    show(overview, kinds) {
      byId("consent").hidden = overview.consent;
      form.hidden = !overview.consent;
      if (overview.consent) {
        camera.fetch();
        findings.fetch();
      }
      fold(Boolean(overview.record.findings));
      if (!shown) fillIn(form, overview.record.setup);
      else if (unit !== overview.unit) writeUnit(unit);
      if (presetPaper(overview.unit)) {
        another();
        checkAgain();
      }
      ({ unit } = overview);
      findings.show(overview, sent, kinds);
      byId("findings-old").hidden = !overview.photos;
      // Sent before the page was loaded, perhaps from another window.
      if (!shown && overview.photos) {
        follow(form, overview.photos.id, refresh).catch((problem) => complain(form, problem));
      }
      shown = true;
    },
    typed: hasShots,
    unsent: () => hasOtherShots(arrived)
      && gettext("Your photos are not sent yet, and would have to be chosen again."),
    lost: lostShots,
    // What is open over the page would hide that the sitting is closed.
    closed: closeCamera,
    forget() {
      jobs.begin();
      closeCamera();
      forgetShots();
      folded = false;
      [sent, arrived] = [{}, {}];
    },
  };
}

/** Once photos are measured what they give comes first, and the form is folded away. */
function fold(measured) {
  if (folded === measured) return;
  folded = measured;
  byId("photos-why").hidden = measured;
  byId("photos-anew").open = !measured;
  byId("photos-anew").querySelector("summary").hidden = !measured;
}

async function consent(update) {
  const without = ["adult", "agree"].map(byId).filter(({ checked }) => !checked);
  const why = gettext("Without this tick no photo is taken in.");
  for (const tick of without.slice(1)) mark(tick, why);
  if (without.length) throw new FieldProblem(without[0], why);
  update(await fetched("POST", "/sitting/consent", { json: { adult: true, photos: true } }));
  say(gettext("Noted. You can take or choose your photos now."));
  byId("photo-form").querySelector("summary").focus();
}

async function send(form, refresh) {
  await refuseWrong(form, await missingShots());
  const photos = bothShots();
  clearAdvice();
  const data = formData(form, photos);
  const current = jobs.begin();
  key ||= newKey();
  say(gettext("Your photos are being sent."), { stays: true });
  try {
    const job = await uploaded("/sitting/photos", data, key, showSent);
    if (!current()) return;
    key = "";
    arrived = photos;
    noteShots([]);
    await follow(form, job.id, refresh, photos, current);
  } catch (refusal) {
    // Everything was erased meanwhile: nothing is left to be said.
    if (current() && !refused(form, refusal)) throw refusal;
  } finally {
    form.querySelector("#sending").hidden = true;
  }
}

function showSent(percent) {
  byId("sent").value = percent;
  byId("sending").hidden = false;
}

async function follow(form, id, refresh, photos = {}, current = jobs.begin()) {
  byId("sending").hidden = true;
  const job = await ended(id, (status) => say(TOLD[status], { stays: true }), current).catch(
    (problem) => {
      if (problem.status !== 404) throw problem;
      return null;
    },
  );
  if (!current() || !job) return;
  if (job.status === "done") sent = photos;
  else {
    arrived = {};
    noteShots();
  }
  await refresh();
  if (job.status === "done") {
    clearMarks(form);
    clearStates();
    typedIsSent(form);
    byId("photos-anew").open = false;
    say(gettext("Your photos are measured, and deleted. The estimates stand here."));
    byId("findings-title").focus();
    return;
  }
  if (!refused(form, job.problem)) {
    readOut(mark(byId("send-photos"), `${job.problem.title} ${job.problem.detail}`));
  }
  sayGone();
}

/** Put what speaks against photos or words beside the field that it is about. */
function refused(form, problem) {
  if (problem.problems) {
    for (const view of VIEWS) advise(view, problem.problems[view] ?? []);
    const which = VIEWS.filter((view) =>
      problem.problems[view]?.some((one) => one.severity === "refused"),
    );
    if (!which.length) return false;
    warn(SEE_BESIDE[which.length > 1 ? "both" : which[0]]);
    byId("photos-anew").open = true;
    byId(which[0]).focus();
    return true;
  }
  if (problem.entries) refuse(problemsOf(problem.entries));
  return false;
}

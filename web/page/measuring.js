// One measurement: how it is taken, one entry at a time, what came of it, and what is in doubt.

import { fetched } from "./api.js";
import { capital, el, listed } from "./dom.js";
import { problemAt } from "./entries.js";
import { entryField } from "./entry.js";
import { inBothUnits, inHerOrder, understood } from "./figures.js";
import { complain, FieldProblem, onPress, onSubmit, refuse, withUnit } from "./forms.js";
import { drawnHow, howTo, showCrooked } from "./howto.js";
import { gettext } from "./language.js";
import { exchangedWith, meantBy } from "./meant.js";
import { say } from "./status.js";
import { chosenTaking, sharedTaking, takenAt } from "./taking.js";
import { typedIsSent, unsentFields } from "./unsent.js";
import { typeIt, waysOn } from "./ways.js";
import { estimateWords, keptBecause, queryTitle, standingWords } from "./words.js";

const HEIGHT = "stature";
const SETTLED = ["confirmed", "kept"];
const FOLDED_FROM = 3;
const TIMES = [gettext("First time"), gettext("Second time"), gettext("Third time")];

/** A measurement of the page; goOn opens the next one that is to be done. */
export function measurement(kind, { refresh, goOn }) {
  const { code, name, taken } = kind;
  const standing = el("span", { class: "standing" });
  const unsaved = el("span", { class: "standing read", hidden: true }, gettext("not saved yet"));
  const field = entryField(`${code}-entry`, code);
  const button = el("button", { type: "submit" }, gettext("Save this number"));
  const form = el("form", { class: "reading", "aria-label": gettext("Reading of {name}", { name }) },
    field.element, el("p", {}, button));
  const covered = el("details", { class: "covered" },
    el("summary", {}, gettext("Show the first reading")));
  const parts = {
    note: el("p", { class: "told" }),
    estimate: el("p", { class: "soft" }),
    readings: el("ul", { class: "readings" }),
    queries: el("ul", { class: "queries" }),
    answered: el("ul", { class: "answered" }),
  };
  // A value that is kept is done: what was asked and the ways on are folded away.
  const reopen = el("details", { hidden: true }, el("summary", {}, gettext("Change it after all")),
    el("p", { class: "hint" }, gettext("If you change the number, your reason no longer holds.")),
    parts.answered);
  const next = el("button", { type: "button" });
  const onward = el("p", { class: "onward" }, next);
  const how = howTo(kind);
  const drawing = drawnHow(kind);
  const element = el("details", { class: "measurement", name: "measurement", id: `${code}-part` },
    el("summary", {}, el("h2", { id: `${code}-name` }, capital(name)), " ", standing, " ", unsaved),
    el("p", { class: "lengths" }, `${capital(inHerOrder(taken))}.`),
    drawing.place, parts.queries, form, parts.note, covered, parts.readings, parts.estimate,
  );
  // Not known before the first look: what was typed and not sent is gone on with.
  let again = null;
  let anew = false;
  let resting = false;
  let before = [];

  async function read(entries, instead, taking) {
    const result = await send(code, entries, instead, taking);
    field.clear();
    typedIsSent(element);
    again = false;
    anew = false;
    ways.close();
    await refresh();
    tell(result);
  }

  function measureAgain(instead) {
    again = true;
    anew = instead;
    form.hidden = false;
    field.input.focus();
  }

  /** Measure no more; what is typed in the field stays there. */
  function rest() {
    again = false;
    anew = false;
    form.hidden = resting;
  }

  /** To say with one tap that the query is right about what was meant, or which changed places. */
  function yes(doubt, record) {
    const meant = meantBy(doubt, before);
    if (meant) {
      return tap(gettext("Yes, I meant {meant}", { meant: listed(meant) }),
        () => read(meant, true, sharedTaking(before)));
    }
    const other = exchangedWith(doubt, code, record.measurements);
    return other && tap(gettext("Yes, they changed places"), async () => {
      const there = counted(record, other);
      await send(other, before.map(withUnit), true, sharedTaking(before));
      await read(there.map(withUnit), true, sharedTaking(there));
    });
  }

  const focusOnward = () => (onward.hidden ? element.querySelector("summary") : next).focus();

  function tell({ measurement: held, queries, echo }) {
    const doubts = queries.some(({ blocks }) => blocks);
    if (held.standing === "read" && !covered.hidden) {
      say(gettext("The first reading is in. Now the second."));
      field.input.focus();
    } else if (doubts) {
      say(gettext("The page asks back; what to do stands at the measurement."));
      parts.queries.focus();
    } else {
      say(SETTLED.includes(held.standing)
        ? gettext("{name} is confirmed.", { name: capital(name) })
        : echo.join(". "));
      focusOnward();
    }
  }

  const markUnsaved = () => (unsaved.hidden = !field.text());
  form.addEventListener("input", markUnsaved);

  const ways = waysOn(kind, {
    // What is typed anew was taken as it was.
    read: (entries) => read(entries, true, sharedTaking(before)),
    again: () => measureAgain(false),
    anew() {
      measureAgain(true);
      say(gettext("The next reading takes the place of those before."));
    },
    rest,
    async kept() {
      typedIsSent(ways.element);
      await refresh();
      focusOnward();
    },
  });
  function fold(kept) {
    // What is moved loses the focus, so nothing is moved twice.
    if (kept === reopen.contains(ways.element)) return;
    if (kept) reopen.append(ways.element);
    else reopen.after(ways.element);
    reopen.open = false;
    reopen.hidden = !kept;
  }

  parts.queries.tabIndex = -1;
  element.append(onward, reopen, ways.element, how.details);
  drawing.startWhenOpened(element);
  onSubmit(form, async () => {
    field.check();
    const text = field.text();
    if (!text) throw new FieldProblem(field.input, typeIt(name));
    try {
      await read([text], anew, chosenTaking());
    } catch (problem) {
      if (problem.status !== 422) throw problem;
      refuse((problem.entries ?? []).map((one) => problemAt(field.input, one)));
      complain(form, problem, field.input);
    }
  });
  next.addEventListener("click", () => goOn(code));

  return {
    code, name, element, field,
    settled: false,
    open() {
      element.open = true;
      element.scrollIntoView();
      (form.hidden ? element.querySelector("summary") : field.input).focus();
    },
    show({ id, record, unit, crooked }) {
      if (again === null) {
        again = unsentFields(id).includes(field.input.id);
        element.open = again;
      }
      showCrooked(how.crooked, crooked[code]);
      const held = record.measurements[code];
      const counting = counted(record, code);
      before = counting;
      const state = held?.standing ?? "missing";
      this.settled = SETTLED.includes(state);
      // What clothes add is not known, however well repeats agree.
      const clothed = state === "confirmed" && held.queries.some(({ rule }) => rule === "worn");
      standing.textContent = clothed ? gettext("confirmed, with a remark") : standingWords(held);
      standing.className = `standing ${clothed ? "read" : state}`;
      // A height needs one reading; of all else the first must not sway the second.
      const once = state === "read" && counting.length === 1 && code !== HEIGHT;
      field.show(timeWords(code, state, counting.length), unit);
      markUnsaved();
      resting = this.settled || state === "queried";
      form.hidden = !again && resting;
      parts.note.textContent = once ? AGAIN : "";
      covered.hidden = !once;
      if (once) covered.append(parts.readings);
      else covered.after(parts.readings);
      parts.readings.replaceChildren(
        ...folded(shownOf(record.readings[code] ?? []), reading(kind)),
        ...middle(held, counting),
        ...keptWords(held),
      );
      const asked = once ? [] : held?.queries ?? [];
      const asks = (doubt) => yes(doubt, record);
      const answered = asked.filter(({ blocks }) => blocks && state === "kept");
      parts.answered.replaceChildren(...answered.map(query(state, asks)));
      parts.queries.replaceChildren(
        ...asked.filter((one) => !answered.includes(one)).map(query(state, asks)));
      fold(state === "kept");
      // A query says by itself what was to be expected.
      const words = counting.length && state !== "queried" ? estimateWords(code, record) : "";
      parts.estimate.replaceChildren(...(words ? [el("span", {}, words)] : []));
      ways.show(once ? [] : counting, canBeKept(held),
        state === "kept" || holdsClothes(code, record));
    },
    /** Say where it goes on once this one is settled. */
    lead(to) {
      onward.hidden = !this.settled;
      next.textContent = to ? gettext("Go on: {name}", { name: to }) : gettext("Go on: the size");
    },
  };
}

const send = (code, entries, instead, taking) =>
  fetched("POST", "/sitting/readings", { json: { code, entries, instead, ...taking } });

const counted = ({ readings }, code) =>
  (readings[code] ?? []).filter(({ superseded }) => !superseded);

function tap(words, act) {
  const button = el("button", { type: "button" }, words);
  onPress(button, act);
  return el("p", {}, button);
}

function timeWords(code, state, count) {
  if (state === "queried" || SETTLED.includes(state)) return gettext("Once more");
  return code === HEIGHT ? gettext("Your height") : TIMES[count] ?? gettext("Once more");
}

/** What several readings come to, where it is not plain to see. */
const middle = (held, counting) =>
  held?.standing === "confirmed" && counting.some(({ mm }) => mm !== counting[0].mm)
    ? [el("li", { class: "together" }, counting.length > 2
      ? gettext("Together they make {length}, their middle.", { length: inBothUnits(held.value_mm) })
      : gettext("Together they make {length}, their average.", { length: inBothUnits(held.value_mm) }))]
    : [];

const AGAIN = gettext("The first reading is in, and stays covered. Take the tape off, and measure once more.");

const OTHERWISE = gettext("If not, measure again; if the tape shows the same again, keep the value.");

// Readings that differ, or that no adult has, are measured again instead.
const canBeKept = (held) =>
  ["queried", "read"].includes(held?.standing) &&
  !held.queries.some(({ rule }) => ["range", "repeats"].includes(rule));

const query = (state, yes) => (one) => {
  const doubts = one.blocks && state === "queried";
  const button = doubts ? yes(one) : null;
  // What was to be done about a value that is kept is done.
  const todo = one.blocks && state === "kept" ? "" : one.advice;
  const otherwise = one.rule === "range" ? gettext("If not, measure again.") : OTHERWISE;
  return el("li", { class: doubts ? "query" : "remark" },
    el("p", {}, el("strong", {}, queryTitle(one.blocks), " "), one.sentence),
    [one.cause, button ? "" : todo].filter(Boolean).map((words) => el("p", {}, words)),
    button && [button, el("p", {}, otherwise)]);
};

/** Whether what was worn is in a number, or in what is worked out of it and another one. */
const holdsClothes = (code, { measurements }) =>
  Object.entries(measurements).some(([one, { queries }]) =>
    queries.some(({ rule, against }) => rule === "worn" && [one, against].includes(code)));

/** Readings without those that count no longer and were typed once more, with a unit or without. */
const shownOf = (readings) =>
  readings.filter(({ mm, superseded }) =>
    !superseded || !readings.some((one) => !one.superseded && one.mm === mm));

/** Readings as lines; where many count no longer, those are folded away. */
function folded(rows, line) {
  const over = rows.filter(({ superseded }) => superseded);
  if (over.length < FOLDED_FROM) return rows.map(line);
  const earlier = el("details", {},
    el("summary", {}, gettext("{number} readings that no longer count", { number: over.length })),
    el("ul", { class: "readings" }, over.map(line)));
  return [el("li", {}, earlier), ...rows.filter(({ superseded }) => !superseded).map(line)];
}

const keptWords = (held) => (held?.reason ? [el("li", {}, keptBecause(held))] : []);

const reading = (kind) => ({ raw, mm, unit, superseded, taking }) => {
  const taken = takenAt(kind, taking);
  const read = gettext("“{raw}” was read as {length}", { raw, length: understood(mm, unit) });
  const words = taken ? gettext("{reading}; measured {taken}", { reading: read, taken }) : read;
  return el("li", { class: superseded ? "over" : "" },
    superseded ? gettext("{reading}; no longer counts", { reading: words }) : words);
};

// The tape: for each measurement how it is taken, two entries, what came of them, and queries.

import { fetched } from "./api.js";
import { byId, capital, el } from "./dom.js";
import { clearMarks, complain, FieldProblem, onSubmit, suspect } from "./forms.js";
import { figures, inBothUnits, leansOnTape, measured } from "./figures.js";
import { howTo, showCrooked, startBeforehand } from "./howto.js";
import { say } from "./status.js";
import { standingWords } from "./words.js";

const HEIGHT = "stature";
const EXAMPLES = {
  cm: { length: "Like 92.5", height: "Like 168" },
  in: { length: "Like 36 3/8", height: "Like 5 ft 6 in" },
};

const rows = new Map();
let refresh = async () => {};

/** Start this part of the page. */
export function startTape(page) {
  refresh = page.refresh;
  startBeforehand(byId("beforehand"), byId("crooked-drawing"));
  const unit = byId("unit");
  unit.addEventListener("change", async () => {
    clearMarks(unit);
    const chosen = unit.querySelector(":checked").value;
    try {
      page.update(await fetched("PUT", "/sitting/unit", { json: { unit: chosen } }));
      say("From now on a number without a unit is taken so. What was read in before stays.");
    } catch (problem) {
      complain(unit, problem);
    }
  });
  return { show, typed, forget: () => rows.clear() };
}

const typed = () => [...rows.values()].some(({ entries }) => entries.some(({ value }) => value));

function show(overview, kinds) {
  const { record, asked, needed, unit, repeats } = overview;
  byId(`unit-${unit}`).checked = true;
  const wanted = new Set([...asked, ...needed, ...Object.keys(record.readings)]);
  for (const kind of kinds.filter(({ code }) => wanted.has(code))) {
    // Made once and then only filled: what she is typing must not be lost.
    if (!rows.has(kind.code)) {
      rows.set(kind.code, made(kind));
      byId("measurements").append(rows.get(kind.code).element);
    }
    fill(rows.get(kind.code), kind, overview, asked.includes(kind.code));
  }
  byId("repeats").textContent = repeats?.words ?? "";
}

function made(kind) {
  const { code, name, taken } = kind;
  const standing = el("span", { class: "standing" });
  const row = {
    standing,
    entries: [entry(code, 1), entry(code, 2)],
    hint: el("p", { class: "hint", id: `${code}-hint` }),
    estimate: el("p", { class: "soft" }),
    readings: el("ul", { class: "readings" }),
    queries: el("ul", { class: "queries" }),
    echo: el("ul", { class: "echo" }),
    instead: el("input", { type: "checkbox", id: `${code}-instead` }),
    keep: null,
    done: null,
  };
  row.insteadField = el("div", { class: "field tick" }, row.instead,
    el("label", { for: `${code}-instead` }, "Earlier readings of this no longer count."),
  );
  const form = readForm(kind, row);
  row.how = howTo(kind);
  row.summary = el("summary", {}, `Measure ${name} again`);
  row.again = el("details", { open: true }, row.summary, form);
  row.keep = keepForm(kind);
  row.element = el("article", { class: "measurement", "aria-labelledby": `${code}-name` },
    el("h3", { id: `${code}-name` }, capital(name), " ", standing),
    el("p", {}, `${capital(taken)}.`),
    row.how.details, row.estimate, row.readings, row.queries, row.echo, row.again, row.keep,
  );
  return row;
}

function entry(code, number) {
  return el("input", {
    type: "text", id: `${code}-${number}`, autocomplete: "off", spellcheck: "false",
    enterkeyhint: number === 1 ? "next" : "done", "aria-describedby": `${code}-hint`,
  });
}

function readForm(kind, row) {
  const [first, second] = row.entries;
  const fields = [
    el("div", { class: "field" }, el("label", { for: first.id }, "First time"), first),
    el("div", { class: "field" },
      el("label", { for: second.id }, kind.code === HEIGHT ? "Again (optional)" : "Second time"),
      second,
    ),
  ];
  const form = el("form", { class: "reading", "aria-label": `Readings of ${kind.name}` },
    el("div", { class: "row narrow" }, fields, row.hint), row.insteadField,
    el("p", {}, el("button", { type: "submit" }, `Read in ${kind.name}`)),
  );
  onSubmit(form, () => read(kind, row, form));
  return form;
}

async function read({ code, name }, row, form) {
  const filled = row.entries.filter(({ value }) => value.trim());
  if (!filled.length) {
    throw new FieldProblem(row.entries[0], `Type what the tape shows for the ${name}.`);
  }
  const entries = filled.map(({ value }) => value.trim());
  let result;
  try {
    result = await fetched("POST", "/sitting/readings", {
      json: { code, entries, instead: row.instead.checked },
    });
  } catch (problem) {
    if (problem.status !== 422) throw problem;
    complain(form, problem, suspect(filled) ?? filled[0]);
    return;
  }
  for (const input of row.entries) input.value = "";
  row.instead.checked = false;
  row.echo.replaceChildren(...result.echo.map((line) => el("li", {}, line)));
  await refresh();
  // The queries stand at the measurement; over it they would be hidden by being told twice.
  say(result.echo.join(". "), { stays: result.queries.some(({ blocks }) => blocks) });
  (row.done ? row.summary : row.entries[0]).focus();
}

function keepForm({ code, name }) {
  const reason = el("input", { type: "text", id: `${code}-reason`, maxlength: "200",
    autocomplete: "off", "aria-describedby": `${code}-reason-hint` });
  const form = el("form", { "aria-label": `Keep ${name}` },
    el("div", { class: "field" },
      el("label", { for: reason.id }, "Keep it, because …"), reason,
      el("p", { class: "hint", id: `${code}-reason-hint` },
        "Like: measured by a friend, three times. It goes on the card."),
    ),
    el("p", {}, el("button", { type: "submit", class: "plain" }, `Keep ${name}`)),
  );
  onSubmit(form, async () => {
    if (!reason.value.trim()) throw new FieldProblem(reason, "Say in a few words why it is right.");
    try {
      await fetched("POST", "/sitting/keeps", { json: { code, reason: reason.value } });
    } catch (problem) {
      if (problem.status !== 422) throw problem;
      complain(form, problem, reason);
      return;
    }
    reason.value = "";
    rows.get(code).echo.replaceChildren();
    await refresh();
    say(`${capital(name)} is kept as it is; your reason goes on the card.`);
    rows.get(code).summary.focus();
  });
  return el("details", {}, el("summary", {}, "I am sure of this value"), form);
}

function fill(row, { code, name }, { record, needed, unit, crooked }, asked) {
  showCrooked(row.how.crooked, crooked[code]);
  const held = record.measurements[code];
  const typedBefore = record.readings[code] ?? [];
  const standing = held?.standing ?? "missing";
  fold(row, ["confirmed", "kept"].includes(standing));
  row.standing.textContent = standingWords(held);
  row.standing.className = `standing ${standing}`;
  const example = EXAMPLES[unit][code === HEIGHT ? "height" : "length"];
  row.hint.textContent = `${example}; a bare number is in ${unit === "cm" ? "cm" : "inches"}.`;
  for (const input of row.entries) {
    // The number pad of a phone has no space and no slash, which inches need.
    input.setAttribute("inputmode", unit === "cm" ? "decimal" : "text");
  }
  const words = estimateWords(code, record, needed.includes(code), asked);
  row.estimate.replaceChildren(...(words ? [el("span", {}, words)] : []));
  row.readings.replaceChildren(...typedBefore.map(reading));
  const queries = held?.queries ?? [];
  row.queries.replaceChildren(
    ...queries.map(({ sentence, advice, blocks }) =>
      el("li", { class: blocks && standing === "queried" ? "query" : "remark" },
        el("strong", {}, blocks ? "Query: " : "Remark: "), `${sentence} ${advice}`),
    ),
  );
  if (held?.reason) {
    row.readings.append(el("li", {}, `Kept because “${held.reason}”`));
  }
  row.insteadField.hidden = !typedBefore.some(({ superseded }) => !superseded);
  row.keep.hidden = !["queried", "read"].includes(standing) || !typedBefore.length;
}

/** Fold what is settled, once: what she opens again stays open. */
function fold(row, done) {
  if (row.done !== done) row.again.open = !done;
  row.done = done;
  row.summary.hidden = !done;
}

function estimateWords(code, record, needed, asked) {
  const words = [];
  const estimate = record.findings?.estimates[code];
  if (estimate) {
    const shown = figures(estimate.value_mm, estimate.low_mm, estimate.high_mm);
    words.push(`The photos say ${shown.cm} (${shown.in}).`);
  }
  const held = record.measurements[code];
  if (held && leansOnTape(held)) {
    const shown = measured(held, estimate);
    words.push(`Estimated, using your tape readings: ${shown.cm} (${shown.in}).`);
  }
  if (needed && !asked) words.push("Not asked for by name, but the size needs it.");
  return words.join(" ");
}

function reading({ raw, mm, superseded }) {
  const both = inBothUnits(mm);
  const words = `“${raw}” was read as ${both}`;
  return el("li", { class: superseded ? "over" : "" }, superseded ? `${words}; no longer counts` : words);
}

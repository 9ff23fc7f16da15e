// What is typed and not sent yet, kept in this browser until it is: a phone that locks, a page that
// is closed, or a lost connection takes nothing away.

const PLACE = "ellwand-unsent";
// With the unit of a number; of what is chosen, only that which is sent and not done at once.
const FIELDS = "input[type=text], input[type=hidden], select:not(#more, #correct-level), [name=reference]";
let owner = "";
let fields = {};

/** Names of the fields in which something was typed for a sitting and not sent. */
export const unsentFields = (sitting) => Object.keys(typedFor(sitting));

const ENTRY = "-entry";

/** The measurement of which a number was typed for a sitting and not sent, if any. */
export const unsentReading = (sitting) =>
  unsentFields(sitting).find((id) => id.endsWith(ENTRY))?.slice(0, -ENTRY.length);

// Of another sitting nothing may come up here.
function typedFor(sitting) {
  const before = stored();
  return before?.sitting === sitting ? before.fields : {};
}

/** Keep what is typed in an element for a sitting, and fill in what was typed before. */
export function keepTyped(root, sitting) {
  if (owner === sitting) return;
  [owner, fields] = [sitting, typedFor(sitting)];
  for (const [id, text] of Object.entries(fields)) {
    const field = document.getElementById(id);
    if (field && root.contains(field)) put(field, text);
  }
  root.addEventListener("input", ({ target }) => {
    if (!target.id || !target.matches(FIELDS)) return;
    if (target.type === "radio") forget(target.closest("fieldset"));
    if (target.value) fields[target.id] = target.value;
    else delete fields[target.id];
    store();
  });
  store();
}

function put(field, text) {
  if (field.type === "radio") field.checked = true;
  else field.value = text;
  // What does not go with it is hidden.
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

/** Forget what stood in an element, because it is sent. */
export function typedIsSent(element) {
  forget(element);
  store();
}

function forget(element) {
  for (const { id } of element.querySelectorAll(FIELDS)) delete fields[id];
}

/** Forget all of it. */
export function forgetTyped() {
  fields = {};
  store();
}

function stored() {
  try {
    return JSON.parse(localStorage.getItem(PLACE));
  } catch {
    // Storage that is switched off, or not ours: then it is as if nothing had been typed.
    return null;
  }
}

function store() {
  try {
    if (Object.keys(fields).length) localStorage.setItem(PLACE, JSON.stringify({ sitting: owner, fields }));
    else localStorage.removeItem(PLACE);
  } catch {
    // Without storage the page itself still holds what is typed, as long as it stays open.
  }
}

// Requests to the service: keys against doing things twice, waiting as told, problems in words.

import { gettext, language } from "./language.js";
import { say } from "./status.js";

export const BASE = "/api/v1";
/** Asks for answers in the language of the page. */
export const SPOKEN = { "Accept-Language": language };
// A longer wait than this is told and left to her (judged).
const LONGEST_WAIT_S = 90;
const MOST_WAITS = 5;
const LOST_RETRY_S = 2;
const LOST_AGAIN_S = 5;

// Keys of requests whose answer never came: sent again, they are still done once.
const unanswered = new Map();
let closed = () => {};

/** What the service says against a request (RFC 9457), or that it was not reached. */
export class Refusal extends Error {
  constructor(status, details, retryAfterS = 0) {
    super(`${details.title} ${details.detail}`);
    this.status = status;
    this.code = details.code;
    this.title = details.title;
    this.detail = details.detail;
    this.problems = details.problems ?? null;
    this.entries = details.entries ?? null;
    this.line = details.line ?? null;
    this.retryAfterS = retryAfterS;
  }
}

export const lost = () =>
  new Refusal(0, {
    code: "not-reached",
    title: gettext("The service was not reached."),
    detail: gettext("What you typed is still here. Look whether you are online, and try again."),
  });

/** What to do when the sitting or the workroom is not open any more. */
export function whenClosed(act) {
  closed = act;
}

/** A key that tells one request from all others; randomUUID is missing on plain http. */
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(18));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

export const pause = (seconds) =>
  new Promise((resolve) => {
    setTimeout(resolve, seconds * 1000);
  });

/** Seconds that an answer asks to wait; 0 when it asks for none. */
export function seconds(header) {
  const given = Number.parseInt(header ?? "", 10);
  return Number.isFinite(given) && given > 0 ? given : 0;
}

/** Whether to wait by ourselves and try again, which is then said. */
export async function waited(refusal, tries) {
  const wait = refusal.retryAfterS;
  const worth = [429, 503].includes(refusal.status) && wait > 0 && wait <= LONGEST_WAIT_S;
  if (!worth || tries >= MOST_WAITS) return false;
  const on = gettext("This page tries again by itself in {wait} s; nothing is lost.", { wait });
  say(`${refusal.title} ${on}`, { stays: true });
  await pause(wait);
  return true;
}

/** A problem from an answer, whatever its body is. */
export function refusalOf(status, text, retryAfter) {
  let details = {};
  try {
    details = JSON.parse(text);
  } catch {
    // A proxy between here and the service may answer in its own way.
  }
  const title = details.title ?? gettext("The service could not answer.");
  const detail =
    details.detail ?? gettext("Nothing that was sent is lost. Try again in a moment.");
  const refusal = new Refusal(status, { ...details, title, detail }, seconds(retryAfter));
  if (["no-sitting-open", "no-such-sitting", "not-logged-in"].includes(refusal.code)) {
    closed(refusal);
  }
  return refusal;
}

async function answered(method, path, headers, body) {
  let response;
  try {
    response = await fetch(BASE + path, { method, headers, body, credentials: "same-origin" });
  } catch {
    throw lost();
  }
  if (response.ok) return response;
  throw refusalOf(response.status, await response.text(), response.headers.get("Retry-After"));
}

/**
 * Ask the service for something.
 *
 * json is sent as such; body and type are for everything else. Busy answers are waited for, and a
 * lost one is asked for once more, with the same key.
 */
export async function ask(method, path, { json, body, type } = {}) {
  const sent = json === undefined ? body : JSON.stringify(json);
  const same = `${method} ${path} ${typeof sent === "string" ? sent : ""}`;
  const headers = { ...SPOKEN };
  if (sent !== undefined) headers["Content-Type"] = type ?? "application/json";
  if (method === "POST") {
    if (!unanswered.has(same)) unanswered.set(same, newKey());
    headers["Idempotency-Key"] = unanswered.get(same);
  }
  for (let tries = 0; ; tries += 1) {
    try {
      const response = await answered(method, path, headers, sent);
      unanswered.delete(same);
      return response;
    } catch (refusal) {
      if (!(refusal instanceof Refusal)) throw refusal;
      if (refusal.status === 0 && tries === 0) await pause(LOST_RETRY_S);
      else if (!(await waited(refusal, tries))) {
        if (refusal.status !== 0) unanswered.delete(same);
        throw refusal;
      }
    }
  }
}

/** Ask for JSON. */
export async function fetched(method, path, options) {
  const response = await ask(method, path, options);
  return response.status === 204 ? null : response.json();
}

/**
 * Follow a job until it has ended.
 *
 * told hears of every change of its status; null when nobody wants to know any more.
 */
export async function ended(id, told, wanted) {
  let before = "";
  while (wanted()) {
    let [status, wait] = ["lost", LOST_AGAIN_S];
    try {
      const response = await ask("GET", `/sitting/jobs/${encodeURIComponent(id)}`);
      const job = await response.json();
      if (!["queued", "running"].includes(job.status)) return wanted() ? job : null;
      status = job.status;
      wait = Math.max(1, seconds(response.headers.get("Retry-After")));
    } catch (refusal) {
      if (!wanted()) return null;
      // A phone that was locked or went through a tunnel: the job goes on without it.
      if (refusal.status !== 0) throw refusal;
    }
    if (status !== before) told(status);
    before = status;
    await pause(wait);
  }
  return null;
}

// Sending photos: how far that is, and again where the service was busy.

import { BASE, lost, refusalOf, SPOKEN, waited } from "./api.js";

/**
 * Send a form, and give the job that was made of it.
 *
 * key is the same for the same form; told hears how much has gone out, in per cent.
 */
export async function uploaded(path, data, key, told = () => {}) {
  for (let tries = 0; ; tries += 1) {
    try {
      return await upload(path, data, key, told);
    } catch (refusal) {
      if (!(await waited(refusal, tries))) throw refusal;
    }
  }
}

/** One try to send; fetch cannot tell how much has gone out. */
function upload(path, data, key, told) {
  const request = new XMLHttpRequest();
  told(0);
  return new Promise((resolve, reject) => {
    request.upload.addEventListener("progress", ({ loaded, total }) => {
      if (total) told(Math.round((loaded / total) * 100));
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
    request.open("POST", BASE + path);
    const headers = { ...SPOKEN, "Idempotency-Key": key };
    for (const [name, value] of Object.entries(headers)) request.setRequestHeader(name, value);
    request.send(data);
  });
}

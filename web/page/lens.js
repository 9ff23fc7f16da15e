// The camera of the phone: opened, turned, closed, and a few pictures taken with it.

import { pause } from "./api.js";
import { gettext } from "./language.js";
import { jpeg } from "./pixels.js";

// Enough for an outline, and no more than a phone shows smoothly (judged). As the camera makes them:
// a browser that cuts pictures to a size would cut off her feet.
const WANTED = { width: { ideal: 2560 }, height: { ideal: 1920 }, resizeMode: "none" };
const PICTURES = 3;
// Between pictures of a burst, so that a sway is over (judged).
const BETWEEN_S = 0.25;
// A camera that has not answered by then does not (judged).
const LONGEST_S = 6;

/** Why there is no camera, in words; with the other ways beside them. */
const REASONS = {
  NotAllowedError: gettext("The browser was not allowed to use the camera. Allow it in the browser's settings for this page, and try again."),
  NotFoundError: gettext("No camera was found."),
  NotReadableError: gettext("The camera is in use by something else, or does not start."),
};

export const ENDED = gettext("The camera has ended. Close this and open it again.");
export const NOTHING = gettext("No picture came from the camera. Try again, or close this and use another way.");
const OTHER_WAYS = gettext("Choose a photo instead; on a phone, its own camera app with its timer takes one, too.");

/** Something that speaks against this way of taking a photo. */
export class NoCamera extends Error {
  constructor(sentence) {
    super(`${sentence} ${OTHER_WAYS}`);
  }
}

/** Open a camera: "environment" looks away from the screen, "user" to its side. */
export async function opened(facing) {
  if (!navigator.mediaDevices?.getUserMedia) {
    const why = window.isSecureContext
      ? gettext("This browser gives a page no camera.")
      : gettext("A page without https gets no camera.");
    throw new NoCamera(why);
  }
  try {
    return await navigator.mediaDevices.getUserMedia({
      audio: false,
      video: { facingMode: { ideal: facing }, ...WANTED },
    });
  } catch (problem) {
    throw new NoCamera(REASONS[problem.name] ?? gettext("The camera could not be opened."));
  }
}

/** Show what it sees; one that gives no picture in time is not waited for. */
export function watched(stream, video) {
  video.srcObject = stream;
  return Promise.race([video.play().catch(() => {}), pause(LONGEST_S)]);
}

/** Let go of it, so that its light goes out. */
export function closed(stream) {
  for (const track of stream?.getTracks() ?? []) track.stop();
}

/** Whether it looks to the screen's side, as the camera itself says, or as it was asked. */
export function looksBack(stream, asked) {
  return (stream.getVideoTracks()[0].getSettings().facingMode ?? asked) === "user";
}

/** Whether it still gives pictures. */
export const alive = (stream) => stream?.getVideoTracks()[0].readyState === "live";

/** A few pictures, as many as come, one after the other; wanted tells whether they still are. */
export async function burst(stream, video, wanted) {
  const still = stills(stream.getVideoTracks()[0]);
  const taken = [];
  for (let number = 0; number < PICTURES && wanted(); number += 1) {
    if (number) await pause(BETWEEN_S);
    taken.push((await still()) ?? (await frame(video)));
  }
  return taken.filter(Boolean);
}

/** A function that takes a photo at full size, or gives null once that has failed. */
function stills(track) {
  let capture = typeof ImageCapture === "undefined" ? null : new ImageCapture(track);
  return async () => {
    if (!capture) return null;
    const none = pause(LONGEST_S).then(() => null);
    const taken = await Promise.race([capture.takePhoto().catch(() => null), none]);
    if (!taken) capture = null;
    return taken;
  };
}

function frame(video) {
  if (!video.videoWidth) return null;
  const made = document.createElement("canvas");
  [made.width, made.height] = [video.videoWidth, video.videoHeight];
  made.getContext("2d").drawImage(video, 0, 0);
  return jpeg(made);
}

// Beeps and spoken words; without either, everything goes on in silence.

import { language } from "./language.js";

// About three words a second, and some time to begin; a voice does not always say when it has ended.
const [BEGINS_MS, LETTER_MS] = [700, 75];

const SPEECH = window.speechSynthesis;
let sound = null;

/** Whether this browser can speak. */
export const speaks = Boolean(SPEECH && window.SpeechSynthesisUtterance);

/** To be called in a tap: phones let a page sound only from then on. */
export function unlock() {
  try {
    sound ??= new AudioContext();
    sound.resume().catch(() => {});
  } catch {
    sound = null;
  }
}

/** A short tone. */
export function beep(hertz = 880, seconds = 0.12) {
  if (sound?.state !== "running") return;
  const [tone, level] = [sound.createOscillator(), sound.createGain()];
  tone.frequency.value = hertz;
  level.gain.setValueAtTime(0.4, sound.currentTime);
  level.gain.exponentialRampToValueAtTime(0.001, sound.currentTime + seconds);
  tone.connect(level).connect(sound.destination);
  tone.start();
  tone.stop(sound.currentTime + seconds);
}

/** A voice that speaks as the page is written; browsers may know theirs only after a while. */
function voice() {
  const speak = SPEECH.getVoices().filter(({ lang }) => lang.split(/[-_]/)[0] === language);
  return speak.find((one) => one.default) ?? speak[0] ?? null;
}

/** Say something aloud, in place of what was being said; resolves when it has been said. */
export function speak(text) {
  if (!speaks) return Promise.resolve();
  const said = new SpeechSynthesisUtterance(text);
  said.lang = language;
  said.voice = voice();
  SPEECH.cancel();
  return new Promise((resolve) => {
    said.addEventListener("end", resolve);
    said.addEventListener("error", resolve);
    setTimeout(resolve, BEGINS_MS + LETTER_MS * text.length);
    SPEECH.speak(said);
  });
}

/** Be silent. */
export function hush() {
  SPEECH?.cancel();
}

// What one dish weighs, and what a sum counts once: the same rules as on the server.
import { exactly } from "./exact.js";

// A dish that was counted and not weighed weighs its pieces through the weight of 100 seeds.
export function weightOf(row, grams) {
  const weighed = exactly(grams.value);
  const pieces = exactly(row.querySelector(".pieces").value);
  const hundred = exactly(document.getElementById("field-seed_weight_g_per_100").value);
  if (weighed !== null || row.dataset.seed !== "yes" || !pieces || !hundred) return weighed || 0n;
  return (pieces * hundred) / 100n / 10n ** 9n;
}

// Beans that lie in one dish and count in two are weighed twice in its dishes.
export function twice() {
  const both = exactly(document.getElementById("field-overlap_g-1-g").value);
  return both || 0n;
}

// Say it to screen readers; with a tick, or a low note where it was refused, for whoever switched sounds on.
export function say(words, isFine) {
  document.getElementById("heard").textContent = words;
  if (document.querySelector("form[data-pan]").dataset.sounds !== "yes") return;
  const audio = new AudioContext();
  const tone = audio.createOscillator();
  tone.frequency.value = isFine ? 1200 : 180;
  tone.connect(audio.destination);
  tone.start();
  tone.stop(audio.currentTime + (isFine ? 0.03 : 0.25));
}

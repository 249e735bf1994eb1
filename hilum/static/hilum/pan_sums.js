// What one dish weighs, and what a sum counts once: the same rules as on the server.
import { decimalsOf, exactly, written } from "./exact.js";

// A dish that was counted and not weighed weighs its pieces through the weight of 100 seeds.
function weightOf(row, grams) {
  const weighed = exactly(grams.value);
  const pieces = exactly(row.querySelector(".pieces").value);
  const hundred = exactly(document.getElementById("field-seed_weight_g_per_100").value);
  if (weighed !== null || row.dataset.seed !== "yes" || !pieces || !hundred) return weighed || 0n;
  return (pieces * hundred) / 100n / 10n ** 9n;
}

// Beans that lie in one dish and count in two are weighed twice in its dishes.
function twice() {
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

// Write the line under the dishes.
export function addUp() {
  const pan = document.querySelector("form[data-pan]");
  const [portion, sound] = ["#field-portion_g", "#field-sound_g"].map((id) => pan.querySelector(id));
  const rows = [...pan.querySelectorAll("[data-in=yes]")].map((row) => [row, row.querySelector(".grams")]);
  const dishes = rows.reduce((sum, [row, grams]) => sum + weightOf(row, grams), 0n) - twice();
  const whole = exactly(portion.value);
  const line = document.getElementById("closure");
  if (whole === null) return void (line.textContent = "");
  const gap = whole - dishes - (exactly(sound.value) || 0n);
  const places = Math.max(...[portion, sound, ...rows.map((each) => each[1])].map((field) => decimalsOf(field.value)));
  const sign = portion.value.includes(",") ? "," : ".";
  const show = (value) => written(value < 0n ? -value : value, places, sign);
  const closes = (gap < 0n ? -gap : gap) * 1000n <= whole;
  const said = pan.dataset.line.replace("PORTION", show(whole)).replace("DISHES", show(dishes)).replace("SOUND", show(exactly(sound.value) || 0n));
  const rest = (gap < 0n ? pan.dataset.more : pan.dataset.missing).replace("GAP", show(gap));
  line.textContent = `${closes ? "✓" : "✕"} ${said} ${rest}, ${closes ? pan.dataset.closes : pan.dataset.open}`;
}

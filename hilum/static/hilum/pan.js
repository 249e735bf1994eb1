// The pan: a letter goes to its dish, Enter takes the weight and goes on, +1 counts, F8 takes the last entry back.
// The line under the dishes is added up here and by the server alike; the server's word counts.
import { exactly } from "./exact.js";
import { keep } from "./pan_kept.js";
import { addUp, say } from "./pan_sums.js";
const pan = document.querySelector("form[data-pan]");
const BALANCE = 35; // ms: a letter that follows a figure so quickly is the unit that a balance types, and no key
const taken = []; // what F8 takes back, the newest last
const has = (field) => field && field.value.trim() !== "";
let last = { at: 0, isFigure: false };
let held = ["", null];

if (pan) begin();

function begin() {
  for (const one of pan.querySelectorAll("[hidden].tap, #back")) one.hidden = false;
  pan.querySelector("#check").hidden = true;
  pan.addEventListener("focusin", (event) => { held = [event.target.value, event.target]; });
  pan.addEventListener("change", (event) => accept(event.target));
  pan.addEventListener("input", addUp);
  pan.addEventListener("keydown", onEnter);
  pan.addEventListener("click", onTap);
  document.addEventListener("keydown", onLetter);
  if (keep(pan)) say(pan.dataset.kept, true);
  if (document.activeElement === document.body) (stops().find((field) => !has(field)) || stops()[0]).focus();
  addUp();
}

function stops() {
  return [...pan.querySelectorAll(".grams")];
}

function onLetter(event) {
  const isUnit = last.isFigure && event.timeStamp - last.at < BALANCE;
  last = { at: event.timeStamp, isFigure: /^[\d.,\s]$/.test(event.key) || isUnit };
  if (pan.dataset.letters !== "yes" || isUnit || event.ctrlKey || event.metaKey || event.altKey || event.key.length !== 1) return;
  const typesWords = event.target.closest("input:not([inputmode]):not([type=radio]):not([type=checkbox]), textarea, select");
  if (event.key === "?" && !typesWords) return explain(event);
  const dish = pan.querySelector(`[data-letter="${CSS.escape(event.key.toUpperCase())}"]`);
  if (!dish || typesWords) return;
  event.preventDefault();
  const field = dish.querySelector(".grams");
  field.focus();
  field.select();
}

// "?" opens what counts as the dish that the cursor is in, and shuts it again.
function explain(event) {
  const meaning = event.target.closest("[data-letter]")?.querySelector(".meaning");
  if (!meaning) return;
  event.preventDefault();
  meaning.open = !meaning.open;
}

function onEnter(event) {
  const place = stops().indexOf(event.target);
  if (event.key !== "Enter" || !(event.target instanceof HTMLInputElement)) return;
  last = { at: 0, isFigure: false };
  event.preventDefault(); // half a pan is never sent
  event.stopPropagation();
  const next = place < 0 ? null : stops()[place + 1] || pan.querySelector("[data-key=F2]");
  if (next) next.focus();
}

function onTap(event) {
  if (event.target.id === "back") return takeBack();
  const tap = event.target.closest(".tap");
  if (!tap) return;
  const field = tap.nextElementSibling;
  taken.push([field, field.value]);
  field.value = String((Number.parseInt(field.value, 10) || 0) + 1);
  field.dispatchEvent(new Event("input", { bubbles: true }));
  say(`${tap.closest("[data-letter]").querySelector("label").textContent} ${field.value}`, true);
}

function accept(field) {
  if (!field.matches("[inputmode]")) return;
  taken.push([field, held[1] === field ? held[0] : ""]);
  held = [field.value, field];
  field.value = field.value.replace(/g\s*$/i, "").trim();
  const isRead = !has(field) || exactly(field.value) !== null;
  say(isRead ? `${nameOf(field)} ${field.value}` : `${nameOf(field)} ${field.value} ${pan.dataset.refused}`, isRead);
  addUp();
}

function takeBack() {
  const [field, before] = taken.pop() || [];
  if (!field) return;
  field.value = before;
  held = [before, field];
  say(`${nameOf(field)} ${pan.dataset.back}`, true);
  addUp();
  field.focus();
}

function nameOf(field) {
  return field.getAttribute("aria-label") || (field.labels[0] ? field.labels[0].textContent.trim() : "");
}

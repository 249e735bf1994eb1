// A reader in keyboard mode is a very fast typist. Its burst is lifted out of whatever field it landed in and looked up:
// it fills a field of this page that asks for such a thing, else it opens the thing. Slow typing is left alone.
const GAP = 35; // ms between two signs; a person is slower. A station with an old reader sets data-gap on <body>.
const SHORTEST = 5;
// Cards on the wall press a button of the page: SAVE, TAKE BACK, PRINT AGAIN. Any other number is looked up.
const CARDS = { "000000013": "F2", "000000021": "F8", "000000037": "F4" };

// What a scale types when its key is pressed goes where the page wants a weight, wherever the cursor is.
const SCALE = /^\s*((ST|US|OL)\s*,\s*)?((GS|NT)\s*,\s*)?[+-]?\s*\d+([.,]\d+)?\s*(kg|lbs?|g|t|oz)?\s*$/i;

// A lot as it is written, with a bag behind it or without: behind what a field holds already it is a scan of its own.
const LOT = /^\d{2}-\d{4}-\d(\/\d{1,5})?$/;

let burst = "";
let last = 0;
let landed = null; // the field the burst began in, and what it held before

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const now = event.timeStamp;
  const gap = Number(document.body.dataset.gap) || GAP;
  if ((event.key === "Enter" || event.key === "Tab") && burst.length >= SHORTEST && now - last < gap * 2) return lift(event);
  if (event.key.length !== 1) return;
  if (now - last > gap) begin(event.target);
  burst += event.key;
  last = now;
  toScanLine(event);
}, true);

function begin(field) {
  burst = "";
  const isField = field instanceof HTMLInputElement || field instanceof HTMLTextAreaElement;
  landed = isField ? { field, before: field.value } : null;
}

// Where nothing has the focus, typing belongs to the scan line whatever its signs.
function toScanLine(event) {
  const line = document.getElementById("scan");
  const nothing = document.activeElement === null || document.activeElement === document.body;
  if (!line || !nothing) return;
  if (line.value) line.select();
  landed = { field: line, before: "" };
  line.focus();
  if (event.key === "/" && burst === "/") event.preventDefault();
}

function lift(event) {
  const line = document.getElementById("scan");
  const typed = burst;
  const scanned = /^https?:|^\d{7,}$/.test(typed) || (landed?.before && LOT.test(typed)) || (landed && landed.field === line);
  burst = "";
  const scale = !scanned || landed?.field === line ? document.querySelector("[data-scale]") : null;
  if (scale && !/^\d{7,}$/.test(typed) && SCALE.test(typed)) return weighed(event, scale, typed);
  if (!scanned || !line) return;
  event.preventDefault();
  event.stopPropagation();
  const inLine = landed && landed.field === line;
  if (landed && !inLine) landed.field.value = landed.before;
  const meant = inLine ? line.value || typed : typed;
  if (inLine && document.querySelector("[data-scan]")) line.value = ""; // the next scan must not be joined to this one
  look(meant);
}

// The reading stands in its field, and the cursor in the field after it.
function weighed(event, field, typed) {
  event.preventDefault();
  event.stopPropagation();
  if (landed) landed.field.value = landed.before;
  field.value = typed.trim();
  field.dispatchEvent(new Event("change", { bubbles: true }));
  const fields = [...field.form.querySelectorAll("input:not([type=hidden])")];
  fields[fields.indexOf(field) + 1]?.focus();
}

async function look(typed) {
  const button = CARDS[typed] && document.querySelector(`[data-key="${CARDS[typed]}"]`);
  if (button) {
    if (document.getElementById("scan").value === typed) document.getElementById("scan").value = "";
    return button.click();
  }
  const open = `${document.getElementById("scan").form.action}?q=${encodeURIComponent(typed)}`;
  if (!document.querySelector("[data-scan]")) return location.assign(open);
  const meant = await (await fetch(`/scan?q=${encodeURIComponent(typed)}`)).json();
  const fields = meant.kind ? [...document.querySelectorAll(`[data-scan~="${meant.kind}"]`)] : [];
  const field = fields.find((one) => !one.value.trim() || one.dataset.many !== undefined) || fields[0];
  if (!field) return location.assign(open);
  if (field.dataset.ask && field.value.trim() && field.value !== meant.name)
    return location.assign(`${field.dataset.ask}?lot=${encodeURIComponent(field.value)}&also=${encodeURIComponent(meant.name)}`);
  const many = field.dataset.many !== undefined && field.value.trim();
  field.value = many ? `${field.value}, ${meant.name}` : meant.name;
  field.dispatchEvent(new Event("change", { bubbles: true }));
  (fields.find((one) => !one.value.trim()) || field).focus(); // where more of this kind are asked for, on to the next
  if (field.dataset.go !== undefined) go(field.form);
}

// The last scan sends the form once the fields that take scans are all filled.
function go(form) {
  if ([...form.querySelectorAll("[data-scan]")].every((one) => one.value.trim())) form.requestSubmit();
}

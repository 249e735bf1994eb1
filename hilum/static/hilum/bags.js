// Counts bags on the spot: the buttons, their keys, or a scan of the lot that is bagged, each one bag. Without a script the
// buttons ask the server. What was counted stands in the address too, so that a page that is opened again goes on.
const count = document.querySelector("#field-count");
const lot = document.querySelector("#field-lot");
const scanned = document.querySelector("[data-counts]");
const told = document.querySelector("#counted");

function step(by) {
  count.value = Math.max(0, (parseInt(count.value, 10) || 0) + by);
  say("");
  count.dispatchEvent(new Event("change", { bubbles: true }));
  const kept = new URLSearchParams({ lot: lot.value, count: count.value });
  history.replaceState(null, "", `?${kept}`);
}

function say(words) {
  told.textContent = words;
  told.hidden = !words;
}

for (const button of document.querySelectorAll("[data-step]")) {
  button.addEventListener("click", (event) => {
    event.preventDefault();
    step(Number(button.dataset.step));
  });
}

// A scan fills the hidden field; the first names the lot, each further one of it is a bag.
scanned.addEventListener("change", (event) => {
  event.stopPropagation();
  const number = scanned.value.split("/")[0];
  if (!lot.value.trim()) {
    lot.value = number;
    lot.dispatchEvent(new Event("change", { bubbles: true }));
  } else if (lot.value.trim() === number) {
    step(1);
  } else {
    say(`✕ ${told.dataset.other} ${number}`);
  }
});

// Keys for gloves and keypads: F2 saves, F4 prints, F8 takes back, others as written on their buttons; "/" goes to the scan line, Enter goes to the next field.
// Whoever has no script presses the buttons: every key is a button's own, written on it.
const KEY = /^F\d{1,2}$/;

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (KEY.test(event.key)) {
    const button = document.querySelector(`[data-key="${event.key}"]`);
    if (!button) return;
    event.preventDefault();
    button.click();
    return;
  }
  const form = event.target instanceof HTMLInputElement ? event.target.closest("form[data-keys]") : null;
  if (event.key === "Enter" && form && !["checkbox", "radio", "submit"].includes(event.target.type)) {
    event.preventDefault();
    next(form, event.target);
  }
});

function next(form, field) {
  const stops = [...form.querySelectorAll("input:not([type=hidden]), textarea, select, button:not([data-aside]), summary")]
    .filter((one) => !one.disabled && one.tabIndex >= 0 && one.offsetParent); // what is folded away takes no focus
  const after = stops[stops.indexOf(field) + 1];
  if (after) after.focus();
}

// A form that came back says first what stands in the way.
const wrong = document.querySelector("[data-focus]");
if (wrong) wrong.focus();

// One press, one save: the key on the form makes a second press harmless, this makes it invisible.
document.addEventListener("submit", (event) => {
  if (event.target.dataset.sent) event.preventDefault();
  event.target.dataset.sent = "yes";
  setTimeout(() => delete event.target.dataset.sent, 4000);
});

// A pan that was left half picked, by a scan of another tag or a closed lid, comes back as it was typed: kept in this
// window and for this person alone until the pan is closed, never sent anywhere.
const LEFT_OUT = ["csrfmiddlewaretoken", "key", "corrects", "class_name", "rule_set"];

// Keep what is typed from now on; answer whether something typed before was put back.
export function keep(pan) {
  const name = `pan ${document.querySelector(".who").textContent.trim()} ${location.pathname}`;
  const isFresh = !pan.querySelector(".errors, [name=corrects][value]:not([value=''])");
  const filled = isFresh && put(pan, JSON.parse(sessionStorage.getItem(name) || "[]"));
  pan.addEventListener("input", () => sessionStorage.setItem(name, JSON.stringify(typedIn(pan))));
  pan.addEventListener("submit", () => sessionStorage.removeItem(name));
  return filled;
}

function typedIn(pan) {
  return [...new FormData(pan)].filter(([field, value]) => !LEFT_OUT.includes(field) && value !== "");
}

function put(pan, typed) {
  const empty = [...pan.querySelectorAll(".grams")].every((field) => field.value === "");
  if (!empty) return false;
  for (const [name, value] of typed) {
    for (const field of pan.querySelectorAll(`[name="${CSS.escape(name)}"]`)) {
      if (["radio", "checkbox"].includes(field.type)) field.checked = field.value === value;
      else field.value = value;
    }
  }
  return typed.some(([name]) => name.startsWith("weights_g.") || name.endsWith("_g"));
}

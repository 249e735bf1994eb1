// A file dropped anywhere on the page goes into its field; one that is too large is named before a byte of it is sent.
const form = document.querySelector("form[data-drop]");
if (form) {
  const field = form.querySelector("input[type=file]");
  const wrong = form.querySelector("[data-too-large]");

  const fits = () => {
    const large = [...field.files].some((file) => file.size > Number(form.dataset.most));
    wrong.hidden = !large;
    wrong.textContent = large ? wrong.dataset.tooLarge : "";
    return !large;
  };

  const over = (on) => form.classList.toggle("over-it", on);
  document.addEventListener("dragover", (event) => { event.preventDefault(); over(true); });
  document.addEventListener("dragleave", (event) => { if (!event.relatedTarget) over(false); });
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    over(false);
    if (!event.dataTransfer.files.length) return;
    field.files = event.dataTransfer.files;
    field.dispatchEvent(new Event("change"));
    if (fits()) form.requestSubmit();
  });
  field.addEventListener("change", fits);
  form.addEventListener("submit", (event) => { if (!fits()) { event.preventDefault(); event.stopImmediatePropagation(); field.focus(); } });
}

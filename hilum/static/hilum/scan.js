// A reader in keyboard mode types as a person does: where nothing has the focus, its burst belongs to the scan line.
document.addEventListener("keydown", (event) => {
  const line = document.getElementById("scan");
  const nothingFocused = document.activeElement === null || document.activeElement === document.body;
  if (!line || !nothingFocused || event.key.length !== 1 || event.ctrlKey || event.metaKey || event.altKey) return;
  if (line.value && document.activeElement !== line) line.select();
  line.focus();
  if (event.key === "/" && !line.value) event.preventDefault();
});

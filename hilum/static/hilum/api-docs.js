// Lays out the description of the API; a key is typed by "Authorize" and stays on this page.
const place = document.getElementById("description");
window.SwaggerUIBundle({
  domNode: place,
  url: place.dataset.document,
  docExpansion: "none",
  deepLinking: true,
  filter: true,
  validatorUrl: null,
});

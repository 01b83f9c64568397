/* Keeps the Today page quiet while it looks again: what was opened stays open, a failure is said. */
const stale = document.getElementById("stale");
const opened = new Map();
document.getElementById("by-itself")?.removeAttribute("hidden");

document.addEventListener("htmx:beforeRequest", (event) => {
  if (document.hidden) event.preventDefault();
});
document.addEventListener("visibilitychange", () => {
  if (!document.hidden) htmx.trigger("#today", "look-now");
});
document.addEventListener("htmx:beforeSwap", (event) => {
  const { xhr, shouldSwap } = event.detail;
  if (!shouldSwap) return;
  if (new URL(xhr.responseURL, location.href).pathname === location.pathname) {
    for (const details of document.querySelectorAll("#today details"))
      opened.set(details.id, details.open);
    return;
  }
  // Signed out meanwhile: the answer is another page, so go there as a whole.
  event.detail.shouldSwap = false;
  location.reload();
});
document.addEventListener("htmx:afterSwap", () => {
  for (const [id, open] of opened) {
    const details = document.getElementById(id);
    if (details) details.open = open;
  }
});
for (const name of ["htmx:sendError", "htmx:responseError", "htmx:timeout"]) {
  document.addEventListener(name, () => {
    stale.hidden = false;
  });
}
document.addEventListener("htmx:afterOnLoad", (event) => {
  if (event.detail.xhr.status < 400) stale.hidden = true;
});

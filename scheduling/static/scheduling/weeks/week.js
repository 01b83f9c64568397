/* Opens what htmx has fetched: forms in a dialog, explanations in the panel. All links work without it. */
document.addEventListener("htmx:afterSwap", (event) => {
  const target = event.detail.target;
  if (target.id === "dialog" && !target.open) target.showModal();
  if (target.id === "panel") {
    target.parentElement.scrollTop = 0;
    if (target.getBoundingClientRect().top > window.innerHeight - 100) target.scrollIntoView();
    target.querySelector("h2")?.focus({ preventScroll: true });
  }
});
document.addEventListener("click", (event) => {
  if (!event.target.closest("[data-close]")) return;
  const dialog = event.target.closest("dialog");
  const panel = event.target.closest("#panel");
  if (!dialog && !panel) return;
  event.preventDefault();
  if (dialog) dialog.close();
  else panel.replaceChildren();
});

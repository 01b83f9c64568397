/* One key for each answer, on the thing that has the focus. Every form works without this. */
const asks = () => [...document.querySelectorAll("[data-ask]")];
const show = (ask) => {
  for (let box = ask.closest("details"); box; box = box.parentElement.closest("details"))
    box.open = true;
  ask.focus();
  ask.scrollIntoView({ block: "nearest" });
};
const here = () => document.activeElement.closest("[data-ask]");
const step = (by) => {
  const all = asks();
  const at = all.indexOf(here());
  const next = all[at < 0 ? 0 : at + by];
  if (next) show(next);
};
const press = (key) => {
  const ask = here();
  const call = document.activeElement.closest("[data-call]");
  if (key === "n" && call) return call.querySelector('[data-key="n"]')?.click();
  const control = ask?.querySelector(`[data-key="${key}"]`);
  if (!control) return;
  if (key === "d") control.click();
  else if (key === "b") control.focus();
  else {
    const box = control.closest("details");
    box.open = true;
    box.querySelector("input[name=note]").focus();
  }
};
const isTyping = (target) => target.closest("input, select, textarea");
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.repeat) return;
  if (isTyping(event.target)) {
    if (event.key === "Escape") here()?.focus();
    return;
  }
  const key = event.key.toLowerCase();
  if (key === "j" || key === "k") step(key === "j" ? 1 : -1);
  else if ("dbtn".includes(key)) press(key);
  else return;
  event.preventDefault();
});
document.querySelectorAll(".with-script").forEach((hint) => {
  hint.hidden = false;
});
document.querySelectorAll(".without-script").forEach((hint) => {
  hint.hidden = true;
});
const target = location.hash.startsWith("#ask-") && document.getElementById(location.hash.slice(1));
if (target) show(target);

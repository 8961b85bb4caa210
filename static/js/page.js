// What every page wants: a form that is sent once, and the eye on what went wrong.

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  if (form.method === "post" && !form.hasAttribute("hx-post")) {
    form.dataset.sent = "yes";
    for (const button of form.querySelectorAll("button[type=submit]")) button.setAttribute("aria-busy", "true");
  }
});

// A page brought back by the Back button can send its forms again.
window.addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-sent]")) {
    delete form.dataset.sent;
    for (const button of form.querySelectorAll("[aria-busy]")) button.removeAttribute("aria-busy");
  }
});

document.querySelector("[data-focus]")?.focus();

// “All of them”: one tick for a whole list, and the count of those ticked.
const count = (list) => {
  const ticked = list.querySelectorAll("input[data-tick]:checked").length;
  for (const place of document.querySelectorAll("[data-ticked-count]")) place.textContent = ticked;
};
document.addEventListener("change", (event) => {
  const list = event.target.closest("[data-ticks]");
  if (!list) return;
  if (event.target.matches("[data-tick-all]")) {
    for (const box of list.querySelectorAll("input[data-tick]")) box.checked = event.target.checked;
  }
  count(list);
});

// Asks before a form that was typed in is left without being sent.

const typed = new Set();
document.addEventListener("input", (event) => {
  const form = event.target.closest("form.form[method=post]");
  if (form) typed.add(form);
});
document.addEventListener("submit", (event) => typed.delete(event.target));
window.addEventListener("beforeunload", (event) => {
  if (typed.size) event.preventDefault();
});

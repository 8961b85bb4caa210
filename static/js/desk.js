// What is usual for one channel (its place, how it is paid) is taken out when another is chosen.

document.addEventListener("change", (event) => {
  if (!event.target.matches(".desk [name=channel]")) return;
  const form = event.target.form;
  for (const field of form.querySelectorAll("[data-usual]")) {
    const isUsual = field.dataset.usual === event.target.value;
    if (field.type === "radio") {
      const isUntouched = field.checked || !form.querySelector(`[name="${field.name}"]:checked`);
      if (field.defaultChecked && isUntouched) field.checked = isUsual;
    } else if (field.value === field.defaultValue || field.value === "") {
      field.value = isUsual ? field.defaultValue : "";
    }
  }
});

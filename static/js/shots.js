// Photos before they are sent: shown small, taken one after the other, put back again.

const show = (input, list) => {
  for (const file of input.files) {
    const item = document.createElement("li");
    const picture = document.createElement("img");
    picture.alt = file.name;
    picture.src = URL.createObjectURL(file);
    picture.addEventListener("error", () => picture.replaceWith(file.name));
    item.append(picture);
    item.dataset.of = input.dataset.shot;
    list.append(item);
  }
  const back = document.createElement("button");
  back.type = "button";
  back.className = "button-link";
  back.textContent = input.files.length > 1 ? `Not these ${input.files.length}` : "Not this one";
  back.addEventListener("click", () => {
    for (const item of list.querySelectorAll(`[data-of="${input.dataset.shot}"]`)) item.remove();
    input.remove();
    list.hidden = !list.children.length;
  });
  list.lastElementChild.append(back);
  list.hidden = false;
};

let taken = 0;
for (const shots of document.querySelectorAll("[data-shots]")) {
  const list = shots.querySelector("[data-shots-taken]");
  shots.classList.add("is-live");
  shots.addEventListener("change", (event) => {
    const input = event.target;
    if (!input.files?.length) return;
    // A file input forgets its files when it is used again: the next shot gets a new one.
    const next = input.cloneNode();
    next.value = "";
    input.before(next);
    input.removeAttribute("id");
    input.hidden = true;
    input.dataset.shot = String((taken += 1));
    show(input, list);
  });
}

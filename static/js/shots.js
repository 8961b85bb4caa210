// Photos before they are sent: shown small, taken one after the other, put back again; and weighed,
// since the shop refuses a form of more than 32 MiB, and with it whatever was typed.

const MB = 1024 * 1024;
const MOST_AT_ONCE_MB = 30; // the rest of the form has to fit as well
const MOST_A_PHOTO_MB = 25;

// What is too much, and what to do about it; nothing when all of it can be sent.
const complaint = (form) => {
  const files = [...form.querySelectorAll("input[type=file]")].flatMap((it) => [...it.files]);
  const large = files.find((file) => file.size > MOST_A_PHOTO_MB * MB);
  if (large) {
    return `${large.name} is ${Math.ceil(large.size / MB)} MB: a photo may have ${MOST_A_PHOTO_MB} MB at most. Take it out and choose a smaller copy.`;
  }
  const total = files.reduce((sum, file) => sum + file.size, 0);
  if (total <= MOST_AT_ONCE_MB * MB) return "";
  return `These photos are ${Math.ceil(total / MB)} MB together: send at most ${MOST_AT_ONCE_MB} MB at once. Take some out, and add them once this is saved.`;
};

// Say so beside the photos; returns the element that says it.
const weigh = (form) => {
  const words = form ? complaint(form) : "";
  let place = form?.querySelector("[data-shots-error]");
  if (!words) {
    place?.remove();
    return null;
  }
  if (!place) {
    place = document.createElement("p");
    place.className = "error";
    place.dataset.shotsError = "";
    place.setAttribute("role", "alert");
    place.tabIndex = -1;
    form.querySelector("[data-shots-taken]").before(place);
  }
  // Said again only when it has changed, or it would be read out at every photo.
  if (place.textContent !== words) place.textContent = words;
  return place;
};

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
    const { form } = input;
    input.remove();
    list.hidden = !list.children.length;
    weigh(form);
  });
  list.lastElementChild.append(back);
  list.hidden = false;
};

let taken = 0;
for (const shots of document.querySelectorAll("[data-shots]")) {
  const list = shots.querySelector("[data-shots-taken]");
  const form = shots.closest("form");
  // Before any other listener: a form that stays here is neither sent nor left.
  form?.addEventListener("submit", (event) => {
    const place = weigh(form);
    if (!place) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    place.scrollIntoView({ block: "center" }); // clear of the button that stays at the foot
    place.focus({ preventScroll: true });
  }, { capture: true });
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
    weigh(form);
  });
}

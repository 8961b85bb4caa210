// “Use this phone’s place”: asks the phone only when the button is pressed.

for (const place of document.querySelectorAll("[data-place]")) {
  const button = place.querySelector("[data-place-ask]");
  const words = place.querySelector("[data-place-words]");
  const field = document.getElementById(place.dataset.place);
  if (!window.isSecureContext || !navigator.geolocation) {
    words.textContent = "A browser gives the phone’s place only to a page opened over HTTPS, and this one is not. Copy the figures from the phone’s map instead.";
    continue;
  }
  button.hidden = false;
  button.addEventListener("click", () => {
    words.textContent = "Asking the phone…";
    button.disabled = true;
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        field.value = `${coords.latitude.toFixed(6)}, ${coords.longitude.toFixed(6)}`;
        words.textContent = `Within about ${Math.round(coords.accuracy)} m. Only you see it.`;
        button.disabled = false;
      },
      (problem) => {
        words.textContent = problem.code === problem.PERMISSION_DENIED
          ? "The phone did not give its place: allow it in the browser’s settings, or copy the figures from a map."
          : "The phone does not know its place just now: try once more under open sky.";
        button.disabled = false;
      },
      { enableHighAccuracy: true, timeout: 20000, maximumAge: 60000 },
    );
  });
}

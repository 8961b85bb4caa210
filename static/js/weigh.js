// The weigh round: what is typed half survives a phone that locks, and a code can be scanned.

const form = document.querySelector("form[data-weigh]");

// What was typed, by round and piece; forgotten once the mass is kept, or the round is over.

const drafts = {
  key: (round, piece) => `weigh ${round} ${piece}`,
  read(key) {
    try {
      return JSON.parse(localStorage.getItem(key)) ?? {};
    } catch {
      return {};
    }
  },
  write(key, draft) {
    try {
      localStorage.setItem(key, JSON.stringify(draft));
    } catch {
      // A browser that keeps nothing for us: the page works without.
    }
  },
  forget(prefix) {
    try {
      for (const key of Object.keys(localStorage)) {
        if (key.startsWith(prefix)) localStorage.removeItem(key);
      }
    } catch {
      // As above.
    }
  },
};

const ended = document.querySelector("[data-weigh-ended]");
if (ended) drafts.forget(`weigh ${ended.dataset.weighEnded} `);

if (form) {
  const round = form.dataset.weigh;
  const [number, mass, offered] = ["number", "mass_g", "offered"].map((name) => form.elements[name]);
  const own = drafts.key(round, offered.value);
  if (form.dataset.kept) drafts.forget(drafts.key(round, form.dataset.kept));
  // Loaded again, the page neither forgets what is typed from here on nor sends a form anew.
  history.replaceState(history.state, "", form.dataset.home);
  if (!("typed" in form.dataset)) {
    const draft = drafts.read(own);
    if (draft.mass) mass.value = draft.mass;
    if (draft.number) number.value = draft.number;
  }
  form.addEventListener("input", () => drafts.write(own, { number: number.value, mass: mass.value }));
  if (!document.querySelector("[data-focus]")) mass.focus();
  offerToScan(number, mass);
}

// Scanning: only where the browser reads codes by itself and lets a page use the camera.

async function offerToScan(number, mass) {
  const button = form.querySelector("[data-scan]");
  const picture = form.querySelector("[data-scan-picture]");
  const words = form.querySelector("[data-scan-words]");
  if (!window.isSecureContext || !("BarcodeDetector" in window) || !navigator.mediaDevices?.getUserMedia) return;
  const formats = await BarcodeDetector.getSupportedFormats().catch(() => []);
  if (!formats.includes("qr_code")) return;
  const detector = new BarcodeDetector({ formats: ["qr_code"] });
  let stream = null;

  const say = (sentence) => {
    words.textContent = sentence;
    words.hidden = !sentence;
  };
  const stop = () => {
    for (const track of stream?.getTracks() ?? []) track.stop();
    stream = null;
    picture.srcObject = null;
    picture.hidden = true;
    button.textContent = "Scan";
  };
  const look = async () => {
    if (!stream) return;
    const found = await detector.detect(picture).catch(() => []);
    if (!stream) return;
    if (!found.length) {
      setTimeout(look, 200);
      return;
    }
    number.value = found[0].rawValue;
    number.dispatchEvent(new Event("input", { bubbles: true }));
    stop();
    say("Read. Now the mass.");
    mass.focus();
  };
  button.addEventListener("click", async () => {
    if (stream) {
      stop();
      say("");
      return;
    }
    try {
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    } catch {
      say("The camera can't be used here: type the number.");
      return;
    }
    picture.srcObject = stream;
    picture.hidden = false;
    button.textContent = "Stop";
    say("Hold the code of the tag before the camera.");
    await picture.play().catch(() => {});
    look();
  });
  document.addEventListener("visibilitychange", () => document.hidden && stop());
  button.hidden = false;
}

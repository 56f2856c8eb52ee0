// A station's page: what is scanned comes to hand, what is pressed is sent, or kept while the server is away.
import { outbox } from "./outbox.js";
import { scanning } from "./scan.js";

const caught = document.getElementById("caught");
const station = document.body.dataset.station;

function show(words) {
  if (!caught) return;
  caught.textContent = words;
  caught.hidden = false;
  clearTimeout(show.timer);
  show.timer = setTimeout(() => {
    caught.hidden = true;
  }, 2000);
}

// two sounds, told apart without looking
function sound(good) {
  const Kind = window.AudioContext;
  if (!Kind || navigator.userActivation?.hasBeenActive === false) return;
  try {
    const context = new Kind();
    const tone = context.createOscillator();
    const level = context.createGain();
    level.gain.value = 0.08;
    tone.frequency.value = good ? 880 : 196;
    tone.type = good ? "sine" : "square";
    tone.connect(level).connect(context.destination);
    tone.start();
    tone.stop(context.currentTime + (good ? 0.12 : 0.5));
    tone.onended = () => context.close();
  } catch {
    // a tablet without sound
  }
}

const answer = document.getElementById("answer");
if (answer) sound(answer.dataset.done === "yes");

document.addEventListener("scanned", (event) => {
  if (!document.getElementById("hand") && !document.querySelector("form.act")) return;
  const taking = document.querySelector("[data-takes-scan]");
  if (taking && taking.value === "") {
    taking.value = event.detail; // the sheet waits for a second piece: this is it
    taking.dispatchEvent(new Event("input", { bubbles: true }));
    show(event.detail);
    return;
  }
  show(event.detail);
  const now = new URL(location.href);
  const next = new URL("/scan", location.href);
  next.searchParams.set("code", event.detail);
  if (station && station !== "any") next.searchParams.set("station", station);
  const subject = document.querySelector('form.act input[name="subject"]')?.value ?? now.searchParams.get("subject");
  if (subject) next.searchParams.set("subject", subject);
  for (const one of document.querySelectorAll('form.act input[name="also"]')) next.searchParams.append("also", one.value);
  for (const [name, value] of now.searchParams) if (name.startsWith("b_")) next.searchParams.set(name, value);
  location.assign(next);
});

function fieldsOf(form, button) {
  const data = new FormData(form, button);
  const counter = Number(localStorage.getItem("counter") ?? "0") + 1;
  localStorage.setItem("counter", String(counter));
  let device = localStorage.getItem("device");
  if (!device) {
    const bytes = crypto.getRandomValues(new Uint8Array(8));
    device = `T-${[...bytes].map((b) => b.toString(16).padStart(2, "0")).join("")}`;
    localStorage.setItem("device", device);
  }
  data.set("device", device);
  data.set("counter", String(counter));
  return [...data.entries()].filter(([, value]) => !(value instanceof File && value.size === 0));
}

// A key that was sent is never used for something else: a page that is shown again makes its own.
function freshKey(fields) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  const key = [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
  return fields.map(([name, value]) => (name === "key" ? [name, key] : [name, value]));
}

let used = false;
const loaded = performance.now();

for (const form of document.querySelectorAll("form.act")) {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    let fields = fieldsOf(form, event.submitter);
    if (used) fields = freshKey(fields);
    used = true;
    const pressed = Date.now() / 1000;
    const clock = Math.floor(Number(document.body.dataset.clock) + (performance.now() - loaded) / 1000);
    const waiting = await outbox.all().catch(() => []);
    if (waiting.length > 0) {
      await keep(form.action, fields, pressed, clock);
      return;
    }
    const body = new FormData();
    for (const [name, value] of fields) body.append(name, value);
    let said;
    try {
      const got = await fetch(form.action, {
        method: "POST",
        body,
        headers: { Accept: "application/json" },
        credentials: "same-origin",
        redirect: form.getAttribute("action").startsWith("/inspect") ? "follow" : "error",
      });
      if (got.redirected) {
        location.assign(got.url);
        return;
      }
      said = await got.json();
      if (got.status >= 500) throw new Error("away");
    } catch {
      await keep(form.action, fields, pressed, clock);
      return;
    }
    if (said.address) {
      location.assign(said.address);
    } else {
      wrong(form, said);
    }
  });
}

async function keep(action, fields, pressed, clock) {
  try {
    await outbox.keep(action, fields, pressed, clock);
    show(document.body.dataset.kept ?? "kept on this tablet");
    outbox.send();
  } catch {
    show(document.body.dataset.notKept ?? "not kept: write it on paper");
  }
}

// With nothing in hand the page follows the floor; with something in hand it stands still.
let seen = null;

async function follow() {
  if (location.search !== "" || scanning() || document.activeElement?.closest("input, textarea, select, details")) return;
  try {
    const answer = await fetch("/health", { credentials: "same-origin" });
    const { events } = await answer.json();
    if (seen !== null && events !== seen) location.reload();
    seen = events;
  } catch {
    // the server is away: the page stays as it is
  }
}

if (station && station !== "any") {
  follow();
  setInterval(follow, 10000);
}

function wrong(form, said) {
  const place = form.querySelector(".notice.broken") ?? document.createElement("div");
  place.className = "notice broken";
  place.setAttribute("role", "alert");
  place.textContent = said.do ? `${said.must_be ?? ""}: ${said.do}` : (said.text ?? "");
  form.prepend(place);
  sound(false);
}

// Keys, the clock, and whatever a scanner types, wherever on a page it is typed.
import { catchScans } from "./scan.js";
import { outbox } from "./outbox.js";

const go = { w: "/", s: "/stations", t: "/trouble", a: "/wall" };
let before = "";

function writing(target) {
  return target instanceof HTMLElement && target.closest("input, textarea, select") !== null;
}

function press(name, value) {
  const button = document.querySelector(`.foot button[name="${name}"][value="${value}"]`);
  if (button) button.click();
}

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Escape" && writing(event.target)) {
    event.target.blur();
    return;
  }
  if (writing(event.target)) return;
  if (before === "g" && go[event.key]) {
    event.preventDefault();
    location.assign(go[event.key]);
  } else if (event.key === "/") {
    event.preventDefault();
    document.getElementById("find")?.focus();
  } else if (event.key === "?") {
    location.assign("/keys");
  } else if (event.key === "l") {
    const looks = ["as-set", "light", "dark"];
    const now = document.documentElement.dataset.look ?? "as-set";
    press("look", looks[(looks.indexOf(now) + 1) % looks.length]);
  }
  before = event.key === "g" ? "g" : "";
});

catchScans((code) => {
  document.dispatchEvent(new CustomEvent("scanned", { detail: code }));
});

document.addEventListener("scanned", (event) => {
  if (document.body.dataset.station !== undefined && document.querySelector("#hand, form.act")) return; // the station's own
  location.assign(`/scan?code=${encodeURIComponent(event.detail)}`);
});

outbox.show();
outbox.send();
window.addEventListener("online", () => outbox.send());
setInterval(() => outbox.send(), 5000);

if ("serviceWorker" in navigator && window.isSecureContext) {
  navigator.serviceWorker.register("/sw.js").catch(() => undefined);
}

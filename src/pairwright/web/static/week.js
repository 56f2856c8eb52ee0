// While the plan is being made: how far it is; and the page again when it is there.
const bar = document.getElementById("planning-bar");
const stage = document.getElementById("planning-stage");

async function look() {
  const answer = await fetch("/api/plan", { credentials: "same-origin" });
  const found = await answer.json();
  if (found.stand !== "working") {
    location.reload();
    return;
  }
  stage.textContent = found.stage;
  if (found.of > 0) bar.value = found.done / found.of;
  else bar.removeAttribute("value");
  setTimeout(() => look().catch(() => setTimeout(look, 3000)), 700);
}

if (bar && stage) setTimeout(() => look().catch(() => undefined), 700);

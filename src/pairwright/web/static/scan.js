// A scanner is a fast keyboard: it types a prefix, the code and Enter, whatever has the focus.
// What it types never reaches a field; what a person types does.

const BEGINNINGS = (document.body.dataset.beginnings ?? "PW1:").split(" "); // as printed, and as other keyboards make it
const LENGTH = 4; // of each of them
// Longest time between two of a scanner's keys [ms]; it needs 7 to 16, a busy tablet more. Once the beginning is whole
// nobody else is typing, and there is time.
const PAUSE = 400;
const PATIENCE = 2000;

let held = "";

// Whether a scanner is in the middle of a code.
export function scanning() {
  return held !== "";
}

export function catchScans(found) {
  let last = 0;
  let field = null;
  let had = "";

  const pause = () => (held.length >= LENGTH ? PATIENCE : PAUSE);

  document.addEventListener(
    "keydown",
    (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      const now = performance.now();
      if (held && now - last > pause()) give();
      if (event.key === "Shift") return;
      last = now;
      if (held.length >= LENGTH && event.key === "Enter") {
        event.preventDefault();
        event.stopImmediatePropagation();
        const code = held;
        held = "";
        found(code);
        return;
      }
      if (event.key.length !== 1) {
        give();
        return;
      }
      const next = held + event.key;
      if (next.length > LENGTH || BEGINNINGS.some((one) => one.startsWith(next))) {
        if (held === "") {
          field = event.target;
          had = field && "value" in field ? field.value : "";
        }
        held = next;
        event.preventDefault();
        event.stopImmediatePropagation();
        clearTimeout(catchScans.timer);
        catchScans.timer = setTimeout(give, pause());
      } else {
        give();
      }
    },
    true,
  );

  // It was a person after all: what was held back goes where it was typed.
  function give() {
    clearTimeout(catchScans.timer);
    if (held && field && "value" in field && document.activeElement === field && field.value === had) {
      field.setRangeText(held, field.selectionStart ?? had.length, field.selectionEnd ?? had.length, "end");
      field.dispatchEvent(new Event("input", { bubbles: true }));
    }
    held = "";
    field = null;
  }
}

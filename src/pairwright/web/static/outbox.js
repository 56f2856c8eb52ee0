// What was pressed while the server was away: kept on this tablet in order, sent in order, each under its own key.
// Nothing is called recorded before the server has said so.

const NAME = "pairwright";
const STORE = "acts";
const OLD = 3600; // from this age on it is shown as broken [s]
const LATE = 120; // sent so much later, the time of pressing goes with it [s]

function open() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "number", autoIncrement: true });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

async function within(mode, act) {
  const base = await open();
  try {
    return await new Promise((resolve, reject) => {
      const work = base.transaction(STORE, mode);
      const asked = act(work.objectStore(STORE));
      work.oncomplete = () => resolve(asked.result);
      work.onerror = () => reject(work.error);
      work.onabort = () => reject(work.error);
    });
  } finally {
    base.close();
  }
}

async function post(act, form) {
  return fetch(act.action, {
    method: "POST",
    body: form,
    headers: { Accept: "application/json" },
    credentials: "same-origin",
    redirect: "error",
  });
}

function formOf(act) {
  const form = new FormData();
  for (const [name, value] of act.fields) form.append(name, value);
  const token = document.querySelector("meta[name=token]")?.content;
  if (token) form.set("pw_token", token);
  if (Date.now() / 1000 - act.pressed > LATE && act.clock) {
    form.set("at", String(act.clock));
  }
  return form;
}

let sending = false;

export const outbox = {
  // Keep an act; it is on the disk when this returns.
  async keep(action, fields, pressed, clock) {
    await within("readwrite", (store) => store.add({ action, fields, pressed, clock }));
    await this.show();
  },

  async all() {
    return within("readonly", (store) => store.getAll());
  },

  // Send what is kept, the oldest first; the first that does not arrive stops the rest.
  async send() {
    if (sending) return;
    sending = true;
    try {
      const lock = navigator.locks ?? { request: (_name, act) => act() };
      await lock.request("pairwright-outbox", async () => {
        for (const act of await this.all()) {
          let answer;
          try {
            answer = await post(act, formOf(act));
          } catch {
            return;
          }
          if (answer.status >= 500) return;
          const said = await answer.json().catch(() => ({}));
          await within("readwrite", (store) => store.delete(act.number));
          if (said.done !== true) this.tell(said);
        }
      });
    } catch {
      // without a store on this tablet nothing was kept
    } finally {
      sending = false;
      await this.show();
    }
  },

  // An act that was kept and is now refused: said until somebody has read it.
  tell(said) {
    const box = document.getElementById("refusals") ?? document.createElement("div");
    box.id = "refusals";
    box.className = "notice broken";
    box.setAttribute("role", "alert");
    const line = document.createElement("p");
    line.textContent = said.text ?? said.do ?? "refused";
    box.append(line);
    document.getElementById("main")?.prepend(box);
  },

  async show() {
    const place = document.getElementById("outbox");
    if (!place) return;
    let kept = [];
    try {
      kept = await this.all();
    } catch {
      kept = [];
    }
    place.hidden = kept.length === 0;
    if (kept.length === 0) return;
    const age = Date.now() / 1000 - kept[0].pressed;
    place.classList.toggle("old", age > OLD);
    const words = document.body.dataset;
    place.textContent = `${words.kept ?? "kept on this tablet"} (${kept.length})${age > OLD ? ` ▲ ${Math.floor(age / 3600)} h` : ""}`;
  },
};

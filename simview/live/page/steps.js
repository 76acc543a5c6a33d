// A talk's prepared steps, kept in this browser, and its notes in a second window.
const by = (id) => document.getElementById(id);
const KEPT = "simview-steps";

function read() {
  try {
    const steps = JSON.parse(localStorage.getItem(KEPT) ?? "[]");
    return Array.isArray(steps) ? steps.filter((one) => typeof one?.hash === "string").slice(0, 200) : [];
  } catch {
    return [];
  }
}

export class Steps {
  constructor({ goTo, title }) {
    Object.assign(this, { goTo, title, steps: read(), at: -1 });
    this.channel = new BroadcastChannel("simview-notes");
    this.channel.addEventListener("message", ({ data }) => {
      if (data.way) this.step(data.way);
      if (data.hello) this.tell();
    });
    by("addstep").addEventListener("click", () => {
      this.steps.push({ hash: location.hash, title: this.title(), note: "" });
      this.keep();
      this.list();
      by("steps").querySelector("li:last-child textarea")?.focus();
    });
    by("opennotes").addEventListener("click", () => {
      const opened = open(`${location.pathname}${location.search}#room=notes`, "simview-notes", "width=720,height=640");
      if (!opened) by("notesays").textContent = "The browser did not open a second window: allow windows for this page.";
    });
    this.list();
  }

  keep() {
    try {
      localStorage.setItem(KEPT, JSON.stringify(this.steps));
      by("notesays").textContent = "";
    } catch {
      by("notesays").textContent = "This browser keeps nothing: the steps are gone when the page is closed.";
    }
    this.tell();
  }

  list() {
    by("steps").replaceChildren(...this.steps.map((one, i) => {
      const item = document.createElement("li");
      const [go, away, note] = ["button", "button", "textarea"].map((tag) => document.createElement(tag));
      go.type = away.type = "button";
      go.textContent = one.title;
      away.textContent = "Remove";
      away.setAttribute("aria-label", `Remove step ${i + 1}`);
      note.rows = 2;
      note.value = one.note;
      note.setAttribute("aria-label", `Notes on step ${i + 1}`);
      note.placeholder = "What to say";
      go.addEventListener("click", () => this.show(i));
      away.addEventListener("click", () => { this.steps.splice(i, 1); this.keep(); this.list(); });
      note.addEventListener("change", () => { one.note = note.value; this.keep(); });
      item.append(go, away, note);
      return item;
    }));
  }

  show(i) {
    this.at = i;
    this.goTo(this.steps[i].hash);
    this.tell();
  }

  // True where there are steps to go by.
  step(way) {
    if (!this.steps.length) return false;
    const next = Math.min(this.steps.length - 1, Math.max(0, this.at + way));
    if (next !== this.at) this.show(next);
    return true;
  }

  tell() {
    this.channel.postMessage({ steps: this.steps, at: this.at });
  }
}

// The second window: this step's notes, the next one's name, how long it has taken.
export function notes() {
  const channel = new BroadcastChannel("simview-notes");
  const began = Date.now();
  channel.addEventListener("message", ({ data }) => {
    if (!data.steps) return;
    const now = data.steps[data.at];
    const next = data.steps[data.at + 1];
    by("notestep").textContent = now ? `${data.at + 1} of ${data.steps.length}: ${now.title}` : data.steps.length ? "Not begun: press the right arrow" : "No steps yet: add some on the page";
    by("notetext").textContent = now?.note ?? "";
    by("notenext").textContent = next ? `Next: ${next.title}` : "";
  });
  const way = (by_) => channel.postMessage({ way: by_ });
  by("forward").addEventListener("click", () => way(1));
  by("backward").addEventListener("click", () => way(-1));
  document.addEventListener("keydown", (event) => {
    const to = { ArrowRight: 1, PageDown: 1, ArrowLeft: -1, PageUp: -1 }[event.key];
    if (to) { event.preventDefault(); way(to); }
  });
  setInterval(() => {
    const seconds = Math.floor((Date.now() - began) / 1000);
    by("clock").textContent = `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
  }, 1000);
  channel.postMessage({ hello: true });
}

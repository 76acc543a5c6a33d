// A talk's prepared steps, kept in this browser or in a file, and its notes in a second window.
const by = (id) => document.getElementById(id);
const KEPT = "simview-steps";
const FORM = "simview talk steps, 1";
const LARGEST = 1_000_000;
const MOST = 200;

const fresh = () => `${Date.now().toString(36)}${Math.random().toString(36).slice(2, 8)}`;

// What another program, another version or a hand has written is taken only where it fits.
function fit(told) {
  const steps = Array.isArray(told) ? told : [];
  return steps.filter((one) => typeof one?.hash === "string" && one.hash.startsWith("#")).slice(0, MOST)
    .map(({ hash, title, note, id }) => ({ hash: hash.slice(0, 2000), title: String(title ?? "").slice(0, 200), note: String(note ?? "").slice(0, 10_000), id: String(id ?? fresh()) }));
}

function read() {
  try {
    return fit(JSON.parse(localStorage.getItem(KEPT) ?? "[]"));
  } catch {
    return [];
  }
}

// Each tab of the page talks with its own notes.
function tabsName() {
  try {
    const name = sessionStorage.getItem(KEPT) ?? fresh();
    sessionStorage.setItem(KEPT, name);
    return name;
  } catch {
    return fresh();
  }
}

export class Steps {
  constructor({ goTo, title, save, trouble }) {
    Object.assign(this, { goTo, title, save, trouble, steps: read(), at: -1, name: tabsName() });
    this.channel = new BroadcastChannel(`simview-notes-${this.name}`);
    this.channel.addEventListener("message", ({ data }) => {
      if (data.way) this.step(data.way);
      if (data.hello) this.tell();
    });
    // Another tab's steps are these steps.
    addEventListener("storage", (event) => { if (event.key === KEPT) { this.steps = read(); this.list(); this.tell(); } });
    by("addstep").addEventListener("click", () => {
      this.change((steps) => steps.push({ hash: location.hash, title: this.title(), note: "", id: fresh() }));
      by("steps").querySelector("li:last-child textarea")?.focus();
    });
    by("opennotes").addEventListener("click", () => {
      const opened = open(`${location.pathname}${location.search}#room=notes&of=${this.name}`, `simview-notes-${this.name}`, "width=720,height=640");
      if (!opened) by("notesays").textContent = "The browser did not open a second window: allow windows for this page.";
    });
    by("savesteps").addEventListener("click", () => {
      this.save(new Blob([JSON.stringify({ form: FORM, steps: this.steps }, null, 1)], { type: "application/json" }), "talk-steps.json");
    });
    by("opensteps").addEventListener("change", () => this.open(by("opensteps").files[0]));
    this.list();
  }

  async open(file) {
    by("opensteps").value = "";
    if (!file) return;
    try {
      if (file.size > LARGEST) throw new Error("too large");
      const told = JSON.parse(await file.text());
      const more = told?.form === FORM ? fit(told.steps) : [];
      if (!more.length) throw new Error("no steps");
      const here = new Set(this.steps.map((one) => one.id));
      this.change((steps) => steps.push(...more.filter((one) => !here.has(one.id))));
      this.trouble("");
    } catch {
      this.trouble(`${file.name} holds no steps of a talk; open a file that “Save the steps as a file” made. The steps here stay as they are.`);
    }
  }

  // What is kept is read anew before each change, so that two tabs lose nothing of each other's.
  change(how) {
    const kept = read();
    if (kept.length || !this.unkept) this.steps = kept;
    how(this.steps);
    try {
      localStorage.setItem(KEPT, JSON.stringify(this.steps));
      by("notesays").textContent = "";
    } catch {
      this.unkept = true;
      by("notesays").textContent = "This browser keeps nothing: save the steps as a file before you close the page.";
    }
    this.list();
    this.tell();
  }

  list() {
    by("savesteps").hidden = !this.steps.length;
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
      away.addEventListener("click", () => this.change((steps) => steps.splice(steps.findIndex((each) => each.id === one.id), 1)));
      note.addEventListener("change", () => this.change((steps) => { for (const each of steps) if (each.id === one.id) each.note = note.value; }));
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
export function notes(of) {
  const channel = new BroadcastChannel(`simview-notes-${of}`);
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

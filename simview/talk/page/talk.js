"use strict";
// Slides by keys and buttons; the notes in a window of their own that follows along.
const sections = [...document.querySelectorAll("section")];
const place = document.getElementById("place");
let shown = 0;
let notes = null;
let began = Date.now();

function show(wanted) {
  shown = Math.max(0, Math.min(sections.length - 1, wanted));
  sections.forEach((section, index) => {
    section.classList.toggle("shown", index === shown);
    const film = section.querySelector("video");
    if (film && index === shown) { film.currentTime = 0; film.play().catch(() => {}); }
    if (film && index !== shown) film.pause();
  });
  place.textContent = `${shown + 1} / ${sections.length}`;
  history.replaceState(null, "", `#${shown + 1}`);
  tell();
}

function line(kind, text) {
  const made = notes.document.createElement(kind);
  made.textContent = text;
  notes.document.body.append(made);
  return made;
}

function tell() {
  if (!notes || notes.closed) return;
  const body = notes.document.body;
  body.replaceChildren();
  Object.assign(body.style, { font: "22px/1.5 system-ui, sans-serif", margin: "1.5em",
    background: "#10141a", color: "#f2f4f7" });
  const minutes = Math.floor((Date.now() - began) / 60000);
  line("p", `${shown + 1} / ${sections.length}  ·  ${minutes} min`);
  line("h1", sections[shown].querySelector("h2").textContent).style.fontSize = "1.4em";
  for (const part of sections[shown].querySelectorAll(".notes p")) line("p", part.textContent);
  const next = sections[shown + 1];
  if (next) line("p", `${WORDS.next}: ${next.querySelector("h2").textContent}`).style.color =
    "#b0bac8";
}

function openNotes() {
  if (!notes || notes.closed) {
    notes = window.open("", "notes", "width=760,height=620");
    if (!notes) return;
    notes.document.title = WORDS.notes;
    notes.document.documentElement.lang = document.documentElement.lang;
    notes.addEventListener("keydown", steer);
  }
  tell();
}

function whole() {
  if (document.fullscreenElement) document.exitFullscreen();
  else document.documentElement.requestFullscreen().catch(() => {});
}

function steer(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const onButton = event.target.closest?.("button, a") != null;
  if (onButton && (event.key === " " || event.key === "Enter")) return;
  const steps = { ArrowRight: 1, ArrowDown: 1, PageDown: 1, " ": 1, Enter: 1,
    ArrowLeft: -1, ArrowUp: -1, PageUp: -1, Backspace: -1 };
  const acts = { Home: () => show(0), End: () => show(sections.length - 1), n: openNotes,
    N: openNotes, f: whole, F: whole };
  if (event.key in steps) show(shown + steps[event.key]);
  else if (event.key in acts) acts[event.key]();
  else return;
  event.preventDefault();
}

let rest = 0;
function moved() {
  document.body.classList.add("moved");
  clearTimeout(rest);
  rest = setTimeout(() => document.body.classList.remove("moved"), 2500);
}

document.addEventListener("keydown", steer);
document.addEventListener("pointermove", moved);
document.getElementById("back").addEventListener("click", () => show(shown - 1));
document.getElementById("on").addEventListener("click", () => show(shown + 1));
document.getElementById("notes").addEventListener("click", openNotes);
document.getElementById("whole").addEventListener("click", whole);
window.addEventListener("hashchange", () => show((parseInt(location.hash.slice(1), 10) || 1) - 1));
window.addEventListener("pagehide", () => { if (notes && !notes.closed) notes.close(); });
let begun = null;
document.addEventListener("touchstart", (event) => { begun = event.touches[0].clientX; });
document.addEventListener("touchend", (event) => {
  const way = event.changedTouches[0].clientX - (begun ?? 0);
  if (begun !== null && Math.abs(way) > 50) show(shown + (way < 0 ? 1 : -1));
  begun = null;
});
show((parseInt(location.hash.slice(1), 10) || 1) - 1);

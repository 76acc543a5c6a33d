// Rooms, address, stage, night, and "Keep this".
import { Line, address, post } from "./line.js";
import { Offer } from "./offer.js";
import { See } from "./see.js";
import { StarRoom } from "./star.js";
import { Steps, notes } from "./steps.js";
import { Tonight } from "./tonight.js";

const by = (id) => document.getElementById(id);
const state = () => new URLSearchParams(location.hash.slice(1));
let see;
let offer;
let star;
let steps;

// What the line says is taken back when it speaks again; all else stays until it is answered.
let said = "";
function trouble(words, from = "") {
  if (!words && from && from !== said) return;
  said = words ? from : "";
  by("trouble").textContent = words;
  by("trouble").hidden = !words;
}
const ofLine = (words) => trouble(words, "line");

const line = new Line((frame) => {
  if (frame.header.error) {
    ofLine(frame.header.error);
    return;
  }
  // What is only held answers nothing that was asked.
  if (!frame.header.hold) ofLine("");
  if (frame.header.room === "star") star?.arrived(frame);
  else see?.arrived(frame);
}, ofLine);

let pushed = "";
function remember(dragging, told) {
  const hash = `#${told}`;
  if (hash === location.hash) return;
  // A drag replaces the address; each new object or telescope is a step for the back button.
  const step = `${told.get("room")} ${told.get("object")} ${told.getAll("kit")} ${told.get("scope")} ${told.get("fault")}`;
  history[step === pushed || dragging ? "replaceState" : "pushState"](null, "", hash);
  pushed = step;
}

function enter(room) {
  document.body.dataset.room = room;
  for (const name of ["see", "star", "offer"]) by(name).hidden = name !== room;
  for (const link of document.querySelectorAll("nav a")) {
    if (link.dataset.to === room) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  by("keep").hidden = room !== "see";
  by("stage").hidden = room === "offer";
}

function arrive() {
  const told = state();
  const room = told.get("room");
  enter(["star", "offer"].includes(room) ? room : "see");
  if (document.body.dataset.room === "star") star.from(told);
  if (document.body.dataset.room === "see") {
    see.from(told);
    pushed = "";
    // A link from a slide begins on stage.
    if (told.get("stage") && !document.body.classList.contains("stage")) stage(true);
  }
}

export function save(blob, name) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

function night(on) {
  document.body.classList.toggle("night", on);
  by("night").setAttribute("aria-pressed", on);
  see.night = on;
  see.repaint();
  star.night = on;
  star.repaint();
  if (offer.last) offer.repaint();
}

function stage(on) {
  document.body.classList.toggle("stage", on);
  document.body.classList.remove("black");
  if (on) document.documentElement.requestFullscreen?.().catch(() => {});
  else if (document.fullscreenElement) document.exitFullscreen();
  (document.body.dataset.room === "star" ? star : see).ask(false, false);
  if (on) document.activeElement?.blur();
  else by("stage").focus();
}

function goTo(hash) {
  history.replaceState(null, "", hash);
  arrive();
}

document.addEventListener("keydown", (event) => {
  if (!document.body.classList.contains("stage")) return;
  const way = { ArrowRight: 1, PageDown: 1, " ": 1, ArrowLeft: -1, PageUp: -1 }[event.key];
  if (way) {
    event.preventDefault();
    document.body.classList.remove("black");
    if (!steps.step(way)) (document.body.dataset.room === "star" ? star : see).step(way);
  } else if (event.key === "Escape" || event.key === "s") stage(false);
  else if (event.key === "b" || event.key === ".") document.body.classList.toggle("black");
  else if (event.key === "f") see.flick();
});
document.addEventListener("fullscreenchange", () => {
  if (!document.fullscreenElement && document.body.classList.contains("stage")) stage(false);
});
by("night").addEventListener("click", () => night(!document.body.classList.contains("night")));
by("stage").addEventListener("click", () => stage(true));
by("keep").addEventListener("click", async () => {
  by("keep").disabled = true;
  try {
    const kept = await see.keep();
    save(kept.blob, kept.name);
    const files = Object.entries(kept.kits);
    for (const [name, text] of files) save(new Blob([text]), name);
    const sheets = files.length ? `The sheet and ${files.map(([name]) => name).join(" and ")} are` : "The sheet is";
    by("keptsays").textContent = `${sheets} among your downloads. There, this makes it again:`;
    by("command").textContent = kept.command;
    by("kept").showModal();
  } catch (error) {
    trouble(error.message);
  }
  by("keep").disabled = false;
});
by("copy").addEventListener("click", () => navigator.clipboard?.writeText(by("command").textContent));
// What opens at the end of a column is brought into sight.
for (const one of document.querySelectorAll(".told details")) one.addEventListener("toggle", () => { if (one.open) one.scrollIntoView({ block: "nearest" }); });
addEventListener("hashchange", arrive);
addEventListener("popstate", arrive);

// A file that misses its place must not take the page's.
for (const what of ["dragover", "drop"]) addEventListener(what, (event) => event.preventDefault());

// A kit file dropped on the first room stands on the table at once.
function onTable(told) {
  see.kits = star.kits = told.kits;
  see.lay([{ word: told.word, power: 0 }]);
  see.ask(false);
  trouble("");
}
async function kitFile(file) {
  if (!file) return;
  if (file.size > 20_000_000) {
    trouble(`${file.name} has ${Math.round(file.size / 1e6)} MB; at most 20 MB can be taken.`);
    return;
  }
  try {
    onTable(await (await post("kit", file, { name: file.name })).json());
  } catch (error) {
    trouble(error.message);
  }
}
by("see").addEventListener("drop", (event) => kitFile(event.dataTransfer.files[0]));
by("kitfile").addEventListener("change", async () => {
  await kitFile(by("kitfile").files[0]);
  by("kitfile").value = "";
});
async function twoNumbers() {
  try {
    onTable(await (await post("telescope", by("numbers").value)).json());
    by("numbers").value = "";
  } catch (error) {
    trouble(error.message);
  }
}
by("addscope").addEventListener("click", twoNumbers);
by("numbers").addEventListener("keydown", (event) => { if (event.key === "Enter") twoNumbers(); });

let start;
try {
  start = await (await fetch(address("start", { kits: state().getAll("kit").join("\n") }))).json();
} catch (error) {
  trouble("The connection to simview is lost. Start `simview live` again and open the link that it prints.");
  throw error;
}
see = new See(line, start, remember, trouble);
star = new StarRoom(line, start, remember, trouble);
// The notes' own window has none: it would answer itself that nothing has begun.
if (state().get("room") !== "notes") steps = new Steps({ goTo, save, trouble, title: () => see.title() });
new Tonight(see, trouble);
offer = new Offer({
  trouble,
  save,
  night: () => document.body.classList.contains("night"),
  go: (kits, sides, frame) => {
    const words = kits.map((kit) => kit.word);
    see.kits = star.kits = [...kits, ...see.kits.filter((each) => !words.includes(each.word))];
    enter("see");
    see.from(new URLSearchParams());
    see.lay(sides);
    see.frame = frame;
    see.ask(false);
    scrollTo(0, 0);
  },
});
if (state().get("room") === "notes") {
  for (const part of ["see", "star", "offer"]) by(part).hidden = true;
  document.querySelector("header").hidden = true;
  by("notesroom").hidden = false;
  document.title = "Notes: simview";
  document.body.dataset.room = "notes";
  notes(state().get("of") ?? "");
} else arrive();

// Room two: what is wrong with it? A star to defocus, faults to add, screws to turn, a riddle.
import { drawCone } from "./cone.js";
import { draw, wantedSide } from "./draw.js";
import { post } from "./line.js";
import { photograph } from "./photo.js";

const by = (id) => document.getElementById(id);
const SCREWS = ["A", "B", "C"];
// Hidden misalignments, in tolerances, and how far the screws' handles go. A choice.
const [LEAST_OFF, MOST_OFF, REACH] = [2.5, 5, 8];
// Steps of the screws' handles, turns: the coarsest that is an eighth of a tolerance, or the finest.
const STEPS = [0.01, 0.005, 0.002, 0.001];
const STAND = {
  primary: "The main mirror's screws as in the picture, seen from behind it.",
  secondary: "The front mirror's screws as in the picture, seen from behind: from the front, B and C change places.",
};

export class StarRoom {
  constructor(line, start, changed, trouble) {
    Object.assign(this, { line, changed, trouble, photo: null, kits: start.kits, faults: start.faults, night: false, hidden: null, crooked: null });
    const scopes = start.kits.filter((kit) => kit.kind === "telescope");
    by("scope").replaceChildren(...scopes.map((kit) => new Option(kit.name, kit.word)));
    by("fault").replaceChildren(new Option("none", ""), ...start.faults.map((each) => new Option(each.name.replaceAll("-", " "), each.name)));
    for (const id of ["focus", "amount", "angle"]) {
      by(id).addEventListener("input", () => this.ask(true));
      by(id).addEventListener("change", () => this.ask(false));
    }
    for (const letter of SCREWS) {
      by(`screw${letter}`).addEventListener("input", () => this.ask(true));
      by(`screw${letter}`).addEventListener("change", () => this.ask(false));
    }
    by("fault").addEventListener("change", () => { this.pick(); this.ask(false); });
    by("scope").addEventListener("change", () => { this.crooked = null; this.ask(false); });
    by("crooked").addEventListener("click", () => this.makeCrooked());
    by("hint").addEventListener("click", () => { this.hinted = true; this.say(); });
    by("riddle").addEventListener("click", () => this.riddle());
    by("reveal").addEventListener("click", () => this.reveal(""));
    by("diagnose").addEventListener("click", () => this.diagnose());
    by("photofile").addEventListener("change", () => this.beside(by("photofile").files[0]));
    by("star").addEventListener("drop", (event) => { if (event.dataTransfer.files[0]) this.beside(event.dataTransfer.files[0]); });
    new ResizeObserver(() => this.repaint()).observe(by("stars"));
    this.pick();
  }

  kind() {
    return this.faults.find((each) => each.name === by("fault").value);
  }

  pick() {
    const kind = this.kind();
    by("amounts").hidden = !kind;
    if (!kind) return;
    by("amount").max = kind.most;
    by("amount").step = kind.most / 60;
    by("amount").value = kind.most / 2;
    by("angles").hidden = !kind.directed;
    by("faultsays").textContent = kind.says;
  }

  word(kind, amount, angle) {
    return `${kind.name}=${+amount.toPrecision(3)}${kind.unit === "waves" ? "" : kind.unit}${kind.directed ? `@${angle}` : ""}`;
  }

  from(told) {
    this.stock();
    const scope = told.get("scope");
    by("scope").value = scope ?? "demo:tabletop-150";
    if (!by("scope").value) by("scope").selectedIndex = 0;
    if (scope && by("scope").value !== scope) this.trouble(`This link names a telescope that is not here any more (${scope}). Another one is shown.`);
    by("focus").value = told.get("focus") ?? 5;
    by("fault").value = told.get("fault") ?? "";
    this.pick();
    for (const id of ["amount", "angle"]) if (told.get(id)) by(id).value = told.get(id);
    this.ask(false, false);
  }

  state() {
    const state = new URLSearchParams({ room: "star", scope: by("scope").value, focus: by("focus").value });
    if (by("fault").value) for (const id of ["fault", "amount", "angle"]) state.set(id, by(id).value);
    return state;
  }

  turns() {
    return SCREWS.map((letter, i) => this.crooked[i] + +by(`screw${letter}`).value);
  }

  ask(drag, remember = true) {
    clearTimeout(this.settle);
    const kind = this.hidden ?? this.kind();
    this.answer = null;
    const faults = this.hidden ? [this.hidden.word] : kind && !this.crooked ? [this.word(kind, +by("amount").value, by("angle").value)] : [];
    const stand = this.kits.find((kit) => kit.word === by("scope").value)?.screws;
    by("crooked").hidden = !stand;
    by("whichscrews").textContent = STAND[stand] ?? "";
    by("screws").hidden = !this.crooked;
    for (const mark of document.querySelectorAll(".screw")) mark.hidden = !this.crooked;
    for (const id of ["focus", "amount", "angle", ...SCREWS.map((s) => `screw${s}`)]) {
      const words = { focus: `${(+by(id).value).toFixed(1)} waves`, amount: kind && !this.hidden ? `${+(+by("amount").value).toFixed(2)} ${kind.unit}` : "", angle: `${by("angle").value}°` }[id] ?? `${this.turn(+by(id).value)} turn`;
      document.querySelector(`output[for=${id}]`).textContent = words;
    }
    this.number = this.line.wish({
      room: "star", kit: by("scope").value, faults, turns: this.crooked ? this.turns() : null,
      waves: +by("focus").value, side_px: wantedSide(by("stars").querySelector("canvas"), 512), drag,
    });
    if (drag) this.settle = setTimeout(() => this.ask(false), 350);
    if (remember) this.changed(drag, this.state());
  }

  // Steps of the stage: the focus, half a wave at a time.
  step(by_) {
    by("focus").value = +by("focus").value + 0.5 * by_;
    this.ask(false);
  }

  makeCrooked() {
    // In line first: the answer tells how much this telescope's screws bear.
    this.crooked = [0, 0, 0];
    this.fresh = true;
    this.hidden = null;
    this.hinted = false;
    for (const letter of SCREWS) by(`screw${letter}`).value = 0;
    by("fault").value = "";
    this.pick();
    by("guesses").replaceChildren();
    by("reveal").hidden = true;
    this.ask(false);
    by("screwA").focus();
  }

  // A push in a random direction, a few tolerances large. Turns of (cos) on three screws lean the
  // axis 3/2 as far as one of them.
  knock({ tolerance_turns: tolerance, angles_deg: angles }) {
    this.fresh = false;
    const heading = Math.random() * 2 * Math.PI;
    const much = ((LEAST_OFF + (MOST_OFF - LEAST_OFF) * Math.random()) * tolerance) / 1.5;
    this.crooked = angles.map((deg) => much * Math.cos((deg * Math.PI) / 180 - heading));
    const step = STEPS.find((each) => each <= tolerance / 8) ?? STEPS.at(-1);
    const most = (step * Math.ceil((REACH * tolerance) / step)).toFixed(3);
    for (const letter of SCREWS) Object.assign(by(`screw${letter}`), { min: -most, max: most, step, value: 0 });
    this.ask(false);
  }

  // A turn as the control has it: as fine as its steps.
  turn(amount) {
    return amount.toFixed(+by("screwA").step < 0.01 ? 3 : 2);
  }

  // Kits that came since, by drop or offer, stand in the list too.
  stock() {
    const scopes = this.kits.filter((kit) => kit.kind === "telescope");
    if (by("scope").options.length === scopes.length) return;
    const chosen = by("scope").value;
    by("scope").replaceChildren(...scopes.map((kit) => new Option(kit.name, kit.word)));
    by("scope").value = chosen;
  }

  riddle() {
    this.crooked = null;
    const known = this.faults.filter((each) => ["spherical", "coma", "astigmatism", "turned-down-edge", "pinched"].includes(each.name));
    const pool = known.length >= 4 ? known : this.faults;
    const mixed = [...pool].sort(() => Math.random() - 0.5).slice(0, 4);
    const kind = mixed[Math.floor(Math.random() * mixed.length)];
    this.hidden = { ...kind, word: this.word(kind, 0.8 * kind.most, Math.floor(Math.random() * 18) * 10) };
    by("fault").value = "";
    this.pick();
    by("guesses").replaceChildren(...mixed.map((each) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = each.name.replaceAll("-", " ");
      button.addEventListener("click", () => this.guess(each, button));
      return button;
    }));
    by("reveal").hidden = false;
    this.ask(false);
    this.tell("Something is wrong with this telescope. Turn the focus to either side: what is it?");
  }

  guess(kind, button) {
    if (kind.name === this.hidden.name) {
      this.reveal("Yes: ");
      return;
    }
    button.remove();
    this.tell(`No, not ${kind.name.replaceAll("-", " ")}. Look at both sides of focus, and guess again.`);
    (by("guesses").querySelector("button") ?? by("reveal")).focus();
  }

  // The fault is named, and stands on the controls from now on.
  reveal(lead) {
    const kind = this.hidden;
    if (!kind) return;
    const [, amount, angle] = kind.word.match(/=([\d.]+)[^@]*@?(.*)/);
    this.hidden = null;
    by("guesses").replaceChildren();
    by("reveal").hidden = true;
    by("fault").value = kind.name;
    this.pick();
    by("amount").value = amount;
    if (angle) by("angle").value = angle;
    this.ask(false);
    this.answer = `${lead}it is ${kind.name.replaceAll("-", " ")}. ${kind.says}`;
    this.tell(this.answer);
    by("riddle").focus();
  }

  async beside(file) {
    by("photofile").value = "";
    if (!file) return;
    try {
      this.photo = await photograph(file);
      this.file = file;
      by("weighed").hidden = false;
      by("diagnosis").textContent = "";
      this.trouble("");
      by("photo").hidden = false;
      by("photoword").textContent = "Another photograph";
      by("stars").classList.replace("two", "three");
      this.repaint();
      this.ask(false, false);
    } catch (error) {
      this.trouble(error.message);
    }
  }

  // Only now the photograph goes to simview itself, on its machine.
  async diagnose() {
    by("diagnose").disabled = true;
    by("diagnosis").textContent = "Looking at it: this takes up to a minute.";
    try {
      const told = await (await post("diagnose", this.file, { name: this.file.name, kit: by("scope").value, side: by("side").value })).json();
      by("diagnosis").textContent = told.text;
      this.trouble("");
    } catch (error) {
      by("diagnosis").textContent = "";
      this.trouble(error.message);
    }
    by("diagnose").disabled = false;
  }

  tell(words) {
    by("starline").textContent = words;
  }

  arrived({ header, pictures }) {
    if (this.fresh && this.crooked && header.tolerance_turns) {
      this.knock(header);
      return;
    }
    this.last = { header, pictures };
    document.body.dataset.drawn = header.number;
    document.body.dataset.rest = String(!header.drag);
    if (header.guide) this.guide(header.guide);
    if (header.cone) drawCone(by("cone"), by("conesays"), header.cone);
    this.say();
    this.repaint();
  }

  // How the same is done at the tube, in the sheet's own words.
  guide({ ways, steps }) {
    by("ways").textContent = `Handle to the right: forward. ${ways}`;
    by("guide").replaceChildren(...steps.flatMap(([lead, says]) => {
      const [word, told] = ["dt", "dd"].map((tag) => document.createElement(tag));
      word.textContent = lead;
      told.textContent = says;
      return [word, told];
    }));
  }

  say() {
    const header = this.last?.header;
    if (this.hidden || this.answer) return;
    if (!this.crooked) {
      this.tell(this.kind()?.says ?? "Turn the focus: a good star opens to even rings on either side.");
      return;
    }
    if (!header || header.axis_off_mm === undefined) return;
    const off = (header.axis_off_mm / header.tolerance_mm).toFixed(1);
    if (!header.next) {
      this.tell(`${off > 0.5 ? "Near enough" : "The rings are round"}: off by ${off} times what is allowed. Well done; leave the screws, or go on to rounder rings.`);
      return;
    }
    const [letter, much] = header.next;
    if (this.hinted) this.tell(`Turn screw ${letter} ${much > 0 ? "forward" : "back"} by ${this.turn(Math.abs(much))} turn: its handle goes to the ${much > 0 ? "right" : "left"}. Off by ${off} times what is allowed.`);
    else this.tell(`Move the handles of A, B and C, one at a time, until the rings are round. Off by ${off} times what is allowed; at 1 you are done.`);
  }

  repaint() {
    if (!this.last) return;
    const pictures = this.photo ? [...this.last.pictures, this.photo] : this.last.pictures;
    [...by("stars").querySelectorAll("canvas")].forEach((canvas, i) => {
      if (canvas.clientWidth && pictures[i]) draw(canvas, pictures[i], pictures[i].width, this.night);
    });
  }
}

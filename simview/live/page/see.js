// Room one: what would I see?
import { draw, wantedSide } from "./draw.js";
import { Held, MARGIN } from "./held.js";
import { post } from "./line.js";
import { Power } from "./power.js";

const by = (id) => document.getElementById(id);
const SLIDERS = {
  seeing: (v) => `${(+v).toFixed(1)}″`,
  sky: (v) => `${(+v).toFixed(1)} mag/″²`,
  altitude: (v) => `${v}°`,
  age: (v) => `${v} years`,
};
const AIRS = { best: "the best second", typical: "the average", moment: "a moment, moving", long: "long exposure", none: "no air at all" };
const FIRST = ["jupiter", "saturn", "moon", "castor", "pleiades", "orion-nebula", "m13"];
const BEGIN = "Good to begin with";
const MOST_CHIPS = 12;
// Pixels of a picture that is held: half as many a side, as while dragging.
const heldSide = (side) => Math.max(Math.min(200, side), Math.round(side / 2));
// Views whose pictures are held, the latest used last.
const MOST_HELD = 3;
const WIDE = new Set(["moon", "stars", "deep-sky", "daytime"]);

export class See {
  constructor(line, start, changed, trouble) {
    Object.assign(this, { line, changed, trouble, kits: start.kits, targets: start.targets, sides: [], shown: null, night: false, touched: new Set(), held: new Map(), resting: true });
    this.titles = new Map(start.targets.map((each) => [each.title, each.name]));
    by("targets").replaceChildren(...start.targets.map((each) => new Option(`${each.kind}: ${each.teaches}`, each.title)));
    const lessons = [...new Set(start.targets.map((each) => each.teaches))];
    by("teaches").replaceChildren(new Option(BEGIN, ""), ...lessons.map((word) => new Option(`To show: ${word}`, word)));
    by("teaches").addEventListener("change", () => this.chips());
    this.chips();
    by("air").replaceChildren(...start.airs.map((word) => new Option(AIRS[word] ?? word, word)));
    for (const [id, words] of Object.entries(SLIDERS)) {
      const slider = by(id);
      slider.addEventListener("input", () => { this.touched.add(id); this.label(id, words); this.ask(true); });
      slider.addEventListener("change", () => this.ask(false));
    }
    by("target").addEventListener("change", () => this.choose(by("target").value));
    by("target").addEventListener("focus", () => by("target").select());
    by("air").addEventListener("change", () => this.touched.add("air"));
    for (const id of ["air", "each"]) by(id).addEventListener("change", () => this.ask(false));
    for (const radio of document.getElementsByName("frame")) radio.addEventListener("change", () => this.ask(false));
    by("beside").addEventListener("click", () => this.beside());
    by("flick").addEventListener("click", () => this.flick());
    by("other").addEventListener("click", () => { this.front = 1 - this.front; this.face(); });
    new ResizeObserver(() => this.repaint()).observe(by("picture"));
  }

  entry(name) {
    return this.targets.find((each) => each.name === name);
  }

  chips() {
    const lesson = by("teaches").value;
    const names = lesson ? this.targets.filter((each) => each.teaches === lesson).slice(0, MOST_CHIPS).map((each) => each.name) : FIRST.filter((name) => this.entry(name));
    by("teach").replaceChildren(...names.map((name) => this.chip(name)));
  }

  chip(name) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = this.entry(name).title.replace(/ \(.*|, on the Moon/, "");
    button.addEventListener("click", () => this.choose(name));
    return button;
  }

  label(id, words) {
    document.querySelector(`output[for=${id}]`).textContent = words(by(id).value);
  }

  choose(word) {
    const before = this.entry(this.target)?.kind;
    this.target = this.titles.get(word) ?? word.trim();
    const kind = this.entry(this.target)?.kind;
    by("target").value = this.entry(this.target)?.title ?? word;
    if (kind && WIDE.has(kind) !== WIDE.has(before)) this.frame = WIDE.has(kind) ? "field" : "middle";
    this.ask(false);
  }

  // An object of tonight's list, at the height that it stands at then.
  visit(name, altitude) {
    by("altitude").value = altitude;
    this.touched.add("altitude");
    this.label("altitude", SLIDERS.altitude);
    this.choose(name);
  }

  // The sky and the eye that a kit's own file names, where nobody has set them otherwise.
  skyOf(kit) {
    const own = { ...kit.sky, ...(kit.age ? { age: kit.age } : {}) };
    for (const [id, value] of Object.entries(own)) {
      if (this.touched.has(id)) continue;
      by(id).value = value;
      if (SLIDERS[id]) this.label(id, SLIDERS[id]);
    }
  }

  get frame() {
    return document.querySelector("input[name=frame]:checked")?.value ?? "middle";
  }

  set frame(word) {
    for (const radio of document.getElementsByName("frame")) radio.checked = radio.value === word;
  }

  // What is wished for, from the address; what is missing there is usual.
  from(state) {
    this.target = state.get("object") ?? "jupiter";
    by("target").value = this.entry(this.target)?.title ?? this.target;
    const usual = { seeing: 2, sky: 19.8, altitude: 50, age: 40 };
    const odd = [];
    for (const [id, words] of Object.entries(SLIDERS)) {
      const given = state.get(id);
      if (given && !Number.isFinite(+given)) odd.push(`${id}=${given}`);
      else if (given) this.touched.add(id);
      else if (this.touched.has(id)) continue;
      by(id).value = given && Number.isFinite(+given) ? given : usual[id];
      this.label(id, words);
    }
    if (state.get("air")) this.touched.add("air");
    if (!this.touched.has("air") || state.get("air")) by("air").value = state.get("air") ?? ([...by("air").options].find((each) => each.value !== "moment" )?.value ?? "long");
    by("each").checked = state.get("eye") === "each";
    const frame = state.get("shown");
    const known = [...document.getElementsByName("frame")].some((radio) => radio.value === frame);
    if (frame && !known) odd.push(`shown=${frame}`);
    this.frame = known ? frame : (WIDE.has(this.entry(this.target)?.kind) ? "field" : "middle");
    const words = state.getAll("kit");
    const powers = state.getAll("power");
    odd.push(...powers.filter((one) => !(+one > 0)).map((one) => `power=${one}`));
    if (!words.length) words.push(this.kits.find((kit) => kit.own && !kit.word.startsWith("offer:"))?.word ?? "demo:tabletop-150");
    const lost = words.find((word) => !this.kits.some((kit) => kit.word === word));
    if (lost) this.trouble(`This link names a telescope that is not here any more (${lost}); drop its file on the page, or judge the offer again. Another one is shown.`);
    else if (odd.length) this.trouble(`This link says what cannot be (${odd.join(", ").slice(0, 120)}); what is usual is shown in its place.`);
    this.lay(words.slice(0, 2).map((word, i) => ({ word, power: +powers[i] > 0 ? +powers[i] : 0 })));
    this.ask(false, false);
  }

  lay(sides) {
    by("powers").classList.toggle("two", sides.length > 1);
    by("picture").classList.toggle("two", sides.length > 1 && !this.single);
    this.sides = sides.map((side, i) => {
      const power = new Power(i, (index, dragging, word) => {
        if (word) this.swap(index, word); else this.ask(dragging);
      });
      power.fill(this.kits, side.word);
      power.power = side.power || usualPower(power.kit);
      return power;
    });
    by("powers").replaceChildren(...this.sides.map((side) => side.root));
    // What was shown stays until the new pictures have come.
    if (by("picture").children.length !== sides.length) by("picture").replaceChildren(...this.sides.map(() => {
      const figure = document.createElement("figure");
      const canvas = document.createElement("canvas");
      canvas.setAttribute("role", "img");
      canvas.setAttribute("aria-label", "The view is on its way");
      figure.append(canvas, document.createElement("figcaption"));
      return figure;
    }));
    by("picture").classList.add("waiting");
    for (const side of this.sides) side.show();
    by("beside").textContent = sides.length > 1 ? "Only one" : "Set another beside it";
    by("flick").hidden = sides.length < 2;
    if (sides.length < 2) this.single = false;
    by("other").hidden = !this.single;
    this.skyOf(this.sides[0].kit);
    this.shown = this.told = null;
    if (document.body.classList.contains("stage") && by("line").textContent) return;
    by("line").textContent = "One moment …";
    by("line").classList.remove("empty");
  }

  told() {
    return this.sides.map((side) => ({ word: side.kit.word, power: side.power }));
  }

  swap(index, word) {
    const sides = this.told();
    sides[index] = { word, power: 0 };
    this.lay(sides);
    this.ask(false);
    this.sides[index].select.focus();
  }

  beside() {
    const [first] = this.told();
    this.single = false;
    if (this.sides.length > 1) this.lay([first]);
    else {
      const other = this.kits.find((kit) => kit.word !== first.word && kit.kind === "telescope" && kit.word === "demo:toy-refractor-50")
        ?? this.kits.find((kit) => kit.word !== first.word);
      this.lay([first, { word: other.word, power: 0 }]);
    }
    this.ask(false);
  }

  flick() {
    this.single = !this.single;
    this.front = 0;
    clearInterval(this.timer);
    by("flick").textContent = this.single ? "Side by side" : "Flick between the two";
    by("other").hidden = !this.single;
    by("picture").classList.toggle("two", !this.single);
    if (this.single && !matchMedia("(prefers-reduced-motion: reduce)").matches) {
      this.timer = setInterval(() => { this.front = 1 - this.front; this.face(); }, 1400);
    }
    this.face();
    this.ask(false, false);
  }

  face() {
    const figures = [...by("picture").children];
    figures.forEach((figure, i) => { figure.hidden = this.single && i !== this.front; });
    if (this.told) this.say();
    this.repaint();
  }

  // What a talk's step of this view is called.
  title() {
    return `${plainName(this.entry(this.target)?.title ?? this.target)}, ${this.sides.map((side) => `${Math.round(side.power)}×`).join(" and ")}`;
  }

  wish(drag) {
    const canvas = by("picture").querySelector("figure:not([hidden]) canvas");
    return {
      target: this.target,
      sides: this.sides.map((side) => ({ kit: side.kit.word, power: side.kit.kind === "telescope" ? side.power : null })),
      air: { seeing: +by("seeing").value, sky_mag: +by("sky").value, altitude: +by("altitude").value, air: by("air").value, seed: this.seed ?? 1 },
      age: +by("age").value,
      frame: this.frame,
      adapt: by("each").checked ? "each" : "sheet",
      side_px: wantedSide(canvas, this.sides.length > 1 ? 640 : 860),
      drag,
    };
  }

  ask(drag, remember = true) {
    if (!this.sides.length) return;
    clearTimeout(this.settle);
    this.asked = performance.now();
    this.resting = !drag;
    this.late = this.holding ?? this.late;
    this.holding = null;
    const wish = this.wish(drag);
    const drawn = drag && this.glide(wish);
    this.number = this.line.wish(drawn ? { ...wish, shown: [] } : wish);
    if (drawn) document.body.dataset.drawn = this.number;
    // At rest the full picture follows even where the browser tells no end of the drag.
    if (drag) this.settle = setTimeout(() => this.ask(false), 350);
    if (remember) this.changed(drag, this.state());
  }

  // Draw all views from pictures that are held; false where one is missing.
  glide(wish) {
    if (wish.air.air === "moment" || !this.shown) return false;
    const held = this.sides.map((side, i) => this.held.get(this.key(wish, i)));
    const found = this.sides.map((side, i) => held[i]?.around(side.power));
    if (!found.every(Boolean)) return false;
    const across = found.map((each, i) => held[i].across(each));
    // At one size all show what the narrowest field holds.
    const least = wish.frame === "object" ? Math.min(...across) : 0;
    this.canvases().forEach((canvas, i) => { if (canvas.clientWidth) held[i].draw(canvas, found[i], least || across[i], this.night); });
    this.glided = true;
    document.body.dataset.rest = "false";
    return true;
  }

  canvases() {
    return [...by("picture").querySelectorAll("canvas")];
  }

  // All that a side's pictures depend on, but its own power.
  key(wish, i) {
    return JSON.stringify([wish.target, wish.sides.map((side) => side.kit), i, wish.air, wish.age, wish.frame, wish.adapt, wish.side_px]);
  }

  // While nothing else is wished, ask for the next picture to hold.
  hold() {
    if (!this.resting || document.hidden || by("see").hidden) return;
    const wish = this.wish(false);
    if (wish.air.air === "moment") return;
    for (const [i, side] of this.sides.entries()) {
      if (side.kit.kind !== "telescope") continue;
      const key = this.key(wish, i);
      const held = this.held.get(key) ?? new Held(side.kit);
      this.held.delete(key);
      this.held.set(key, held);
      while (this.held.size > MOST_HELD) this.held.delete(this.held.keys().next().value);
      const power = held.next(side.power);
      if (power === undefined) continue;
      // The others at their widest, so that they do not narrow what this one shows.
      const sides = wish.sides.map((each, j) => ({ ...each, power: j === i ? power : this.sides[j].kit.kind === "telescope" ? this.sides[j].kit.least : null }));
      this.holding = { held, i, power, number: this.line.hold({ ...wish, side_px: heldSide(wish.side_px), drag: false, sides, shown: [i], margin: MARGIN }) };
      return;
    }
  }

  heldArrived({ header, pictures }) {
    // One that a wish has overtaken is still good.
    const asked = [this.holding, this.late].find((one) => one?.number === header.number);
    if (!asked) return;
    if (!header.busy) asked.held.take(asked.power, pictures[0], header.sides[asked.i]);
    const { views, missing } = asked.held;
    Object.assign(document.body.dataset, { held: views.length, of: views.length + missing.length });
    if (asked !== this.holding) return;
    this.holding = null;
    if (!header.busy) this.hold();
  }

  state() {
    const state = new URLSearchParams({ room: "see", object: this.target });
    for (const side of this.sides) {
      state.append("kit", side.kit.word);
      state.append("power", side.power);
    }
    for (const id of Object.keys(SLIDERS)) state.set(id, by(id).value);
    state.set("air", by("air").value);
    state.set("shown", this.frame);
    if (by("each").checked) state.set("eye", "each");
    return state;
  }

  arrived({ header, pictures }) {
    if (header.hold) {
      this.heldArrived({ header, pictures });
      return;
    }
    // A late answer must not take a picture back that a hand has drawn further since.
    const late = header.number < this.number;
    if (header.sides.length !== this.sides.length || (late && this.glided && pictures.length)) return;
    header.sides.forEach((side, i) => this.sides[i].tell(side));
    this.told = header;
    document.title = `${header.title}, ${this.sides.map((side) => `${Math.round(side.power)}×`).join(" and ")}: simview`;
    this.say();
    // Words and figures alone: the picture is drawn already.
    if (!pictures.length) return;
    this.shown = { header, pictures };
    this.glided = false;
    by("picture").classList.remove("waiting");
    by("notes").textContent = [header.sides[0].air, ...header.notes].join(" ");
    this.repaint();
    document.body.dataset.drawn = header.number;
    document.body.dataset.rest = String(!header.drag && !late);
    if (header.drag || late) return;
    if (by("air").value === "moment") {
      this.seed = ((this.seed ?? 1) % 500) + 1;
      requestAnimationFrame(() => this.ask(false, false));
    } else this.hold();
  }

  say() {
    const header = this.told;
    const several = header.sides.length > 1 && !this.single;
    // Of two views side by side, the line speaks of the one that shows nothing more.
    const worse = several ? header.sides.findIndex((each) => each.state === "empty") : -1;
    const side = header.sides[this.single ? this.front : Math.max(0, worse)];
    const line = by("line");
    const name = plainName(header.title);
    const alike = header.sides.every((each) => each.state === side.state);
    line.textContent = several && worse < 0 && !alike ? header.title : several && worse < 0 ? `${name}: ${side.says[0].replace(":", ",")}` : `${name} at ${Math.round(side.numbers.power)}×: ${side.says[0].replace(":", ",")}`;
    line.classList.toggle("empty", side.state === "empty");
    [...by("picture").children].forEach((figure, i) => {
      const each = header.sides[i];
      const power = document.createElement("b");
      power.textContent = `${Math.round(each.numbers.power)}×`;
      figure.querySelector("figcaption").replaceChildren(power, each.says.at(-2) ?? each.says[0], document.createElement("br"), each.name);
      figure.querySelector("canvas").setAttribute("aria-label", `${header.title} through ${each.name} at ${Math.round(each.numbers.power)} times: ${each.says[0]}`);
    });
  }

  repaint() {
    if (!this.shown || (this.glided && this.glide(this.wish(true)))) return;
    this.canvases().forEach((canvas, i) => {
      if (canvas.clientWidth) draw(canvas, this.shown.pictures[i], this.shown.header.sides[i].field_px, this.night);
    });
  }

  async keep() {
    const answer = await post("keep", JSON.stringify(this.wish(false)));
    const kits = JSON.parse(decodeURIComponent(answer.headers.get("x-kits") ?? "%7B%7D"));
    return { kits, blob: await answer.blob(), command: decodeURIComponent(answer.headers.get("x-command")), name: decodeURIComponent(answer.headers.get("x-name")) };
  }

  // Steps of the stage: the powers of the pieces, then what the box claims, or 500.
  step(by_) {
    const side = this.sides[0];
    const stops = side.stops();
    const next = by_ > 0 ? stops.find((p) => p > side.power * 1.01) : stops.findLast((p) => p < side.power * 0.99);
    if (next) side.set(next, false);
  }
}

// An object's name without its figures: a line that is read from afar has room for few words.
export const plainName = (title) => title.replace(/, [\d–.]+[″′°].*/, "");

export function usualPower(kit) {
  if (kit.kind !== "telescope") return kit.least;
  if (!kit.powers.length) return Math.sqrt(kit.least * (kit.aperture_mm ?? 100));
  const useful = kit.powers.filter((rung) => rung.power <= 1.2 * kit.aperture_mm);
  return (useful.at(-1) ?? kit.powers[0]).power;
}

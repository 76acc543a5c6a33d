// Room three: is it worth it?
import { draw } from "./draw.js";
import { Line, post } from "./line.js";
import { usualPower } from "./see.js";

const by = (id) => document.getElementById(id);
const LARGEST = 20_000_000;
const SAMPLE = `BIG BEGINNER TELESCOPE 50/600, magnifies 450x!
Eyepieces H20mm, H12.5mm, SR4mm, 3x Barlow lens, tabletop tripod. 39.90 EUR`;

export class Offer {
  constructor({ trouble, go, save, night }) {
    Object.assign(this, { trouble, go, save, night, raw: null, name: "" });
    by("judge").addEventListener("click", () => this.judge(by("advert").value, ""));
    this.given = {};
    by("right").addEventListener("change", () => this.correct());
    by("right").addEventListener("submit", (event) => event.preventDefault());
    by("again").addEventListener("click", () => this.change());
    by("sample").addEventListener("click", () => { this.change(); by("advert").value = SAMPLE; this.judge(SAMPLE, ""); });
    by("file").addEventListener("change", () => this.take(by("file").files[0]));
    by("seeit").addEventListener("click", () => this.seeIt());
    by("answer").addEventListener("click", () => this.answer());
    by("print").addEventListener("click", () => window.print());
    by("budget").addEventListener("change", () => this.limit());
    by("savekit").addEventListener("click", () => this.save(new Blob([this.told.kit_file]), "offer.toml"));
    const room = by("offer");
    room.addEventListener("dragover", (event) => { event.preventDefault(); room.classList.add("over"); });
    room.addEventListener("dragleave", () => room.classList.remove("over"));
    room.addEventListener("drop", (event) => {
      event.preventDefault();
      room.classList.remove("over");
      const file = event.dataTransfer.files[0];
      if (file) this.take(file);
      else if (by("advert").hidden) this.trouble("To read another offer, press “Change the text” first.");
      else by("advert").value = event.dataTransfer.getData("text/plain");
    });
  }

  async take(file) {
    if (!file) return;
    if (file.size > LARGEST) {
      this.trouble(`${file.name} has ${Math.round(file.size / 1e6)} MB; at most 20 MB can be taken.`);
      return;
    }
    const raw = await file.arrayBuffer();
    by("advert").value = new TextDecoder().decode(raw);
    await this.judge(raw, file.name);
  }

  change() {
    by("marked").hidden = true;
    by("advert").hidden = false;
    by("again").hidden = true;
    by("judge").hidden = false;
  }

  async judge(raw, name) {
    this.trouble("");
    this.given = {};
    await this.weigh(raw, name);
  }

  async weigh(raw, name) {
    try {
      const answer = await post("offer", raw, { name, right: JSON.stringify(this.given), budget: this.budget ?? "" });
      Object.assign(this, { raw, name, told: await answer.json() });
      this.trouble("");
      this.show();
    } catch (error) {
      this.trouble(error.message);
    }
  }

  show() {
    const told = this.told;
    const grade = { "leave it": "stop", "with care": "care", sound: "sound" }[told.verdict];
    by("verdict").hidden = false;
    by("verdict").className = `verdict ${grade}`;
    by("word").textContent = told.verdict;
    by("offered").textContent = told.name;
    by("sun").hidden = !told.sun.length;
    by("sun").textContent = told.sun.join(" ");
    // Where the offer itself sends an eye to the Sun, that comes first of all.
    const danger = told.findings.some((one) => one.grade === "stop" && /sun|solar/i.test(`${one.rule} ${one.says}`));
    by("verdict").insertBefore(by("sun"), danger ? by("verdict").firstChild : by("findings"));
    by("findings").replaceChildren(...told.findings.map((one) => {
      const item = document.createElement("li");
      item.className = one.grade;
      const [rule, says, source] = ["b", "span", "small"].map((tag) => document.createElement(tag));
      rule.textContent = one.rule;
      says.textContent = one.says;
      source.textContent = one.source;
      item.append(rule, says, source);
      return item;
    }));
    by("missing").textContent = told.missing.length ? `Not said: ${told.missing.join(", ")}.` : "";
    by("proofs").hidden = false;
    by("seeit").hidden = by("savekit").hidden = !told.kit;
    by("promise").hidden = true;
    this.mark();
    this.values();
    this.instead();
    this.prove();
  }

  // Every value as it was understood, to be put right.
  values() {
    if (by("right").contains(document.activeElement)) return;
    const names = { aperture_mm: "Aperture, mm", focal_length_mm: "Focal length, mm", eyepieces_mm: "Eyepieces, mm", amplifiers: "Barlow and prism, times", claimed_powers: "Powers claimed", layout: "Kind", mount: "Mount", price: "Price" };
    by("right").replaceChildren(...Object.entries(this.told.values).map(([key, value]) => {
      const field = document.createElement("div");
      const label = document.createElement("label");
      const choices = this.told.choices[key];
      const input = document.createElement(choices ? "select" : "input");
      if (choices) input.append(new Option("not said", ""), ...choices.map((word) => new Option(word, word)));
      else input.inputMode = "decimal";
      field.className = "field";
      label.htmlFor = input.id = `right-${key}`;
      label.textContent = names[key] ?? key;
      input.dataset.key = key;
      input.dataset.list = Array.isArray(value) ? "1" : "";
      input.value = Array.isArray(value) ? value.join(" ") : value ?? "";
      input.dataset.was = input.value;
      field.append(label, input);
      return field;
    }));
  }

  // What the shelf has in its place, best first; each can be looked through.
  instead() {
    const { title, rows, notes, shelf, own, currency } = this.told.instead;
    by("insteadtitle").textContent = title;
    by("currency").textContent = currency;
    by("instead").replaceChildren(...rows.map((row) => {
      const item = document.createElement("li");
      const [name, price, says, figures] = ["b", "span", "span", "small"].map((tag) => document.createElement(tag));
      item.classList.toggle("offered", row.offer);
      name.textContent = row.name;
      price.textContent = row.price;
      price.className = "price";
      says.textContent = row.note;
      figures.textContent = [row.finest && `finest detail ${row.finest}`, row.faintest && `faintest star ${row.faintest}`].filter(Boolean).join(" · ");
      item.append(name, price, says, figures);
      if (row.kit?.kind === "telescope" && this.told.kit?.kind === "telescope") {
        const look = document.createElement("button");
        look.type = "button";
        look.textContent = "Look through both";
        look.addEventListener("click", () => this.compare(row.kit));
        item.append(look);
      }
      return item;
    }));
    const from = own ? `From ${shelf}.` : `Examples with invented prices, from the demo (${shelf}). With --shelf FILE, simview live shows your own, and the saved answer lists them.`;
    by("insteadnotes").textContent = [...notes, from].join(" ");
  }

  async limit() {
    const text = by("budget").value.trim().replace(",", ".");
    if (text && !(Number(text) >= 0)) {
      this.trouble(`“${by("budget").value}” is no amount; write it in digits, such as 150.`);
      return;
    }
    this.budget = text;
    await this.weigh(this.raw, this.name);
  }

  // Of the shelf's telescopes that rank above the offer, the one that costs least.
  better() {
    const { rows } = this.told.instead;
    const above = rows.slice(0, Math.max(0, rows.findIndex((row) => row.offer))).filter((row) => row.kit?.kind === "telescope");
    return above.sort((a, b) => (a.amount ?? Infinity) - (b.amount ?? Infinity))[0] ?? null;
  }

  compare(kit) {
    this.go([this.told.kit, kit], [{ word: this.told.kit.word, power: this.powers()[0] }, { word: kit.word, power: 0 }], "middle");
  }

  async correct() {
    for (const input of by("right").querySelectorAll("[data-key]")) {
      const text = input.value.trim();
      if (text === input.dataset.was || text === "") continue;
      const numbers = text.split(/[\s;]+/).map((one) => Number(one.replace(",", ".")));
      if (input.tagName === "INPUT" && numbers.some((one) => !Number.isFinite(one))) {
        this.trouble(`“${text}” is no number; write it in digits, several with spaces between them.`);
        return;
      }
      this.given[input.dataset.key] = input.tagName === "SELECT" ? text : input.dataset.list ? numbers : numbers[0];
    }
    await this.weigh(this.raw, this.name);
  }

  // The passages that were understood, marked in the text. All of it is text, never markup.
  mark() {
    const text = by("advert").value;
    const spans = [];
    for (const one of this.told.readings) {
      const words = one.words ?? "";
      let at = words && text.slice(one.start, one.end) === words ? one.start : words ? text.indexOf(words) : -1;
      if (at >= 0 && !spans.some((s) => at < s.end && at + words.length > s.at)) spans.push({ at, end: at + words.length, what: one.key });
    }
    spans.sort((a, b) => a.at - b.at);
    const parts = [];
    let at = 0;
    for (const span of spans) {
      const mark = document.createElement("mark");
      mark.textContent = text.slice(span.at, span.end);
      mark.title = span.what;
      parts.push(text.slice(at, span.at), mark);
      at = span.end;
    }
    by("marked").replaceChildren(...parts, text.slice(at));
    by("marked").hidden = false;
    by("advert").hidden = true;
    by("again").hidden = false;
    by("judge").hidden = true;
  }

  powers() {
    const { kit } = this.told;
    const claimed = Math.min(kit.claimed ?? kit.powers.at(-1)?.power ?? kit.most, kit.most);
    const useful = kit.powers.filter((rung) => rung.power <= 1.1 * kit.aperture_mm);
    return [(useful.at(-1) ?? kit.powers[0])?.power ?? kit.least, claimed];
  }

  prove() {
    const { kit } = this.told;
    by("proof").replaceChildren();
    if (!kit || kit.kind !== "telescope") return;
    const [sane, claimed] = this.powers();
    const better = this.better();
    const sides = [{ kit: kit.word, power: claimed }];
    const shown = ["as promised"];
    if (claimed > 1.2 * sane) {
      sides.push({ kit: kit.word, power: sane });
      shown.push("at its best");
    } else shown[0] = "";
    if (better) {
      sides.push({ kit: better.kit.word, power: usualPower(better.kit) });
      shown.push("instead");
    }
    this.pair?.socket.close();
    this.pair = new Line((frame) => this.proved(frame, shown, better), () => {});
    this.pair.open = () => {};
    // All under one exposure, at one scale.
    this.pair.wish({ target: "jupiter", sides, air: {}, age: 40, frame: "middle", adapt: "sheet", side_px: 420, drag: false });
  }

  proved({ header, pictures }, shown, better) {
    if (header.error) {
      this.trouble(header.error);
      return;
    }
    this.last = { header, pictures };
    by("proof").classList.toggle("many", pictures.length > 2);
    by("proof").replaceChildren(...header.sides.map((side, i) => {
      const [figure, canvas, words, power, lead, tail] = ["figure", "canvas", "figcaption", "b", "span", "span"].map((tag) => document.createElement(tag));
      const instead = shown[i] === "instead";
      power.textContent = `${Math.round(side.numbers.power)}×`;
      lead.append(power, shown[i]);
      tail.textContent = instead ? [better.name, better.price].filter(Boolean).join(", ") : side.says.find((each) => each.length < 26) ?? side.says.at(-1);
      words.append(lead, tail);
      canvas.setAttribute("role", "img");
      canvas.setAttribute("aria-label", `${header.title} at ${Math.round(side.numbers.power)} times, ${instead ? `instead through ${better.name}` : shown[i]}: ${side.says[0]}`);
      figure.append(canvas, words);
      return figure;
    }));
    this.repaint();
  }

  repaint() {
    [...by("proof").querySelectorAll("canvas")].forEach((canvas, i) => draw(canvas, this.last.pictures[i], this.last.header.sides[i].field_px, this.night()));
  }

  seeIt() {
    const [sane, claimed] = this.powers();
    const sides = [{ word: this.told.kit.word, power: sane }];
    if (claimed > 1.2 * sane) sides.push({ word: this.told.kit.word, power: claimed });
    this.go([this.told.kit], sides, "object");
  }

  async answer() {
    by("answer").disabled = true;
    try {
      const page = await post("answer", this.raw, { name: this.name, right: JSON.stringify(this.given), budget: this.budget ?? "" });
      this.save(new Blob([await page.text()], { type: "text/html" }), "answer.html");
    } catch (error) {
      this.trouble(error.message);
    }
    by("answer").disabled = false;
  }
}

// The line to the server: sends wishes, hands back frames, says so when it breaks and comes again.
const home = new URL(".", import.meta.url);

export function address(path, more = {}) {
  const url = new URL(path, home);
  for (const [name, value] of Object.entries(more)) url.searchParams.set(name, value);
  return url;
}

export class Line {
  constructor(onFrame, onTrouble) {
    this.onFrame = onFrame;
    this.onTrouble = onTrouble;
    this.number = 0;
    this.tries = 0;
    this.last = null;
    this.open();
  }

  open() {
    const url = address("line");
    url.protocol = "ws:";
    this.socket = new WebSocket(url);
    this.socket.binaryType = "arraybuffer";
    this.socket.onopen = () => {
      if (this.tries) this.onTrouble("");
      this.tries = 0;
      if (this.last) this.socket.send(JSON.stringify(this.last));
    };
    this.socket.onmessage = (event) => this.onFrame(unpack(event.data));
    this.socket.onclose = () => {
      this.tries += 1;
      this.onTrouble(this.tries < 8
        ? "The connection to simview is lost. Is it still running in its terminal? Trying again."
        : "simview does not answer. Start `simview live` again and open the link that it prints; all that is set here stands in this page's address, after the #.");
      setTimeout(() => this.open(), Math.min(4000, 400 * this.tries));
    };
  }

  wish(what) {
    this.number += 1;
    this.last = { ...what, number: this.number };
    if (this.socket.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify(this.last));
    return this.number;
  }

  // Ask for what a later drag will need. A wish takes its place, and a lost line forgets it.
  hold(what) {
    this.number += 1;
    if (this.socket.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify({ ...what, hold: true, number: this.number }));
    return this.number;
  }
}

function unpack(buffer) {
  const length = new DataView(buffer).getUint32(0, true);
  const header = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, length)));
  const pictures = [];
  let at = 4 + length;
  for (const side of header.px) {
    pictures.push(new ImageData(new Uint8ClampedArray(buffer, at, 4 * side * side), side, side));
    at += 4 * side * side;
  }
  return { header, pictures };
}

export async function post(path, body, more) {
  let answer;
  try {
    answer = await fetch(address(path, more), { method: "POST", body });
  } catch {
    throw new Error("The connection to simview is lost. Is it still running in its terminal?");
  }
  if (!answer.ok) {
    const text = await answer.text();
    let told = text;
    try { told = JSON.parse(text).error; } catch { /* it was a plain sentence */ }
    throw new Error(told);
  }
  return answer;
}

// Start-up glue; everything else is Rust. It unpacks the module that stands in this file, starts
// it, and says in plain words why it cannot. If the module dies, no result stays in sight and the
// last whole case can be saved.
//
// For the module: extradosKeep(text, name) after each change keeps the case that would be saved;
// extradosDied(reason) is for its panic hook. For scripts: what the module exports stands under
// the one name `extrados`. <html data-state> says starting, ready, failed or dead.
"use strict";

(() => {
  const root = document.documentElement;
  const notice = document.getElementById("notice");
  const page = document.getElementById("page");
  let kept = null;

  const paragraph = (...parts) => {
    const p = document.createElement("p");
    p.append(...parts);
    return p;
  };

  const show = (state, ...paragraphs) => {
    root.dataset.state = state;
    notice.replaceChildren(...paragraphs);
    notice.hidden = paragraphs.length === 0;
    page.hidden = state !== "ready";
    // Nothing half drawn may be read as a result, on the screen or on paper.
    if (state === "failed" || state === "dead") {
      document.body.classList.add(state);
      page.replaceChildren();
    }
  };

  const saveLink = () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([kept.text], { type: "application/json" }));
    link.download = kept.name;
    link.textContent = "Save the case as it last was (" + kept.name + ")";
    return link;
  };

  const die = (reason) => {
    if (root.dataset.state === "dead") return;
    show(
      "dead",
      paragraph("Extrados has stopped. The fault is in the program. No result is shown, because none can be relied on now."),
      kept ? paragraph(saveLink()) : paragraph("No case was open."),
      paragraph("Reload this page to start again, then open the saved case. What happened: " + reason),
    );
  };

  // A trap, or a stack that ran over: the module would go on answering, with anything.
  const isTrap = (error) =>
    error instanceof WebAssembly.RuntimeError ||
    (error instanceof RangeError && /call stack/i.test(error.message)) ||
    (error && error.name === "InternalError");

  const guarded = (call) => (...given) => {
    if (root.dataset.state === "dead") throw new Error("Extrados has stopped; reload the page.");
    try {
      return call(...given);
    } catch (error) {
      if (isTrap(error)) die(String(error));
      throw error;
    }
  };

  // The bytes that stand in one of the file's data blocks, seven bits a letter. The four letters that a
  // page cannot hold stand together with the next seven bits as one letter from U+0100 on, or alone
  // at the end from U+0300 on.
  const BARRED = [0x00, 0x0a, 0x0d, 0x3c];
  const packed = (id) => {
    const text = document.getElementById(id).textContent;
    const bytes = new Uint8Array(text.length * 2);
    let length = 0, held = 0, bits = 0;
    const take = (group) => {
      held = ((held << 7) | group) & 0x7fff;
      bits += 7;
      if (bits >= 8) {
        bits -= 8;
        bytes[length++] = held >> bits;
      }
    };
    for (let place = 0; place < text.length; place++) {
      const code = text.charCodeAt(place);
      if (code < 0x80) {
        take(code);
      } else {
        take(BARRED[((code - 0x100) >> 7) & 3]);
        if (code < 0x300) take(code & 0x7f);
      }
    }
    return bytes.subarray(0, length);
  };

  // LZMA, a fifth smaller than the gzip that browsers unpack by themselves: the `.lzma` format with its
  // length at the head, by the public-domain specification of the format. A decoder in WebAssembly would be
  // six times as large.
  const unpacked = (id) => {
    const input = packed(id);
    const whole = () => {
      throw new Error("the block " + id + " is not whole");
    };
    if (input.length < 18) whole();
    const lc = input[0] % 9, lp = ((input[0] / 9) | 0) % 5, pb = (input[0] / 45) | 0;
    const out = new Uint8Array(new DataView(input.buffer, input.byteOffset).getUint32(5, true));
    const odds = (count) => new Uint16Array(count).fill(1024);
    let at = 18, range = 0xffffffff, code = new DataView(input.buffer, input.byteOffset).getUint32(14);
    const refill = () => {
      if (range < 0x1000000) {
        if (at >= input.length + 4) whole();
        range = (range << 8) >>> 0;
        code = ((code << 8) | (input[at++] ?? 0)) >>> 0;
      }
    };
    const bit = (table, index) => {
      const odd = table[index], bound = (range >>> 11) * odd;
      const one = code >= bound;
      if (one) {
        range -= bound;
        code -= bound;
        table[index] = odd - (odd >> 5);
      } else {
        range = bound;
        table[index] = odd + ((2048 - odd) >> 5);
      }
      refill();
      return one ? 1 : 0;
    };
    // Bits from the highest one down, and from the lowest one up.
    const tree = (table, bits, from = 0) => {
      let node = 1;
      for (let left = bits; left > 0; left--) node = (node << 1) | bit(table, from + node);
      return node - (1 << bits);
    };
    const reverse = (table, bits, from = 0) => {
      let node = 1, value = 0;
      for (let place = 0; place < bits; place++) {
        const next = bit(table, from + node);
        node = (node << 1) | next;
        value |= next << place;
      }
      return value;
    };
    const lengths = () => {
      const choice = odds(2), low = odds(128), middle = odds(128), high = odds(256);
      return (step) => {
        if (!bit(choice, 0)) return tree(low, 3, step << 3);
        if (!bit(choice, 1)) return 8 + tree(middle, 3, step << 3);
        return 16 + tree(high, 8);
      };
    };
    const letters = odds(0x300 << (lc + lp)), isMatch = odds(192), isLong = odds(192), isAgain = odds(48);
    const slots = odds(256), near = odds(128), far = odds(16), fresh = lengths(), again = lengths();
    let state = 0, length = 0, back = [0, 0, 0, 0];
    while (length < out.length) {
      const step = length & ((1 << pb) - 1);
      if (!bit(isMatch, (state << 4) + step)) {
        const before = length > 0 ? out[length - 1] : 0;
        const from = 0x300 * (((length & ((1 << lp) - 1)) << lc) + (before >> (8 - lc)));
        let letter = 1;
        if (state >= 7) {
          let match = out[length - back[0] - 1];
          while (letter < 0x100) {
            const expected = (match >> 7) & 1, next = bit(letters, from + ((1 + expected) << 8) + letter);
            match <<= 1;
            letter = (letter << 1) | next;
            if (next !== expected) break;
          }
        }
        while (letter < 0x100) letter = (letter << 1) | bit(letters, from + letter);
        out[length++] = letter;
        state = state < 4 ? 0 : state < 10 ? state - 3 : state - 6;
        continue;
      }
      let run = 0;
      if (bit(isAgain, state)) {
        let which = 0;
        if (bit(isAgain, 12 + state)) which = bit(isAgain, 24 + state) ? 2 + bit(isAgain, 36 + state) : 1;
        const single = which === 0 && !bit(isLong, (state << 4) + step);
        back = [back[which], ...back.filter((_, place) => place !== which)];
        run = single ? 1 : 2 + again(step);
        state = single ? (state < 7 ? 9 : 11) : state < 7 ? 8 : 11;
      } else {
        run = 2 + fresh(step);
        state = state < 7 ? 7 : 10;
        const slot = tree(slots, 6, Math.min(run - 2, 3) << 6);
        let distance = slot;
        if (slot >= 4) {
          const bits = (slot >> 1) - 1;
          distance = (2 | (slot & 1)) << bits;
          if (slot < 14) {
            distance += reverse(near, bits, distance - slot);
          } else {
            for (let place = bits - 1; place >= 4; place--) {
              range >>>= 1;
              if (code >= range) {
                code -= range;
                distance += 1 << place;
              }
              refill();
            }
            distance += reverse(far, 4);
          }
        }
        back = [distance, back[0], back[1], back[2]];
      }
      if (back[0] < 0 || back[0] >= length || length + run > out.length) whole();
      for (; run > 0; run--, length++) out[length] = out[length - back[0] - 1];
    }
    return out;
  };

  const text = (id) => new TextDecoder().decode(unpacked(id));

  // The policy names the style by the hash of its text.
  const dress = () => {
    const style = document.createElement("style");
    style.textContent = text("styles");
    document.head.append(style);
  };

  // The module reads the demo cases as text. The policy lets nothing be written into a script block,
  // so a plain one takes its place.
  const layOutDemos = () => {
    const plain = document.createElement("div");
    plain.hidden = true;
    plain.textContent = text("demo-data");
    document.getElementById("demo-data").replaceWith(plain);
    plain.id = "demo-data";
  };

  const damaged = (error) => show("failed", paragraph(
    "This copy of the file is damaged: its program cannot be unpacked. Get the file again. (" + error + ")",
  ));

  const start = async () => {
    try {
      dress();
    } catch (error) {
      return damaged(error);
    }
    if (typeof WebAssembly === "undefined") {
      return show("failed", paragraph(
        "Extrados cannot compute here: WebAssembly is switched off in this browser. ",
        "Security modes that switch it off can be told to allow this file; or open it in another browser.",
      ));
    }
    // Came with the same versions as what the module asks of a browser.
    if (typeof DecompressionStream === "undefined" || typeof wasm_bindgen === "undefined") {
      return show("failed", paragraph(
        "This browser is too old to open Extrados. Use a version of 2023 or later.",
      ));
    }
    addEventListener("error", (event) => isTrap(event.error) && die(event.message));
    addEventListener("unhandledrejection", (event) => isTrap(event.reason) && die(String(event.reason)));
    let bytes;
    try {
      bytes = unpacked("module");
      layOutDemos();
    } catch (error) {
      return damaged(error);
    }
    try {
      await wasm_bindgen({ module_or_path: await WebAssembly.compile(bytes) });
    } catch (error) {
      if (root.dataset.state === "dead") return;
      return isTrap(error) ? die(String(error)) : show("failed", paragraph(
        "Extrados could not start in this browser. Open the file in another one, or a newer one. (" + error + ")",
      ));
    }
    const { initSync, start: started, ...exported } = wasm_bindgen;
    for (const name of Object.keys(exported)) {
      if (typeof exported[name] === "function") exported[name] = guarded(exported[name]);
    }
    globalThis.extrados = Object.freeze(exported);
    show("ready");
  };

  globalThis.extradosKeep = (text, name = "case.json") => {
    kept = { text, name };
  };
  globalThis.extradosDied = die;
  start();
})();

// Unpacks what stands in the file's data blocks: letters, LZMA, and the program's columns. It knows nothing
// of what the bytes are for; `unpacked(id)` gives those of a block, `joined(columns)` the module.
"use strict";

const { unpacked, joined } = (() => {
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

  // The program stands by columns: opcodes, and what follows each of them. How they are laid out is said where
  // they are split, in the packer's `columns.rs`; the two walk alike.
  const joined = (input) => {
    const [OPCODES, BEFORE, AFTER, LOCALS, ALIGNMENT, COLUMNS] = [0, 1, 5, 0x0b, 0x100, 0x200];
    const word = (place) => new DataView(input.buffer).getUint32(4 * place, true);
    const start = [4 * (COLUMNS + 1)];
    for (let column = 0; column < COLUMNS; column++) start.push(start[column] + word(column + 1));
    const at = start.slice();
    // A function is written behind room for its length.
    const out = new Uint8Array(word(0) + 5);
    let to = 0;
    const byte = (column) => {
      if (to >= out.length) throw new Error("the program's columns are not whole");
      return (out[to++] = input[at[column]++]);
    };
    const bytes = (column, count) => {
      for (; count > 0; count--) byte(column);
    };
    const number = (column) => {
      let value = 0, shift = 0, part;
      do {
        part = byte(column);
        value |= (part & 0x7f) << shift;
        shift += 7;
      } while (part & 0x80);
      return value;
    };
    const numbers = (column, count) => {
      for (; count > 0; count--) number(column);
    };
    const instruction = (code) => {
      if (code === 0x0e || code === 0x1c) numbers(code, number(code) + (code === 0x0e ? 1 : 0));
      else if (code === 0x11) numbers(code, 2);
      else if (code === 0x21 || code === 0x22) number(0x21);
      else if (code >= 0x28 && code <= 0x3e) numbers(ALIGNMENT + code, 1), number(code < 0x36 ? 0x28 : 0x36);
      else if (code === 0x43 || code === 0x44) bytes(code, code === 0x43 ? 4 : 8);
      else if (code === 0xfc) {
        const kind = number(code);
        if (kind > 7) numbers(code, kind < 15 && kind % 2 === 0 ? 2 : 1);
      } else if (
        (code >= 0x02 && code <= 0x04) || code === 0x0c || code === 0x0d || code === 0x10 || (code >= 0x20 && code <= 0x26) ||
        (code >= 0x3f && code <= 0x42) || code === 0xd0 || code === 0xd2
      ) number(code);
    };
    bytes(BEFORE, word(BEFORE + 1));
    while (at[OPCODES] < start[OPCODES + 1]) {
      const from = to;
      to += 5;
      for (let left = number(LOCALS); left > 0; left--) number(LOCALS), bytes(LOCALS, 1);
      for (let depth = 1; depth > 0; ) {
        const code = byte(OPCODES);
        if (code >= 0x02 && code <= 0x04) depth++;
        else if (code === 0x0b) depth--;
        instruction(code);
      }
      const end = to;
      let length = end - from - 5;
      for (to = from; length >= 0x80; length >>>= 7) out[to++] = (length & 0x7f) | 0x80;
      out[to++] = length;
      out.copyWithin(to, from + 5, end);
      to += end - from - 5;
    }
    bytes(AFTER, word(AFTER + 1));
    return out.subarray(0, to);
  };

  return { unpacked, joined };
})();

//! The program by columns: all opcodes first, then all numbers of locals, all offsets in memory, and so
//! on. Like stands by like then, and LZMA makes a tenth less of it than of the module itself.
//!
//! It moves bytes and knows nothing of what they mean but how many numbers follow an opcode (the
//! WebAssembly specification, binary format, 5.4 instructions). An opcode it does not know is refused,
//! not guessed. `www/unpack.js` joins the columns as [`join`] does.
//!
//! Layout: the length of the module, four bytes, lowest first; the length of each of the
//! [`COLUMNS`] columns, alike; the columns. Lengths of functions are not kept: they follow.

/// Columns 0 to 255 hold what follows the opcode of that number; opcodes that nothing follows lend
/// theirs to the names below. From [`ALIGNMENT`] on stand alignments.
const COLUMNS: usize = 512;
/// The opcodes themselves (nothing follows `unreachable`).
const OPCODES: usize = 0x00;
/// The module up to the first function (nothing follows `nop`).
const BEFORE: usize = 0x01;
/// The module after the last function (nothing follows `else`).
const AFTER: usize = 0x05;
/// What locals a function has (nothing follows `end`).
const LOCALS: usize = 0x0B;
/// Alignments of a memory access: this and its opcode.
const ALIGNMENT: usize = 0x100;

/// A module by columns.
///
/// # Errors
/// Where it is no module, or holds an opcode that is not known here.
pub fn split(module: &[u8]) -> Result<Vec<u8>, String> {
    let (from, to) = functions(module)?;
    let mut tape = Splitting { module: &module[..to], at: from, columns: vec![Vec::new(); COLUMNS] };
    tape.columns[BEFORE].extend(&module[..from]);
    tape.columns[AFTER].extend(&module[to..]);
    while tape.at < to {
        let end = length(module, &mut tape.at)?.checked_add(tape.at);
        walk(&mut tape)?;
        if end != Some(tape.at) {
            return Err(format!("A function of the module does not end at byte {} as it says.", tape.at));
        }
    }
    let mut out = Vec::with_capacity(module.len());
    out.extend((module.len() as u32).to_le_bytes());
    out.extend(tape.columns.iter().flat_map(|column| (column.len() as u32).to_le_bytes()));
    out.extend(tape.columns.concat());
    Ok(out)
}

/// The module of its columns.
///
/// # Errors
/// Where the columns are not whole.
pub fn join(columns: &[u8]) -> Result<Vec<u8>, String> {
    let head = columns.get(..4 * (COLUMNS + 1)).ok_or("The columns are cut short.")?;
    let mut lengths = head.as_chunks::<4>().0.iter().map(|bytes| u32::from_le_bytes(*bytes) as usize);
    let whole = lengths.next().unwrap_or_default();
    let mut rest = &columns[head.len()..];
    let mut parts = Vec::with_capacity(COLUMNS);
    for length in lengths {
        let (part, after) = rest.split_at_checked(length).ok_or("The columns are cut short.")?;
        parts.push(part);
        rest = after;
    }
    let (before, after) = (parts[BEFORE], parts[AFTER]);
    let mut tape = Joining { columns: parts, function: Vec::new() };
    let mut module = before.to_vec();
    while !tape.columns[OPCODES].is_empty() {
        walk(&mut tape)?;
        let mut length = tape.function.len();
        while length >= 0x80 {
            module.push(length as u8 | 0x80);
            length >>= 7;
        }
        module.push(length as u8);
        module.append(&mut tape.function);
    }
    module.extend(after);
    if module.len() == whole { Ok(module) } else { Err("The columns do not give the whole module.".into()) }
}

/// Carries the bytes of one function, from the module into columns or back.
trait Tape {
    /// Carries so many bytes that belong to a column, and returns them.
    fn bytes(&mut self, column: usize, count: usize) -> Result<&[u8], String>;

    /// Carries one number of variable length, and returns its lowest 32 bits.
    fn number(&mut self, column: usize) -> Result<usize, String> {
        let (mut value, mut shift) = (0, 0);
        loop {
            let byte = self.bytes(column, 1)?[0];
            if shift < 32 {
                value |= usize::from(byte & 0x7F) << shift;
            }
            shift += 7;
            if byte < 0x80 {
                return Ok(value);
            }
        }
    }

    /// Carries several numbers.
    fn numbers(&mut self, column: usize, count: usize) -> Result<(), String> {
        (0..count).try_for_each(|_| self.number(column).map(drop))
    }
}

/// Carries one function: its locals, then its instructions up to its own end.
fn walk(tape: &mut impl Tape) -> Result<(), String> {
    for _ in 0..tape.number(LOCALS)? {
        tape.number(LOCALS)?;
        tape.bytes(LOCALS, 1)?;
    }
    let mut depth = 1;
    while depth > 0 {
        let opcode = usize::from(tape.bytes(OPCODES, 1)?[0]);
        match opcode {
            // block, loop, if; end
            0x02..=0x04 => {
                depth += 1;
                tape.number(opcode)?;
            }
            0x0B => depth -= 1,
            // br, br_if, call, local.get, global.get and .set, memory.size and .grow, constants, ref.func
            0x0C | 0x0D | 0x10 | 0x20 | 0x23..=0x26 | 0x3F..=0x42 | 0xD0 | 0xD2 => tape.numbers(opcode, 1)?,
            // local.set and .tee are alike
            0x21 | 0x22 => tape.numbers(0x21, 1)?,
            // br_table, and select with types
            0x0E => {
                let count = tape.number(opcode)? + 1;
                tape.numbers(opcode, count)?;
            }
            0x1C => {
                let count = tape.number(opcode)?;
                tape.numbers(opcode, count)?;
            }
            // call_indirect
            0x11 => tape.numbers(opcode, 2)?,
            // Loads are alike, and stores.
            0x28..=0x3E => {
                tape.number(ALIGNMENT + opcode)?;
                tape.number(if opcode < 0x36 { 0x28 } else { 0x36 })?;
            }
            0x43 => drop(tape.bytes(opcode, 4)?),
            0x44 => drop(tape.bytes(opcode, 8)?),
            0xFC => {
                let count = match tape.number(opcode)? {
                    0..=7 => 0,
                    9 | 11 | 13 | 15..=17 => 1,
                    8 | 10 | 12 | 14 => 2,
                    other => return Err(format!("The module holds the instruction 0xFC {other}, unknown here.")),
                };
                tape.numbers(opcode, count)?;
            }
            0x00 | 0x01 | 0x05 | 0x0F | 0x1A | 0x1B | 0x45..=0xC4 | 0xD1 => {}
            other => return Err(format!("The module holds the opcode {other:#04X}, which is unknown here.")),
        }
    }
    Ok(())
}

/// From the module into columns.
struct Splitting<'a> {
    module: &'a [u8],
    at: usize,
    columns: Vec<Vec<u8>>,
}

impl Tape for Splitting<'_> {
    fn bytes(&mut self, column: usize, count: usize) -> Result<&[u8], String> {
        let bytes = self.module.get(self.at..self.at + count).ok_or("The module is cut short.")?;
        self.at += count;
        self.columns[column].extend(bytes);
        Ok(bytes)
    }
}

/// From columns into one function.
struct Joining<'a> {
    columns: Vec<&'a [u8]>,
    function: Vec<u8>,
}

impl Tape for Joining<'_> {
    fn bytes(&mut self, column: usize, count: usize) -> Result<&[u8], String> {
        let (bytes, rest) = self.columns[column].split_at_checked(count).ok_or("A column is cut short.")?;
        self.columns[column] = rest;
        self.function.extend(bytes);
        Ok(bytes)
    }
}

/// Where the functions of a module begin and end; at its own end where it has none.
fn functions(module: &[u8]) -> Result<(usize, usize), String> {
    let mut at = 8;
    while let Some(id) = module.get(at) {
        at += 1;
        let length = length(module, &mut at)?;
        if *id == 10 {
            let to = at.checked_add(length).filter(|to| *to <= module.len()).ok_or("The module is cut short.")?;
            self::length(module, &mut at)?;
            return Ok((at, to));
        }
        at = at.saturating_add(length);
    }
    Ok((module.len(), module.len()))
}

/// Reads one number of variable length.
fn length(module: &[u8], at: &mut usize) -> Result<usize, String> {
    let mut tape = Splitting { module, at: *at, columns: vec![Vec::new()] };
    let value = tape.number(0)?;
    *at = tape.at;
    Ok(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `(func (local i32) block i32.const -5 drop local.get 0 i32.load offset=300 drop end)`, twice, between two
    /// custom sections, as the specification writes it.
    fn module() -> Vec<u8> {
        let body =
            [0x01, 0x01, 0x7F, 0x02, 0x40, 0x41, 0x7B, 0x1A, 0x20, 0x00, 0x28, 0x02, 0xAC, 0x02, 0x1A, 0x0B, 0x0B];
        let function = [&[body.len() as u8][..], &body].concat();
        let code = [&[2][..], &function, &function].concat();
        [b"\0asm\x01\0\0\0\x00\x02\x01a\x0A", &[code.len() as u8][..], &code, b"\x00\x02\x01b"].concat()
    }

    #[test]
    fn a_module_comes_back() {
        let columns = split(&module()).expect("splits");
        assert_eq!(join(&columns), Ok(module()));
        // Both functions' opcodes stand together.
        let opcodes = [0x02, 0x41, 0x1A, 0x20, 0x28, 0x1A, 0x0B, 0x0B];
        assert_eq!(columns[4 * (COLUMNS + 1)..][..16], [opcodes, opcodes].concat());
    }

    #[test]
    fn what_is_cut_or_unknown_is_refused() {
        let columns = split(&module()).expect("splits");
        for end in 0..columns.len() {
            assert!(join(&columns[..end]).is_err(), "cut at {end}");
        }
        for end in 13..module().len() - 4 {
            assert!(split(&module()[..end]).is_err(), "cut at {end}");
        }
        let mut strange = module();
        let at = strange.iter().position(|byte| *byte == 0x1A).expect("it drops");
        strange[at] = 0xFD;
        assert!(split(&strange).expect_err("refused").contains("0xFD"));
    }
}
